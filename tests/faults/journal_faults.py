"""Trouble below a session file, at every operation: a call that fails, or a folder that vanishes.

Scenarios begin, append to, recover and copy a session; whatever happened below them, the file must then hold
all they were told is saved, believe nothing they did not ask to save, and go on.
"""

from __future__ import annotations

import errno
import os
from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import partial
from itertools import count
from pathlib import Path
from tempfile import TemporaryDirectory
from types import MappingProxyType
from typing import Any

from asleft.journal import (
    Broken,
    Chain,
    Contents,
    Journal,
    JournalError,
    NewerFormat,
    NotASession,
    event_bytes,
    header_bytes,
    lock,
    read,
)
from journal.plain_reader import verified

HEADER = header_bytes(
    id="s", mode="job", app="a", rules="1", opened_by="Ana", follows=None, equipment_text='id = "ß"\n'
)
STEM = "2031-05-04-Hill-AH-1"
SESSIONS, OTHER = Path("sessions"), Path("other")
FILE = SESSIONS / f"{STEM}.toml"
NOTHING: Mapping[Path, str] = MappingProxyType({})
Place = tuple[int, str]
Act = Callable[..., Any]


def entry(n: int, attempt: int = 0) -> dict[str, Any]:
    """An event that differs from any other attempt at the same number, in words and in length."""
    text = f"attempt {attempt} " + "warm 🔥 " * (attempt * 7 % 5)
    return {"n": n, "at": "2031-05-04T10:00:00Z", "by": "Ana", "kind": "noted", "text": text}


SIGNATURE = ["-----BEGIN SSH SIGNATURE-----", *["U1NIU0lHAAAAAQ" * 5] * 4, "-----END SSH SIGNATURE-----"]
"""Lines as ssh-keygen gives them; whether they verify is not what is tried here."""


def sealing(n: int, attempt: int = 0) -> dict[str, Any]:
    """An event that seals those before it, of a real signature's length."""
    return {
        "n": n,
        "at": "2031-05-04T10:00:00Z",
        "by": f"Ana, attempt {attempt}",
        "kind": "sealed",
        "of": n - 1,
        "signature": SIGNATURE,
    }


def place_of(contents: Contents) -> Place:
    """How many events there are and the link of the last: by the chain, all before them as well."""
    return len(contents.events), contents.link


def quick_folder() -> TemporaryDirectory[str]:
    """A temporary folder, in memory where the system offers that: no proof here rests on a real drive."""
    shared = Path("/dev/shm")
    return TemporaryDirectory(dir=shared if os.access(shared, os.W_OK) else None)


# ---- what was said, and what must hold ----------------------------------------------------------------


class Said:
    """What a program was told: how far each file is saved, every link it asked to save, and its troubles.

    `there` events stood in the session file beforehand, saved or not. `tail` are bytes that stood after those
    saved, and may be put aside but never thrown away.
    """

    def __init__(self, home: Path) -> None:
        self.home = home
        self.saved: dict[Path, Place] = {}
        self.offered: set[str] = set()
        self.tail = b""
        self.there = 0
        self.troubles: list[str] = []
        self.wrong: list[str] = []

    def offer(self, link: str) -> None:
        """Note what is about to be asked for."""
        self.offered.add(link)

    def hold(self, path: Path, place: Place) -> None:
        """Note what is said to be saved."""
        self.saved[path] = place

    @contextmanager
    def listening(self) -> Iterator[None]:
        """Take down a failure that the journal told of, and one that it let through."""
        try:
            yield
        except JournalError as problem:
            self.troubles.append(str(problem))
        except OSError as problem:
            self.wrong.append(f"{problem!r} came through")

    def began(self, journal: Journal) -> None:
        """All that a journal holds is said to be saved."""
        self.hold(journal.path.relative_to(self.home), place_of(journal.contents))

    def append(
        self, journal: Journal, events: int = 1, make: Callable[[int, int], dict[str, Any]] = entry
    ) -> None:
        """Append so many events, to a file that is there. Refused, the journal must hold what it held."""
        n, before = place_of(journal.contents)
        new = [make(n + 1 + more, len(self.offered) + more) for more in range(events)]
        right, link, there = (n, before), before, os.access(journal.path, os.F_OK)
        for event in new:
            link = event_bytes(link, event)[1]
            self.offer(link)
        with self.listening():
            journal.append(new)
            right = n + events, link
            self.began(journal)
            if not there:
                self.wrong.append("an entry was saved in a file that was gone")
        if place_of(journal.contents) != right:
            self.wrong.append(f"the journal holds {place_of(journal.contents)} where {right} is right")

    def copy(self, journal: Journal) -> None:
        """Copy what is saved elsewhere and go on there."""
        with self.listening(), journal.copy_to(self.home / OTHER) as copy:
            if copy.contents != journal.contents:
                self.wrong.append("a copy holds something else than what it is a copy of")
            self.began(copy)
            self.append(copy)


