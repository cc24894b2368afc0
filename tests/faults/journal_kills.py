"""A program killed while it saves: what it said is saved, up a pipe, is in the file, and the file goes on.

`python -m faults.journal_kills --kills 1000` prints what came of it as JSON. It forks, so it wants a process
of its own.
"""

from __future__ import annotations

import argparse
import json
import os
import shutil
import signal
import sys
import time
import traceback
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import partial
from itertools import count
from pathlib import Path
from random import Random
from typing import Any

from asleft.journal import Chain, Journal, read
from faults.journal_faults import (
    FILE,
    HEADER,
    SCENARIOS,
    STEM,
    Act,
    Place,
    Said,
    Scenario,
    Tally,
    interposed,
    quick_folder,
)

PARTS = (0.0, 0.3, 0.999, 1.0)
"""How much of the operation is done when the kill comes; only a write can be done in part."""
LONGEST_PIECE = 7
PAUSE_S = 0.0001
LATEST_S = 0.08
SERIES = 20
"""Kills that one file has to live through."""


@dataclass
class Killed(Tally):
    """What came of kills. `inside` fell into the middle of a write, `saved` entries were told before one."""

    inside: int = 0
    saved: int = 0


class Telling(Said):
    """Says everything up a pipe as well, where it outlives the program."""

    def __init__(self, home: Path, pipe: int) -> None:
        super().__init__(home)
        self._pipe, self._write = pipe, os.write

    def tell(self, *words: object) -> None:
        """One line, short enough to go in whole or not at all."""
        self._write(self._pipe, f"{' '.join(map(str, words))}\n".encode())

    def offer(self, link: str) -> None:
        """Note what is about to be asked for."""
        super().offer(link)
        self.tell("offer", link)

    def hold(self, path: Path, place: Place) -> None:
        """Note what is said to be saved."""
        super().hold(path, place)
        self.tell("hold", path, *place)


def hear(said: Said, lines: Iterable[str]) -> None:
    """Take down what a killed program had told."""
    for line in lines:
        word, *rest = line.split()
        if word == "offer":
            said.offer(rest[0])
        elif word == "hold":
            said.hold(Path(rest[0]), (int(rest[1]), rest[2]))


def forked(said: Said, work: Callable[[Telling], object], kill_after_s: float | None = None) -> bool:
    """Do the work in a process of its own and take down what it told. True if it was killed.

    It kills itself, or is killed so long after it told that it is ready.
    """
    up, down = os.pipe()
    child = os.fork()
    if not child:
        try:
            telling = Telling(said.home, down)
            telling.offered.update(said.offered)
            work(telling)
            if telling.troubles or telling.wrong:
                raise AssertionError(f"the work failed of itself: {telling.troubles + telling.wrong}")
            os._exit(0)
        finally:
            traceback.print_exc()
            os._exit(1)
    os.close(down)
    with os.fdopen(up) as pipe:
        heard = []
        if kill_after_s is not None:
            while (line := pipe.readline()) not in ("ready\n", ""):
                heard.append(line)
            time.sleep(kill_after_s)
            os.kill(child, signal.SIGKILL)
        hear(said, [*heard, *pipe])
    status = os.waitpid(child, 0)[1]
    if os.WIFEXITED(status) and os.WEXITSTATUS(status):
        raise AssertionError("the work failed of itself, not by a kill")
    return os.WIFSIGNALED(status)


# ---- at every operation -------------------------------------------------------------------------------


@dataclass
class Killing:
    """End this very process at the `at`-th operation, when part of it is done."""

    at: int
    part: float
    done: int = 0

    def __call__(self, name: str, real: Act, *args: Any, **options: Any) -> Any:
        self.done += 1
        if self.done == self.at:
            if self.part == 1:
                real(*args, **options)
            elif name == "write":
                real(args[0], bytes(args[1])[: int(len(args[1]) * self.part)])
            os.kill(os.getpid(), signal.SIGKILL)
        return real(*args, **options)


