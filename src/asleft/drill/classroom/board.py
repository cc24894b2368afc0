"""A class at its drills, from session files alone: who is where, what was broken, found and missed."""

from __future__ import annotations

import os
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import tomli

from asleft.drill.classroom.matching import Report, matched, reports_of
from asleft.installation.faults import FAULTS, Fault
from asleft.journal import Chain, Contents, NotASession, classify
from asleft.journal.files import LARGEST
from asleft.journal.tree import session_files
from asleft.session.events import Event, read_all
from asleft.session.fields import PANES
from asleft.session.payloads import (
    Broke,
    Drilled,
    Entered,
    Hinted,
    Resumed,
    Revealed,
    Sealed,
    SettingDone,
    Signed,
    Used,
)
from asleft.session.saying import what_of
from asleft.session.state import fold_all

DRILL = b'mode = "drill"'
"""What the header of a drill holds; a damaged file with it is told of, any other is no drill's."""
HEAD = 4096
"""Bytes at the beginning of a file in which a drill says that it is one."""
WORKING, SIGNED, OVER = "working", "signed", "over"
MOST = 500
"""Files looked at: more than any class, so that a wrong folder costs little."""


@dataclass(frozen=True, slots=True)
class Trainee:
    """One drill. `state` is working, signed or over; `trouble` says why its file cannot be read whole.

    `found`, `missed`, `hidden` and `false` are known when it is over. `minutes` are since the first entry,
    `still` since the last.
    """

    file: str
    who: str
    unit: str
    level: int
    state: str
    pane: str
    last: str
    entries: int
    minutes: float
    still: float
    breaches: int
    reports: int
    hints: int
    found: int = 0
    missed: tuple[str, ...] = ()
    hidden: tuple[str, ...] = ()
    false: int = 0
    trouble: str = ""
    began: str = ""
    latest: str = ""


@dataclass(frozen=True, slots=True)
class Missed:
    """A kind of fault, how often it was hidden in drills that are over, and how often nobody reported it."""

    kind: str
    called: str
    hidden: int
    missed: int


@dataclass(frozen=True, slots=True)
class ClassNow:
    """The class as its files stand: rows by name, so that nobody has to look for a row twice."""

    rows: tuple[Trainee, ...]
    missed: tuple[Missed, ...]
    trouble: str = ""
    cut: bool = False
    """Whether the folder holds more files than were looked at."""

    @property
    def notes(self) -> tuple[str, ...]:
        """What is to be said of the folder besides its rows."""
        few = f"Only {MOST} files of this folder are looked at; a class has a folder of its own."
        return (few,) if self.cut else ()

    def count(self, state: str) -> int:
        """How many drills are in a state."""
        return sum(row.state == state for row in self.rows)


