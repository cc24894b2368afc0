"""Everything that a session file has to live through, and how often it did.

`PYTHONPATH=tests python -m faults.journal_attack` takes about ten minutes and prints the counts; 1 where an
entry that was said to be saved is lost, or anything else is wrong. The suite takes a sample of the same.
"""

from __future__ import annotations

import argparse
import re
import sys
from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import partial
from itertools import product
from pathlib import Path
from random import Random

from faults.journal_damage import (
    Seen,
    cut_short,
    flip_bits,
    harm,
    small_session,
    to_an_event,
    to_the_end,
    to_the_header,
)
from faults.journal_faults import SCENARIOS, TROUBLES, Tally, fail_everywhere, quick_folder
from faults.journal_kills import Killed, kill_at_random, kill_everywhere
from faults.journal_power import MAY_BREAK, Outages, cut_power_everywhere
from played import blocks

SAMPLES = Path(__file__).parents[2] / "sessions"
EVERY = 1 << 30
PLACES_AFTER_TROUBLE = 10
EVENTS_HARMED = 10
SHOWN = 10

Found = tuple[str, Sequence[str]]
"""A line to print, and what was wrong."""


def _came(tally: Tally) -> Found:
    line = f"{tally.lost} acknowledged entries lost, {tally.believed} believed wrongly"
    wrong = list(tally.wrong)
    if tally.lost or tally.believed:
        wrong.append(line)
    return f"{line}, {len(tally.wrong)} otherwise wrong", wrong


def faults() -> Iterator[Found]:
    """Every file operation failing in turn, and the folder gone before each."""
    tally = Tally()
    for scenario, trouble in product(SCENARIOS, TROUBLES):
        fail_everywhere(scenario, trouble, tally)
    came, wrong = _came(tally)
    yield f"Faults: {tally.tried} fault points tried; {came}", wrong


def power(random: Random) -> Iterator[Found]:
    """The power cut before each operation."""
    tally = Outages()
    for scenario in SCENARIOS:
        cut_power_everywhere(scenario, tally, random, EVERY, PLACES_AFTER_TROUBLE)
    came, wrong = _came(tally)
    yield f"Power cuts: {tally.tried} images tried; {came}", wrong
    broken = ", ".join(f"{tally.broken[word]} of {tally.cuts[word]} {word}" for word in MAY_BREAK)
    yield f"  told broken, every acknowledged entry before the damage: {broken}", ()
    yield f"  left of sessions never said to be begun, and refused: {tally.broken['never begun']}", ()


def kills(number: int, seed: int) -> Iterator[Found]:
    """The program killed at each operation, and at random moments."""
    everywhere, at_random = Killed(), Killed()
    for scenario in SCENARIOS:
        kill_everywhere(scenario, everywhere)
    came, wrong = _came(everywhere)
    yield (
        f"Kills at every operation: {everywhere.tried} tried, {everywhere.inside} inside a write; {came}",
        wrong,
    )
    kill_at_random(number, at_random, seed)
    came, wrong = _came(at_random)
    tried = (
        f"{at_random.tried} tried, {at_random.inside} inside a write, {at_random.saved} entries acknowledged"
    )
    yield f"Kills at random moments: {tried}; {came}", wrong


def _sample(size: int, wanted: int, random: Random) -> tuple[Iterable[int], str]:
    if wanted >= size:
        return range(size), f"every one of {size}"
    return sorted(random.sample(range(size), wanted)), f"a seeded {wanted} of {size}"


def _looked(what: str, how: str, seen: Seen) -> Found:
    line = f"  {what}: {seen.tried} tried ({how}), {len(seen.unseen)} unseen, {len(seen.misplaced)} misplaced"
    return line, [*seen.unseen, *seen.misplaced]


def damage(name: str, data: bytes, other: bytes, bits: int, sizes: int, random: Random) -> Iterator[Found]:
    """Bits flipped, the file cut short, and damage by name."""
    parts, strange = blocks(data), blocks(other)
    yield f"Damage to {name}: {len(data)} bytes, {len(parts) - 1} events", ()
    chosen, how = _sample(8 * len(data), bits, random)
    yield _looked("flipped bits", how, flip_bits(data, chosen))
    chosen, how = _sample(len(data), sizes, random)
    yield _looked("truncations", how, cut_short(data, chosen))
    numbers = sorted(random.sample(range(1, len(parts)), min(EVENTS_HARMED, len(parts) - 1)))
    damages = [
        *to_the_header(parts, strange),
        *(harmed for number in numbers for harmed in to_an_event(parts, strange, number)),
        *to_the_end(parts, strange, sorted(random.sample(range(1, len(data) + 1), 200))),
    ]
    kinds = {re.sub(r"\d+", "", said) for said, _, _ in damages}
    with quick_folder() as folder:
        how = f"header, ends, and events {numbers[0]} to {numbers[-1]}, {len(kinds)} kinds"
        yield _looked("damage by name", how, harm(data, damages, Path(folder)))


def _number(text: str) -> int:
    return EVERY if text == "all" else int(text)


def main(arguments: Sequence[str]) -> int:
    """Attack, and print what came of it."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--kills", type=int, default=1000)
    parser.add_argument("--flips", type=_number, default=20000, help="bits of each session, or all")
    parser.add_argument("--cuts", type=_number, default=2000, help="truncations of each session, or all")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("sessions", nargs="*", type=Path, default=sorted(SAMPLES.glob("*.toml")))
    chosen = parser.parse_args(arguments)
    random = Random(chosen.seed)
    small = small_session()
    read = {path.name: path.read_bytes() for path in chosen.sessions}
    attacks: list[Callable[[], Iterator[Found]]] = [
        faults,
        partial(power, random),
        partial(kills, chosen.kills, chosen.seed),
        partial(damage, "a small session", small, small_session("Bo"), EVERY, EVERY, random),
        *(
            partial(damage, name, data, small, chosen.flips, chosen.cuts, random)
            for name, data in read.items()
        ),
    ]
    amiss = 0
    for attack in attacks:
        for line, wrong in attack():
            print(line, flush=True)
            for text in wrong[:SHOWN]:
                print(f"    WRONG {text}", flush=True)
            amiss += len(wrong)
    print("Nothing is wrong." if not amiss else f"{amiss} wrong.")
    return int(amiss > 0)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
