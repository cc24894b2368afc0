"""What a source prints, how exactly its digits bind, and our answer to its inputs as printed."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from asleft.calc.working import answer
from asleft.quantity import to_unit

_ROUNDING = 1e-12


def tolerance(digits: str, units: float = 0.5) -> float:
    """Give what the last printed digit leaves open: half a unit of it, or as many units as asked."""
    exponent = Decimal(_plain(digits)).as_tuple().exponent
    assert isinstance(exponent, int)
    return units * 10.0**exponent


def printed(digits: str, units: float = 0.5) -> Any:
    """Compare equal to whatever would be printed with these digits.

    ``units`` is half a unit of the last digit, as a rounded number binds; a test that takes another says why.
    """
    value = float(_plain(digits))
    return pytest.approx(value, abs=tolerance(digits, units) + _ROUNDING * abs(value), rel=0.0)


def about(digits: str, part: float) -> Any:
    """Compare equal to within a part of a printed number, where the source claims no more; say why."""
    value = float(_plain(digits))
    return pytest.approx(value, abs=max(part * abs(value), tolerance(digits)), rel=0.0)


def _plain(digits: str) -> str:
    return digits.replace(" ", "")


def results(name: str, typed: dict[str, str] | None = None, /, **more: str) -> dict[str, Any]:
    """Give every result of a calculation in its base unit, for inputs as typed."""
    found = answer(name, {**(typed or {}), **more})
    return {outcome.result.name: outcome.value for outcome in found.outcomes}


def result(name: str, wanted: str, unit: str | None = None, /, **typed: str) -> Any:
    """Give one result of a calculation, in a unit where one is named."""
    outcome = next(o for o in answer(name, typed).outcomes if o.result.name == wanted)
    if unit is None or not isinstance(outcome.value, float):
        return outcome.value
    return to_unit(outcome.value, outcome.kind, unit)
