"""Power lost at any operation of a session file, as a drive may show it afterwards.

A model of a drive keeps which bytes and which names were synced when. At every operation the power goes, and
what was not synced is dropped, kept, kept in part, zeroed or garbled; each outcome is written out and opened.
"""

from __future__ import annotations

import errno
import os
import shutil
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from itertools import product
from pathlib import Path
from random import Random
from typing import Any

from faults.journal_faults import (
    FAULTS,
    FILE,
    OTHER,
    Act,
    Failing,
    Place,
    Said,
    Scenario,
    Tally,
    interposed,
    quick_folder,
)

MOST_MIXED = 200
"""Where several changes are unsynced, how often each gets a fate of its own."""


# ---- a drive ------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Change:
    """Bytes written at a place in a file; or, without bytes, the file cut there.

    `durable` once an fsync came back well. What a refused fsync covered is `doubtful` for good: the system
    may count it as clean, so that no later fsync writes it.
    """

    offset: int
    data: bytes | None
    durable: bool = False
    doubtful: bool = False


@dataclass(frozen=True)
class Stored:
    """A file as a drive may hold it: what is durable, and changes to it in their order."""

    base: bytes
    changes: tuple[Change, ...] = ()

    def content(self, spoilt: Mapping[int, bytes | None]) -> bytes:
        """The bytes, with some changes come out otherwise: other bytes, or (None) not done."""
        data = bytearray(self.base)
        for number, change in enumerate(self.changes):
            done = spoilt.get(number, change.data)
            if done is not None:
                data.extend(bytes(max(0, change.offset - len(data))))
                data[change.offset : change.offset + len(done)] = done
            elif change.data is None and number not in spoilt:
                del data[change.offset :]
        return bytes(data)

    def changed(self, offset: int, data: bytes | None) -> Stored:
        """With one more change, which nothing has made durable."""
        return replace(self, changes=(*self.changes, Change(offset, data)))

    def synced(self) -> Stored:
        """After an fsync."""
        changes = tuple(replace(change, durable=not change.doubtful) for change in self.changes)
        return replace(self, changes=changes)

    def doubted(self) -> Stored:
        """After an fsync that was refused."""
        changes = (
            replace(change, doubtful=change.doubtful or (not change.durable and change.data is not None))
            for change in self.changes
        )
        return replace(self, changes=tuple(changes))

    def survivors(self, random: Random, cuts: int) -> Iterator[tuple[str, bytes]]:
        """What a power cut may leave, each with a word for it; writes are spoilt from `cuts` places on."""
        loose = [number for number, change in enumerate(self.changes) if not change.durable]
        yield "kept", self.content({})
        yield "dropped", self.content(dict.fromkeys(loose))
        for place, number in enumerate(loose):
            data, later = self.changes[number].data, dict.fromkeys(loose[place + 1 :])
            if data is None:
                yield "not cut", self.content({number: None})
                continue
            for at in sorted(random.sample(range(len(data)), min(cuts, len(data)))):
                for word, instead in _spoilt(data, at, random):
                    yield word, self.content({**later, number: instead})
        for _ in range(min(cuts, MOST_MIXED) if len(loose) > 1 else 0):
            yield "mixed", self.content({number: self._fate(number, random) for number in loose})

    def _fate(self, number: int, random: Random) -> bytes | None:
        data = self.changes[number].data
        if data is None:
            return None
        return random.choice(
            [None, data, *(d for _, d in _spoilt(data, random.randrange(len(data)), random))]
        )


def _spoilt(data: bytes, at: int, random: Random) -> Iterator[tuple[str, bytes]]:
    zeros = bytes(len(data))
    yield "kept in part", data[:at]
    yield "zeroed", data[:at] + zeros[at:]
    yield "zeroed", zeros[: at + 1] + data[at + 1 :]
    yield "garbled", data[:at] + random.randbytes(len(data) - at)
    yield "garbled", random.randbytes(at + 1) + data[at + 1 :]
    yield "one bit", data[:at] + bytes([data[at] ^ 1 << random.randrange(8)]) + data[at + 1 :]


