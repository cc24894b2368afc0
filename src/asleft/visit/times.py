"""When a reading was taken, as a file of readings says it: what cannot be so is refused."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

from asleft.session.acts import Enter
from asleft.session.timed import seconds_of
from asleft.visit.refusal import Refused

if TYPE_CHECKING:
    from asleft.session.acts import Act
    from asleft.visit.view import View

EXPECTED = "a time with its zone, such as 2031-05-04T09:30:00Z or 2031-05-04T11:30:00+02:00"


def utc_of(typed: str) -> str:
    """A time as the session file has it, in UTC to the second, from ISO 8601 with a zone. Raises Refused."""
    try:
        read = datetime.fromisoformat(typed.strip())
    except ValueError:
        raise Refused(f"read_at {typed!r} is no time", EXPECTED) from None
    if read.tzinfo is None:
        raise Refused(f"read_at {typed!r} has no zone", EXPECTED)
    try:
        return read.astimezone(UTC).replace(microsecond=0, tzinfo=None).isoformat() + "Z"
    except OverflowError:
        raise Refused(f"read_at {typed!r} is no time", EXPECTED) from None


def proved_time(view: View, act: Act, typed: str, now: str) -> str:
    """When a reading was taken, in UTC, where the record allows it. Raises Refused.

    It cannot lie ahead of its entry, before the visit was opened, or before what changed the reading since.
    """
    field = view.ledger.fields.get(act.field) if isinstance(act, Enter) else None
    if field is None or not field.measured:
        raise Refused(f"{str(act)!r} is no reading and has no read_at", "read_at beside readings alone")
    read_at = utc_of(typed)
    at_s = seconds_of(read_at)
    if at_s > seconds_of(now):
        raise Refused(f"read_at {read_at} is later than its entry, {now}", EXPECTED)
    state = view.state
    opened = state.history[0].at if state.history else now
    if at_s < seconds_of(opened):
        raise Refused(f"read_at {read_at} is before the visit began, {opened}", EXPECTED)
    by_n = {event.n: event.at for event in state.history}
    changed = view.ledger.changes(field.id)
    if changed and at_s < seconds_of(by_n[changed[-1]]):
        raise Refused(
            f"read_at {read_at} is before event {changed[-1]} changed this reading, {by_n[changed[-1]]}",
            "the reading taken after it",
        )
    return read_at