@dataclass
class Tally:
    """What was tried and what came of it. `broken` counts files that were refused, by what befell them."""

    tried: int = 0
    lost: int = 0
    believed: int = 0
    broken: Counter[str] = field(default_factory=Counter)
    wrong: list[str] = field(default_factory=list)

    def sound(self) -> bool:
        """Whether nothing at all went wrong."""
        return not (self.lost or self.believed or self.wrong)

    def weigh(
        self, home: Path, said: Said, what: str, *, spoilt: Mapping[Path, str] = NOTHING, exact: bool = False
    ) -> None:
        """Look at every session file of a home.

        `spoilt` names files whose unsynced bytes came out otherwise, and how; no other may be told broken.
        `exact`: nothing that is not saved may be in a file either, nor may one be there that was not begun.
        """
        self.wrong += [f"{what}: {text}" for text in said.wrong]
        for text in said.troubles:
            if not text.startswith(f"{said.home}/") or not text.endswith(".") or "\n" in text:
                self.wrong.append(f"{what}: said {text!r}")
        if said.tail and not any(said.tail in path.read_bytes() for path in home.rglob(f"{STEM}*")):
            self.wrong.append(f"{what}: the torn tail was thrown away")
        for name, (events, _) in said.saved.items():
            if not (home / name).exists():
                self.lost += max(events, 1)
                self.wrong.append(f"{what}: {name} is not there")
        for path in sorted(home.rglob("*.toml")):
            name = path.relative_to(home)
            most = max(said.there, said.saved[name][0]) if name in said.saved else -1
            found = self._weigh_file(
                path, said, said.saved.get(name), spoilt.get(name, ""), f"{what}, {name}"
            )
            if exact and found > most:
                self.wrong.append(f"{what}: {found} events in {name} where {most} were saved")

    def _weigh_file(self, path: Path, said: Said, saved: Place | None, cut: str, what: str) -> int:
        """Look at one file, and give how many events it holds."""
        why = cut if saved else "never begun"
        try:
            contents = read(path, wait=lambda _: None)
        except NotASession as problem:
            self._refused(path, f"{what}: {problem}", why, bool(cut) and not saved)
            return 0
        links = [contents.header["chain"]["link"]] if contents.header else []
        links += [str(event["link"]) for event in contents.events]
        self.believed += sum(link not in said.offered for link in links[1:])
        if saved and links[saved[0] : saved[0] + 1] != [saved[1]]:
            self.lost += max(saved[0] + 1 - len(links), 1)
            self.wrong.append(f"{what}: {len(links) - 1} of {saved[0]} saved are left: {contents.trouble}")
        if contents.chain is Chain.BROKEN:
            self._refused(path, f"{what}: {contents.trouble}", why, bool(cut))
        elif not contents.header:
            empty = not saved and "nothing is recorded" in contents.trouble
            self._refused(path, f"{what}: {contents.trouble}", why, empty)
        else:
            self._goes_on(path, contents, what)
        return len(contents.events)

    def _refused(self, path: Path, what: str, why: str, expected: bool) -> None:
        """A file that cannot go on is refused, and stays as it is to the last byte."""
        self.broken[why] += 1
        data = path.read_bytes()
        if not expected:
            self.wrong.append(f"cannot go on: {what}")
        try:
            Journal.open(path).close()
        except (Broken, NewerFormat, NotASession):
            if path.read_bytes() != data:
                self.wrong.append(f"changed although refused: {what}")
        else:
            self.wrong.append(f"opened all the same: {what}")

    def _goes_on(self, path: Path, contents: Contents, what: str) -> None:
        """Opened, appended to, opened again; what was cut off is kept, and a stranger finds it whole."""
        n = len(contents.events)
        with Journal.open(path) as journal:
            kept = journal.torn_kept.read_bytes() if journal.torn_kept else b""
            if kept != contents.tail or place_of(journal.contents) != place_of(contents):
                self.wrong.append(f"{what}: opening took other bytes than reading")
            journal.append([entry(n + 1)])
            place = place_of(journal.contents)
        with Journal.open(path) as journal:
            if journal.torn_kept or place_of(journal.contents) != place:
                self.wrong.append(f"{what}: not as it was left when opened again")
        if len(verified(path.read_bytes())["event"]) != n + 1:
            self.wrong.append(f"{what}: a stranger reads it otherwise")