@dataclass(frozen=True)
class Moment:
    """What the drive may hold under each name (None: no such name), and what was said by then."""

    files: Mapping[Path, tuple[Stored | None, ...]]
    saved: Mapping[Path, Place]
    offered: frozenset[str]

    def images(self, random: Random, cuts: int) -> Iterator[tuple[dict[Path, str], dict[Path, bytes]]]:
        """Every home that a power cut may leave, with what became of a file that was not all synced."""
        for chosen in product(*self.files.values()):
            there = {path: stored for path, stored in zip(self.files, chosen, strict=True) if stored}
            if not there:
                yield {}, {}
            for spoilt, stored in there.items():
                others = [[(path, data) for data in _ends(there[path])] for path in there if path != spoilt]
                for word, data in stored.survivors(random, cuts):
                    for rest in product(*others):
                        yield {spoilt: word}, {spoilt: data, **dict(rest)}

    def restored(self, home: Path, held: Mapping[Path, bytes]) -> Said:
        """Write such a home, and give what was said of it."""
        for folder in (FILE.parent, OTHER):
            (home / folder).mkdir(parents=True)
        for path, data in held.items():
            (home / path).write_bytes(data)
        said = Said(home)
        said.saved.update(self.saved)
        said.offered.update(self.offered)
        return said


def _ends(stored: Stored) -> set[bytes]:
    return {data for word, data in stored.survivors(Random(), 0) if word in ("kept", "dropped")}


class Drive:
    """What every file operation is handed to, so that it knows what an fsync has made last.

    The last `unsynced` bytes of the session file are not, to begin with. The `refused`-th fsync fails.
    """

    def __init__(self, said: Said, unsynced: int, refused: int) -> None:
        self.said, self.refused, self.syncs = said, refused, 0
        self.folders = (said.home / FILE.parent, said.home / OTHER)
        self.descriptors: dict[int, Path | int] = {}
        self.stored: list[Stored] = []
        self.names: dict[Path, int] = {}
        for path in (path for folder in self.folders for path in folder.iterdir()):
            self.names[path] = len(self.stored)
            data = path.read_bytes()
            size = len(data) - (unsynced if path == said.home / FILE else 0)
            self.stored.append(Stored(data[:size], (Change(size, data[size:]),) if data[size:] else ()))
        self.lasting = dict(self.names)
        self.moments = [self.now()]

    def now(self) -> Moment:
        """What there is to lose before the next operation."""
        choices: dict[Path, tuple[Stored | None, ...]] = {}
        for path in sorted({*self.names, *self.lasting}):
            numbers = dict.fromkeys((self.names.get(path), self.lasting.get(path)))
            named = tuple(None if number is None else self.stored[number] for number in numbers)
            choices[path.relative_to(self.said.home)] = named
        return Moment(choices, dict(self.said.saved), frozenset(self.said.offered))

    def __call__(self, name: str, real: Act, *args: Any, **options: Any) -> Any:
        self.moments.append(self.now())
        if name == "fsync":
            return self._sync(self.descriptors[args[0]])
        result = real(*args, **options)
        if name == "open":
            self._opened(Path(args[0]), result)
        elif name == "close":
            del self.descriptors[args[0]]
        elif name == "unlink":
            del self.names[Path(args[0])]
        elif name in ("write", "ftruncate"):
            number = self.descriptors[args[0]]
            assert isinstance(number, int)
            stored = self.stored[number]
            if name == "write":
                self.stored[number] = stored.changed(len(stored.content({})), bytes(args[1])[:result])
            else:
                self.stored[number] = stored.changed(args[1], None)
        return result

    def _opened(self, path: Path, descriptor: int) -> None:
        if path in self.folders:
            self.descriptors[descriptor] = path
            return
        if path not in self.names:
            self.names[path] = len(self.stored)
            self.stored.append(Stored(b""))
        self.descriptors[descriptor] = self.names[path]

    def _sync(self, what: Path | int) -> None:
        self.syncs += 1
        refuse = self.syncs == self.refused
        if isinstance(what, int):
            self.stored[what] = self.stored[what].doubted() if refuse else self.stored[what].synced()
        elif not refuse:
            elsewhere = {path: number for path, number in self.lasting.items() if path.parent != what}
            self.lasting = elsewhere | {p: number for p, number in self.names.items() if p.parent == what}
        if refuse:
            raise OSError(errno.EIO, os.strerror(errno.EIO))

    def must_be_what_is_there(self) -> None:
        """A model that has lost count of the files proves nothing."""
        there = {path: path.read_bytes() for folder in self.folders for path in folder.iterdir()}
        if there != {path: self.stored[number].content({}) for path, number in self.names.items()}:
            raise AssertionError("the model of the drive is not what is on the real one")


