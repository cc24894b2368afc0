"""What a field is known to read, with the uncertainty of the instrument that read it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from asleft.calc import COVERAGE, Measured, expanded_from_limit, instrument_uncertainty, mean_of_readings
from asleft.equipment.accuracy import Accuracy, parse_accuracy
from asleft.session.values import number_of

if TYPE_CHECKING:
    from asleft.session.ledger import Ledger
    from asleft.session.state import Entry, InHand


@dataclass(frozen=True, slots=True)
class Known:
    """A number with its expanded uncertainty (k = 2), both in the base unit.

    `unknown_accuracy`: it was measured, and nobody knows how well.
    """

    value: float
    expanded: float
    unknown_accuracy: bool
    n: int
    field: str
    kind: str

    @property
    def measured(self) -> Measured:
        """The number with its uncertainty alone."""
        return Measured(self.value, self.expanded)


def known(ledger: Ledger, field_id: str) -> Known | None:
    """The newest entry of a numeric field that is not stale; None where there is none or it is no number."""
    try:
        return ledger.numbers[field_id]
    except KeyError:
        entry = ledger.current(field_id)
        number = ledger.numbers[field_id] = of_entry(ledger, entry) if entry else None
        return number


def of_entry(ledger: Ledger, entry: Entry) -> Known | None:
    """An entry as a number with its uncertainty: JCGM 100, 4.3.7 for the instrument, 4.2 for repeats."""
    value = number_of(entry.value)
    if value is None:
        return None
    field = ledger.fields.get(entry.field)
    kind = field.kind if field else ""
    measured = field is not None and field.measured
    used = _used(ledger, entry) if measured else None
    standard = _instrument_standard(used, kind, value) if used else None
    # A typed limit may widen an instrument's, never narrow it.
    limit = max(standard or 0.0, expanded_from_limit(entry.plus_minus) / 2.0)
    # Alone, a reading has no scatter.
    alone = len(entry.readings) <= 1
    expanded = COVERAGE * limit if alone else mean_of_readings(entry.readings, limit).expanded
    return Known(value, expanded, measured and standard is None, entry.n, entry.field, kind)


def own_spread(ledger: Ledger, field_id: str) -> float:
    """U of the newest entry of a field without its instrument's gain, which another reading by it shares."""
    found, entry = known(ledger, field_id), ledger.current(field_id)
    used = _used(ledger, entry) if entry is not None else None
    if found is None or used is None:
        return 0.0 if found is None else found.expanded
    alone = _instrument_standard(used, found.kind, 0.0)
    whole = _instrument_standard(used, found.kind, found.value)
    if alone is None or whole is None:
        return found.expanded
    # What was typed beside it, and the scatter of repeats, stay.
    own, all_of_it = COVERAGE * alone, COVERAGE * whole
    return math.sqrt(max(own**2, found.expanded**2 - all_of_it**2 + own**2))


def _used(ledger: Ledger, entry: Entry) -> InHand | None:
    """The instrument that took it, as it was described last before the entry."""
    if not entry.instrument:
        return None
    for used in reversed(ledger.state.used):
        if used.instrument == entry.instrument and used.n < entry.n:
            return used
    return None


@lru_cache(maxsize=256)
def _accuracy(line: str) -> Accuracy:
    return parse_accuracy(line)


def _instrument_standard(used: InHand, kind: str, value: float) -> float | None:
    for line in used.accuracy:
        accuracy = _accuracy(line)
        if accuracy.kind == kind:
            return instrument_uncertainty(
                value, 100.0 * accuracy.percent, accuracy.counts, accuracy.resolution, accuracy.absolute
            ).standard
    return None
