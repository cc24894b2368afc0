"""Readings that are taken at a time after all heat was called, and how far apart two of them were."""

from __future__ import annotations

from calendar import timegm
from collections.abc import Iterable
from functools import lru_cache
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from asleft.session.fields import Field
    from asleft.session.ledger import Ledger
    from asleft.session.state import Entry

LEAST_APART_S = 480.0
"""Least time from the first reading of a series to its last, for the last to be one (common practice)."""
_AFTER = "after."


class Series(NamedTuple):
    """The first and the last field of a timed series, and when the first is due, in seconds."""

    first: str = ""
    last: str = ""
    first_s: float = 0.0


def after_s(field: Field) -> float | None:
    """Seconds after all heat was called at which a field is taken; None where it is not timed."""
    return float(field.state.removeprefix(_AFTER)) if field.state.startswith(_AFTER) else None


def series_of(fields: Iterable[Field]) -> Series:
    """The ends of the timed series among these fields; empty where nothing is timed."""
    due = sorted((at, field.id) for field in fields if (at := after_s(field)) is not None)
    return Series(due[0][1], due[-1][1], due[0][0]) if due else Series()


def apart_s(first: Entry, last: Entry) -> float:
    """Seconds from one reading to another: by the times that they brought, else by those of the entries."""
    return seconds_of(last.taken_at) - seconds_of(first.taken_at)


@lru_cache(maxsize=1024)
def seconds_of(utc: str) -> float:
    """Seconds since 1970 of a time as the session file has it.

    >>> seconds_of("1970-01-02T00:00:01.5Z")
    86401.5
    """
    date, _, time = utc.removesuffix("Z").partition("T")
    whole, _, part = time.partition(".")
    seconds = timegm((*map(int, date.split("-")), *map(int, whole.split(":"))))
    return seconds + (float(f"0.{part}") if part else 0.0)


def too_soon(ledger: Ledger, field_id: str) -> str:
    """Why the last reading of a timed series is none yet, in words; empty where nothing is wrong with it."""
    first, last = ledger.current(ledger.series.first), ledger.state.latest(field_id)
    if first is None or last is None or not ledger.too_soon_s(field_id):
        return ""
    apart = apart_s(first, last)
    when = f"{_shown(apart)} after" if apart >= 0.0 else "before"
    labels = [ledger.fields[id].label for id in (last.field, first.field)]
    return f"“{labels[0]}” was read {when} “{labels[1]}”. {_shown(LEAST_APART_S)} must pass between them."


def read_later(ledger: Ledger, field_id: str) -> str:
    """What to do about a reading that came too soon, counted from that reading."""
    minutes = max(1, -int(-min(ledger.too_soon_s(field_id), LEAST_APART_S) // 60.0))
    return f"Keep all heat on. Read it again after {minutes} more minute{'s' if minutes > 1 else ''}."


def _shown(seconds: float) -> str:
    return f"{seconds:.0f} s" if seconds < 120.0 else f"{int(seconds // 60.0)} min"