# ---- power cuts ---------------------------------------------------------------------------------------

SHORT = next(fault for fault in FAULTS if fault.name == "short-once")
MAY_BREAK = ("zeroed", "garbled", "one bit", "not cut", "mixed")
"""What may make a file broken; bytes only missing at the end never do."""


@dataclass
class Outages(Tally):
    """What came of power cuts. `cuts` counts those whose session had been begun, by what they did to it."""

    cuts: Counter[str] = field(default_factory=Counter)


def cut_power(
    scenario: Scenario,
    tally: Outages,
    random: Random,
    cuts: int,
    seen: set[object],
    *,
    short: int = 0,
    refused: int = 0,
    unsynced: bool = False,
) -> bool:
    """Cut the power at every operation of a scenario. False if the trouble asked for did not come up in it.

    The `short`-th write is a short one, the `refused`-th fsync fails, the tail is `unsynced` at first. What
    was `seen` already, with as much said, is not looked at again.
    """
    with quick_folder() as folder:
        home, image = Path(folder) / "home", Path(folder) / "image"
        said = scenario.prepare(home)
        drive, trouble = Drive(said, len(said.tail) if unsynced else 0, refused), Failing(SHORT, short)
        with interposed(drive), interposed(trouble):
            journal = scenario.run(said)
        drive.moments.append(drive.now())
        if journal:
            journal.close()
        drive.must_be_what_is_there()
        if drive.syncs < refused or trouble.done < short:
            return False
        for number, moment in enumerate(drive.moments):
            for spoilt, held in moment.images(random, cuts):
                bad = {path: word for path, word in spoilt.items() if word in MAY_BREAK}
                key = (unsynced, bool(bad), frozenset(held.items()), frozenset(moment.saved.items()))
                if key in seen:
                    continue
                seen.add(key)
                tally.tried += 1
                tally.cuts.update(word for path, word in spoilt.items() if path in moment.saved)
                after = moment.restored(image, held)
                after.tail = b"" if unsynced else said.tail
                what = f"{scenario.name}, short {short}, refused {refused}, cut {number}: {spoilt}"
                tally.weigh(image, after, what, spoilt=bad)
                shutil.rmtree(image)
    return True


def cut_power_everywhere(scenario: Scenario, tally: Outages, random: Random, cuts: int, more: int) -> None:
    """Without other trouble, then with a write that comes out short and with an fsync that is refused.

    What was written is spoilt from `cuts` places on, and from `more` where there was trouble before.
    """
    seen: set[object] = set()
    for unsynced in {False, scenario.tail > 0}:
        cut_power(scenario, tally, random, cuts, seen, unsynced=unsynced)
    at = 1
    while cut_power(scenario, tally, random, more, seen, short=at):
        at += 1
    at = 1
    while cut_power(scenario, tally, random, more, seen, refused=at):
        at += 1