class Board:
    """A folder looked at again and again: only files that changed are read."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._known: dict[Path, tuple[tuple[int, int, int], Trainee | None]] = {}

    def look(self, now: datetime | None = None) -> ClassNow:
        """How the class stands. Whatever a file holds, it is a row or none; nothing is raised for it."""
        moment = now or datetime.now(UTC)
        if not self._folder.is_dir():
            return ClassNow((), (), f"There is no folder {self._folder}.")
        seen: dict[Path, tuple[tuple[int, int, int], Trainee | None]] = {}
        cut = False
        for n, path in enumerate(session_files(self._folder)):
            if cut := n >= MOST:
                break
            try:
                found = path.stat(follow_symlinks=False)
            except OSError:
                continue
            stamp = (found.st_size, found.st_mtime_ns, found.st_ino)
            before = self._known.get(path)
            unchanged = before is not None and before[0] == stamp and not _half(before[1])
            seen[path] = before if unchanged and before is not None else (stamp, self._row(path, stamp[0]))
        self._known = seen
        rows = [_at(row, moment) for _, row in seen.values() if row is not None]
        rows.sort(key=lambda row: (row.who.casefold(), row.began, row.file))
        return ClassNow(tuple(rows), tuple(_missed(rows)), cut=cut)

    def _row(self, path: Path, size: int) -> Trainee | None:
        name = os.path.relpath(path, self._folder)
        try:
            with path.open("rb") as file:
                data = file.read(HEAD)
                if DRILL not in data:
                    return None
                if size > LARGEST:
                    return _unread(name, f"larger than {LARGEST // 1_000_000} MB")
                data += file.read(LARGEST)
        except OSError as error:
            return _unread(name, (error.strerror or str(error)).lower())
        try:
            return _trainee(name, classify(data))
        except (NotASession, ValueError, KeyError, TypeError) as error:
            return _unread(name, f"cannot be read: {error}"[:200])


def _half(row: Trainee | None) -> bool:
    """Whether a file was caught in the middle of an entry, and is worth another look unchanged."""
    return row is not None and row.trouble.startswith("an entry is being written")


def _unread(name: str, why: str) -> Trainee:
    return Trainee(name, Path(name).stem, "", 0, "", "", "", 0, 0.0, 0.0, 0, 0, 0, trouble=why)


def _trainee(name: str, contents: Contents) -> Trainee | None:
    if not contents.header:
        return _unread(name, "not even its beginning is verified" if contents.tail else "it has just begun")
    events = read_all(contents.events)
    state = fold_all(events)
    work = [e for e in events if not isinstance(e.what, Drilled | Revealed | Sealed | Resumed)]
    reports = tuple(reports_of(state))
    trouble = {
        Chain.WHOLE: "",
        Chain.TORN: "an entry is being written, or was cut short",
        Chain.BROKEN: f"damaged: {contents.trouble}",
    }[contents.chain]
    row = Trainee(
        name,
        state.text("identity.technician") or str(contents.header["session"]["opened_by"]),
        _unit(contents),
        next((e.what.level or 0 for e in events if isinstance(e.what, Drilled)), 0),
        OVER if state.revealed else SIGNED if state.signature else WORKING,
        _pane(events),
        what_of(work[-1]) if work else "",
        len(events),
        0.0,
        0.0,
        sum(isinstance(e.what, Broke) for e in events),
        len(reports),
        sum(isinstance(e.what, Hinted) for e in events),
        trouble=trouble,
        began=events[0].at if events else "",
        latest=events[-1].at if events else "",
    )
    return _judged(row, reports, events) if state.revealed else row


def _judged(row: Trainee, reports: Sequence[Report], events: Sequence[Event]) -> Trainee:
    """With what came of the reports, now that the sheet is in the file."""
    told = next(e.what for e in events if isinstance(e.what, Revealed))
    sheet: Mapping[str, Any] = tomli.loads("\n".join(told.sheet))
    faults = [
        Fault(str(f["kind"]), float(f.get("size", 1.0)), str(f.get("where", "")))
        for f in sheet.get("fault", ())
        if f.get("kind") in FAULTS
    ]
    held = matched(faults, [r for r in reports if r.kind in FAULTS])
    missed = tuple(match.fault.kind for match in held.faults if match.report is None)
    hidden = tuple(fault.kind for fault in faults)
    return replace(row, found=len(faults) - len(missed), missed=missed, hidden=hidden, false=len(held.false))


def _unit(contents: Contents) -> str:
    try:
        return str(tomli.loads(contents.equipment_text)["unit"]["id"])
    except (tomli.TOMLDecodeError, KeyError, TypeError):
        return ""


def _pane(events: Sequence[Event]) -> str:
    """Where somebody works: the pane of the last thing that has one."""
    for event in reversed(events):
        what = event.what
        pane = what.field.partition(".")[0] if isinstance(what, Entered | Used) else ""
        if pane in PANES:
            return pane
        if isinstance(what, SettingDone):
            return "sequence"
        if isinstance(what, Signed | Revealed):
            return "signoff"
    return ""


def _at(row: Trainee, now: datetime) -> Trainee:
    """The row with the minutes that have gone by; of a drill that is over, those that it took."""
    if not row.began:
        return row
    began, latest = (datetime.fromisoformat(at) for at in (row.began, row.latest))
    end = latest if row.state == OVER else now
    minutes = max(0.0, round((end - began).total_seconds() / 60.0, 1))
    still = 0.0 if row.state == OVER else max(0.0, round((now - latest).total_seconds() / 60.0, 1))
    return replace(row, minutes=minutes, still=still)


def _missed(rows: Sequence[Trainee]) -> list[Missed]:
    """The faults of drills that are over, the most missed first."""
    missed = Counter(kind for row in rows for kind in row.missed)
    hidden = Counter(kind for row in rows for kind in row.hidden)
    return [
        Missed(kind, FAULTS[kind].called, hidden[kind], n)
        for kind, n in sorted(missed.items(), key=lambda item: (-item[1], item[0]))
    ]
