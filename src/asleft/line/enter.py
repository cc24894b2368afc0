"""`asleft enter FILE`: acts submitted one by one, as a person would."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from asleft.journal import read
from asleft.line.next import as_mapping, as_text
from asleft.line.reading import named
from asleft.line.seen import remember
from asleft.line.text import complain, dumped, plain, say, say_all
from asleft.session.payloads import Reviewed, Sealed
from asleft.visit import Refused, Visit
from asleft.visit.times import utc_of

if TYPE_CHECKING:
    from asleft.equipment.model import Instrument

COLUMNS = ["left", "value"]
TIMED_COLUMNS = [*COLUMNS, "read_at"]
_LARGEST_CSV = 4_000_000


class Usage(ValueError):
    """Arguments that cannot be read: what was wrong and what would be right."""


class Pair(NamedTuple):
    """An act and what is typed for it; `read_at` where a file says when that was read."""

    left: str
    value: str
    read_at: str = ""


def pairs_of(words: Sequence[str]) -> list[Pair]:
    """`LEFT=VALUE` words parted at the first equals sign. Raises Usage."""
    pairs = []
    for word in words:
        left, equals, value = word.partition("=")
        if not equals or not left.strip():
            raise Usage(f"{word!r} is no act; write LEFT=VALUE, such as power=off")
        pairs.append(Pair(left.strip(), value))
    return pairs


def pairs_from(path: Path) -> list[Pair]:
    """The acts of a CSV file with the columns left,value, and read_at where readings bring their time.

    Raises Usage, or OSError if unreadable. A time that lies before one above it is none that can be: the
    rows are acts in order.
    """
    with path.open("rb") as file:
        data = file.read(_LARGEST_CSV + 1)
    if len(data) > _LARGEST_CSV:
        raise Usage(f"{path} holds more than {_LARGEST_CSV} bytes; no more are read")
    try:
        rows = list(csv.reader(io.StringIO(data.decode("utf-8-sig"), newline=""), strict=True))
    except (UnicodeDecodeError, csv.Error) as error:
        raise Usage(f"{path} is no CSV in UTF-8: {error}") from error
    head = [cell.strip() for cell in rows[0]] if rows else []
    if head not in (COLUMNS, TIMED_COLUMNS):
        raise Usage(f"{path} does not begin with the line left,value or left,value,read_at")
    pairs: list[Pair] = []
    before = ""
    for number, row in enumerate(rows[1:], 2):
        if not row:
            continue
        if len(row) != len(head) or not row[0].strip():
            belong = f"{len(head)} belong there, {', '.join(head)}"
            raise Usage(f"{path}, row {number} has {len(row)} cells; {belong}")
        typed = row[2].strip() if len(row) > len(COLUMNS) else ""
        try:
            read_at = utc_of(typed) if typed else ""
        except Refused as error:
            raise Usage(f"{path}, row {number}: {error}") from error
        if read_at and read_at < before:
            raise Usage(f"{path}, row {number}: read_at {read_at} is earlier than a row above it, {before}")
        before = read_at or before
        pairs.append(Pair(row[0].strip(), row[1], read_at))
    return pairs


def run(
    path: Path,
    pairs: Sequence[Pair],
    instruments: Mapping[str, Instrument],
    *,
    by: str,
    clock: Callable[[], str],
    zone: str = "",
    as_json: bool,
    system: str = "ip",
    of_a_drill: Callable[[Visit], None] = lambda _: None,
) -> int:
    """Enter acts in order and print what is next: 0, or 2 at the first one refused, those before it saved.

    `of_a_drill` makes a visit to a drill ready to be ended. Raises JournalError, NotASession and SaveFailed.
    """
    with named(path):
        visit = Visit.open(path, instruments, by=by, clock=clock, zone=zone)
    try:
        visit.by = by or visit.view.state.text("identity.technician") or _opened_by(path)
        if visit.view.state.drilled:
            of_a_drill(visit)
        if visit.torn_kept:
            complain(f"{path}: a torn tail was cut off and kept as {visit.torn_kept.name}.")
        saved, refused = 0, None
        for left, value, read_at in pairs:
            try:
                visit.enter(left, value, system=system, read_at=read_at)
            except Refused as error:
                refused = {"left": left, "value": value, "why": str(error)}
                break
            saved += 1
        if refused:
            complain(
                f"{refused['left']}={refused['value']} refused: {refused['why']}; {saved} saved before it."
            )
        if as_json:
            say(dumped(_as_json(visit, saved, refused)))
        elif not refused:
            say_all([f"Saved {saved} in {plain(visit.path.name)}. Next:", *as_text(visit.view.next)])
    finally:
        visit.close()
    if any(isinstance(event.what, Sealed | Reviewed) for event in visit.view.state.history[-1:]):
        remember(visit.path)
    return 2 if refused else 0


def _as_json(visit: Visit, saved: int, refused: Mapping[str, str] | None) -> dict[str, Any]:
    return {"saved": saved, "refused": refused, "next": as_mapping(visit.view.next)}


def _opened_by(path: Path) -> str:
    return str(read(path).header["session"]["opened_by"])