# ---- operations that fail, and folders that vanish ----------------------------------------------------

_NAMES = ("open", "read", "write", "fsync", "ftruncate", "stat", "fstat", "lseek", "close", "unlink")
_FCNTL = getattr(lock, "fcntl", None)
ALL = (*_NAMES, "flock")
OPERATIONS = (*((os, name) for name in _NAMES), *([(_FCNTL, "flock")] if _FCNTL else []))


@contextmanager
def interposed(act: Act) -> Iterator[None]:
    """From inside, every file operation is handed to `act`: its name, the real one, its arguments."""
    real = [(room, name, getattr(room, name)) for room, name in OPERATIONS]
    for room, name, function in real:
        setattr(room, name, partial(act, name, function))
    try:
        yield
    finally:
        for room, name, function in real:
            setattr(room, name, function)


@dataclass(frozen=True)
class Fault:
    """The system's error, for one operation or from it on, among some operations or all.

    Without a number, a write comes out short. Closing closes all the same, as it does on a real system.
    """

    name: str
    number: int | None
    forever: bool
    only: tuple[str, ...]

    @property
    def exact(self) -> bool:
        """Whether what failed can be taken out again."""
        return not self.forever or "ftruncate" not in self.only

    def begin(self, home: Path, at: int) -> Failing:
        """From the `at`-th operation."""
        return Failing(self, at)