def _killing_itself(scenario: Scenario, killing: Killing, telling: Telling) -> None:
    with interposed(killing):
        scenario.run(telling)


def kill_everywhere(scenario: Scenario, killed: Killed, step: int = 1) -> None:
    """Kill a scenario at its first, second, … operation, or every `step`-th, until it has no more."""
    for at in count(1, step):
        for part in PARTS:
            with quick_folder() as folder:
                home = Path(folder) / "home"
                said = scenario.prepare(home)
                if not forked(said, partial(_killing_itself, scenario, Killing(at, part))):
                    return
                killed.tried += 1
                weigh(killed, home, said, f"{scenario.name}, killed at operation {at} when {part} done")


def weigh(killed: Killed, home: Path, said: Said, what: str) -> None:
    """Look at what a killed program left, and whether it left part of an entry."""
    path = home / FILE
    killed.inside += path.exists() and read(path, wait=lambda _: None).chain is Chain.TORN
    killed.weigh(home, said, what)


# ---- at random moments --------------------------------------------------------------------------------


def dribbled(random: Random) -> Callable[[int, bytes], int]:
    """A write that hands on a few bytes at a time, with time for a kill in between."""
    real = os.write

    def write(descriptor: int, data: bytes) -> int:
        at = 0
        while at < len(data):
            at += real(descriptor, data[at : at + random.randint(1, LONGEST_PIECE)])
            time.sleep(PAUSE_S)
        return len(data)

    return write


def _append_for_ever(telling: Telling, seed: int) -> None:
    """Be ready at once, or when an entry is saved."""
    random = Random(seed)
    late = random.random() < 0.5
    if not late:
        telling.tell("ready")
    os.write = dribbled(random)  # type: ignore[assignment]
    path = telling.home / FILE
    journal = Journal.open(path) if path.exists() else Journal.create(path.parent, STEM, HEADER)
    telling.began(journal)
    while not (telling.troubles or telling.wrong):
        telling.append(journal, random.randint(1, 3))
        if late:
            telling.tell("ready")


def kill_at_random(kills: int, killed: Killed, seed: int) -> None:
    """Kill a program that dribbles entries into a file, over and over; then begin another file.

    A copy is looked at, so that the next program has to recover what the last one left.
    """
    random = Random(seed)
    while killed.tried < kills:
        with quick_folder() as folder:
            home = Path(folder) / "home"
            said = Scenario("series", lambda _: None, events=0).prepare(home)
            for _ in range(min(SERIES, kills - killed.tried)):
                before = said.saved.get(FILE, (0, ""))[0]
                work = partial(_append_for_ever, seed=random.randrange(2**32))
                forked(said, work, random.uniform(0, LATEST_S))
                killed.tried += 1
                killed.saved += said.saved.get(FILE, (0, ""))[0] - before
                copy = Path(folder) / "copy"
                shutil.copytree(home, copy)
                weigh(killed, copy, said, f"kill {killed.tried}")
                shutil.rmtree(copy)
                if not (home / FILE).exists() or not (left := read(home / FILE, wait=lambda _: None)).header:
                    break
                said.tail = left.tail


def main(arguments: Sequence[str]) -> int:
    """Kill and print what came of it; 1 where anything was lost or wrong."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--kills", type=int, default=1000)
    parser.add_argument("--step", type=int, default=1, help="of the operations, only every so-manieth")
    parser.add_argument("--seed", type=int, default=1)
    chosen = parser.parse_args(arguments)
    everywhere, at_random = Killed(), Killed()
    for scenario in SCENARIOS:
        kill_everywhere(scenario, everywhere, chosen.step)
    kill_at_random(chosen.kills, at_random, chosen.seed)
    print(json.dumps({"everywhere": vars(everywhere), "at random": vars(at_random)}))
    return int(not (everywhere.sound() and at_random.sound()))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
