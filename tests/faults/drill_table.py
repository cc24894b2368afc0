"""Drills of every level at every unit, played by doing only what is next: what of each fault that meets.

`PYTHONPATH=tests python -m faults.drill_table --count 504` plays drills headless and prints for each kind of
fault how often it was drawn, and how often the visit met a finding that names it or its effect, or set right
the setting that it was, where the healthy twin did not; 1 where a drill did not come to its end or scored
differently the second time. The suite takes a sample of the same.
"""

from __future__ import annotations

import argparse
import multiprocessing
import sys
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path
from tempfile import TemporaryDirectory

from asleft.drill.classroom.known import known_faults
from asleft.drill.classroom.sheet import LEVELS, Staged, drawn, staged
from asleft.equipment.library import find, units
from asleft.installation.faults import FAULTS
from asleft.journal import read
from asleft.unattended.drills import PlayedDrill, play_drill

NEVER = ("heater-starved",)
"""A consequence, which is never drawn."""


@dataclass
class Told:
    """One drill: its score and end, and of each of its faults whether the visit met it, and by what."""

    name: str
    level: int
    score: float
    outcome: str
    met: dict[str, str] = field(default_factory=dict)
    trouble: str = ""


Held = dict[tuple[str, str], str]
"""What settings show, by setting and address."""


@dataclass(frozen=True)
class Visited:
    """What fails in a visit, what settings showed at first, what was written, and what they showed last."""

    failed: frozenset[str]
    found: Held
    wrote: frozenset[tuple[str, str]]
    left: Held

    @classmethod
    def of(cls, played: PlayedDrill) -> Visited:
        """From the file of a drill."""
        found: Held = {}
        left: Held = {}
        wrote: set[tuple[str, str]] = set()
        for event in read(played.path).events:
            if event["kind"] in ("found", "wrote", "read_back"):
                place = (str(event["setting"]), str(event["address"]))
                found.setdefault(place, str(event["shown"]))
                left[place] = str(event["shown"])
                if event["kind"] == "wrote":
                    wrote.add(place)
        return cls(frozenset(played.failed), found, frozenset(wrote), left)


@lru_cache(maxsize=8)
def twin(unit: str, seed: int) -> Visited:
    """The visit to the healthy site of a seed."""
    text = f'format = 1\ntitle = "Twin"\nunit = "{unit}"\nseed = {seed}'
    with TemporaryDirectory() as folder:
        return Visited.of(play_drill(Path(folder), staged(text.encode(), "twin", find)))


def met_by(kind: str, played: PlayedDrill, lesson: Staged) -> str:
    """What the visit met of a fault that its healthy twin did not meet; nothing where it met none.

    A setting that was left wrong is met where it was found otherwise than at the twin, or is wanted
    otherwise, and was written.
    """
    known, healthy = known_faults()[kind], twin(lesson.sheet.unit, lesson.sheet.seed)
    visit = Visited.of(played)
    for key in played.failed:
        if key not in healthy.failed and key.split(" ")[0] in known.findings:
            return key
    equipment = lesson.equipment.equipment
    topics = [t for role in known.set_right if (t := equipment.role(role)) is not None]
    carried = {id for topic in topics for option in topic.option for id in option.set}
    ours = sorted(
        setting
        for setting, address in visit.wrote
        if setting in carried
        and any(
            one.get((setting, address)) != other.get((setting, address))
            for one, other in ((visit.found, healthy.found), (visit.left, healthy.left))
        )
    )
    return f"set-right: {', '.join(ours)}" if ours else ""


def told(unit: str, seed: int, level: int, *, screen: bool = False) -> Told:
    """Play a drill, on the screen where that is asked for."""
    lesson = drawn(seed, level, find(unit))
    name = f"{unit} seed {seed} level {level}"
    with TemporaryDirectory() as folder:
        played = play_drill(Path(folder), lesson, screen=screen)
        found = Told(name, level, played.score.total, played.outcome, trouble=played.why)
        for fault in lesson.sheet.faults:
            found.met[fault.kind] = met_by(fault.kind, played, lesson)
        if seed % 20 == 1:
            with TemporaryDirectory() as again:
                other = play_drill(Path(again), lesson)
                same = other.path.read_bytes() == played.path.read_bytes()
                if not same or other.score.total != played.score.total:
                    found.trouble += " another drill or score the second time"
    return found


def rows(count: int, first: int) -> list[tuple[str, int, int]]:
    """Unit, seed and level of so many drills: every unit and level in turn."""
    known = sorted(known.id for known in units())
    every = [(u, s, lv) for s in range(first, first + count) for u in known for lv in LEVELS]
    return every[:count]


def _told(row: tuple[str, int, int]) -> Told:
    try:
        return told(*row)
    except Exception as crash:  # noqa: BLE001  whatever it is, it is what is looked for
        return Told(f"{row}", row[2], 0.0, "crashed", trouble=f"{type(crash).__name__}: {crash}")


def main(arguments: Sequence[str]) -> int:
    """Play, and print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=504)
    parser.add_argument("--first", type=int, default=1, help="the first seed")
    parser.add_argument("--processes", type=int, default=2)
    chosen = parser.parse_args(arguments)
    every: list[Told] = []
    with multiprocessing.Pool(chosen.processes) as pool:
        for one in pool.imap(_told, rows(chosen.count, chosen.first), chunksize=3):
            every.append(one)
            missed = [kind for kind, by in one.met.items() if not by]
            print(
                f"{one.name}: {one.outcome}, {one.score:g}; not met: {missed} {one.trouble}", file=sys.stderr
            )
    drawn_n, met_n, by = Counter[str](), Counter[str](), dict[str, Counter[str]]()
    for one in every:
        for kind, how in one.met.items():
            drawn_n[kind] += 1
            met_n[kind] += bool(how)
            by.setdefault(kind, Counter())[how.split(" ")[0]] += 1
    print(f"{len(every)} drills: {dict(Counter(one.outcome for one in every))}")
    print(f"{'fault':32} drawn  met  by")
    for kind in FAULTS:
        share = f"{met_n[kind] / drawn_n[kind]:4.0%}" if drawn_n[kind] else "   -"
        how = ", ".join(f"{name} {n}" for name, n in by.get(kind, Counter()).most_common(4) if name)
        print(f"{kind:32} {drawn_n[kind]:5} {share}  {how}")
    total = sum(drawn_n.values())
    print(f"{'all':32} {total:5} {sum(met_n.values()) / total:4.0%}")
    never = [kind for kind in FAULTS if not drawn_n[kind] and kind not in NEVER]
    print(f"never drawn: {never}")
    troubles = [one for one in every if one.trouble]
    for one in troubles[:50]:
        print(f"  {one.name}: {one.trouble}")
    print(f"{len(troubles)} with trouble")
    return bool(troubles or never)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