@dataclass
class Failing:
    """A fault about to strike."""

    fault: Fault
    at: int
    done: int = 0

    def __call__(self, name: str, real: Act, *args: Any, **options: Any) -> Any:
        fault = self.fault
        self.done += name in fault.only
        strikes = self.done == self.at or (fault.forever and self.done > self.at)
        if name not in fault.only or not strikes:
            return real(*args, **options)
        if fault.number is None:
            return real(args[0], bytes(args[1])[: len(args[1]) // 2])
        if name == "close":
            real(*args)
        raise OSError(fault.number, os.strerror(fault.number))

    def end(self) -> None:
        """There is nothing to put right."""


@dataclass(frozen=True)
class Vanish:
    """A folder taken away, and perhaps an empty one left in its place."""

    folder: Path
    stand_in: bool
    exact = False

    @property
    def name(self) -> str:
        """What happens to which folder."""
        return f"{self.folder}-{'replaced' if self.stand_in else 'gone'}"

    def begin(self, home: Path, at: int) -> Vanishing:
        """Before the `at`-th operation."""
        return Vanishing(home / self.folder, home / "away", self.stand_in, at)


@dataclass
class Vanishing:
    """A folder about to vanish."""

    folder: Path
    away: Path
    stand_in: bool
    at: int
    done: int = 0

    def __call__(self, name: str, real: Act, *args: Any, **options: Any) -> Any:
        self.done += 1
        if self.done == self.at:
            self.folder.rename(self.away)
            if self.stand_in:
                self.folder.mkdir()
        return real(*args, **options)

    def end(self) -> None:
        """Bring the folder back, together with whatever was put in its place meanwhile."""
        if self.done < self.at:
            return
        if self.stand_in:
            for path in self.folder.iterdir():
                if (self.away / path.name).exists():
                    raise FileExistsError(f"{path} is in both folders")
                path.rename(self.away / path.name)
            self.folder.rmdir()
        self.away.rename(self.folder)


FAULTS = tuple(
    Fault(f"{name}-{'on' if forever else 'once'}", number, forever, only)
    for name, number, only in (
        ("eio", errno.EIO, ALL),
        ("enospc", errno.ENOSPC, ALL),
        ("eintr", errno.EINTR, ALL),
        ("short", None, ("write",)),
        ("unsynced", errno.EIO, ("fsync",)),
    )
    for forever in (False, True)
)
_VANISHES = tuple(Vanish(folder, stand_in) for folder in (SESSIONS, OTHER) for stand_in in (False, True))
TROUBLES: tuple[Fault | Vanish, ...] = (*FAULTS, *_VANISHES)


# ---- scenarios ----------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Scenario:
    """Work on a session of a few events, after which may stand a part of one more, or all of it.

    `run` may leave a journal open, for whatever is then to be saved elsewhere.
    """

    name: str
    run: Callable[[Said], Journal | None]
    events: int = 2
    tail: float = 0.0

    def prepare(self, home: Path) -> Said:
        """Make the home's folders, and the session if it is there beforehand."""
        (home / SESSIONS).mkdir(parents=True)
        (home / OTHER).mkdir()
        said = Said(home)
        if self.events:
            with Journal.create(home / SESSIONS, STEM, HEADER) as journal:
                said.append(journal, self.events)
                block, link = event_bytes(journal.contents.link, entry(self.events + 1, 3))
            said.offer(link)
            said.tail = block[: int(len(block) * self.tail)]
            said.there = self.events + (said.tail == block)
            with (home / FILE).open("ab") as file:
                file.write(said.tail)
        return said


def _begin(said: Said) -> None:
    with said.listening(), Journal.create(said.home / SESSIONS, STEM, HEADER) as journal:
        said.began(journal)
        said.append(journal)


APPENDS = (1, 2, 1, 1)


def _append(said: Said) -> Journal | None:
    with said.listening():
        journal = Journal.open(said.home / FILE)
        for events in APPENDS:
            said.append(journal, events)
        return journal
    return None


def _append_and_reopen(said: Said) -> None:
    if journal := _append(said):
        journal.close()
    _recover(said)


def _recover(said: Said) -> None:
    with said.listening(), Journal.open(said.home / FILE) as journal:
        said.append(journal)


def _seal(said: Said) -> Journal | None:
    with said.listening():
        journal = Journal.open(said.home / FILE)
        said.append(journal)
        for _ in range(2):
            said.append(journal, make=sealing)
        return journal
    return None


def _copy(said: Said) -> None:
    with said.listening(), Journal.open(said.home / FILE) as journal:
        said.copy(journal)
        said.append(journal)


SCENARIOS = (
    Scenario("begin", _begin, events=0),
    Scenario("append", _append),
    Scenario("append-and-reopen", _append_and_reopen),
    Scenario("recover", _recover, tail=0.6),
    Scenario("follow-a-killed-writer", _recover, tail=1.0),
    Scenario("copy", _copy),
    Scenario("seal", _seal),
)


def fail_everywhere(scenario: Scenario, trouble: Fault | Vanish, tally: Tally) -> None:
    """Run a scenario with its first, second, … operation in trouble, until it has no more of them.

    What it leaves open is then saved elsewhere, and another session is begun in the same folder.
    """
    for at in count(1):
        with quick_folder() as folder:
            home = Path(folder) / "home"
            said = scenario.prepare(home)
            act = trouble.begin(home, at)
            with interposed(act):
                journal = scenario.run(said)
            act.end()
            if act.done < at:
                return
            tally.tried += 1
            if journal:
                with journal:
                    said.copy(journal)
            with said.listening(), Journal.create(home / SESSIONS, STEM, HEADER) as another:
                said.began(another)
            tally.weigh(home, said, f"{scenario.name}, {trouble.name}, operation {at}", exact=trouble.exact)
