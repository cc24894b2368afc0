"""Write a quantity as a person reads it."""

from __future__ import annotations

import math
from functools import lru_cache

from asleft.quantity.errors import QuantityError
from asleft.quantity.kinds import kind_of
from asleft.quantity.units import find_unit, unit_of

LARGE_DIGITS = 1
"""Decimals of a value shown in a larger unit than is usual for its kind."""


def larger_unit(value: float, kind: str) -> str | None:
    """The unit in which a person reads so large a value of this kind; None for the usual one."""
    fitting = [unit for unit, least in kind_of(kind).large if abs(value) >= least]
    return fitting[-1] if fitting else None


def show(value: float, kind: str, system: str = "ip", *, unit: bool = True, digits: int | None = None) -> str:
    """Write a value in the kind's base unit for a person, in the given system of units.

    ``digits`` overrides the decimals usual for the kind; ``unit`` False leaves the unit out.
    Raises QuantityError for a value that is not finite.

    >>> show(129.526, "static_pressure"), show(129.526, "static_pressure", "si")
    ('0.52 in. w.c.', '130 Pa')
    >>> show(99560340.76, "resistance"), show(12.0, "resistance")
    ('99.6 Mohm', '12.00 ohm')
    """
    return _shown(value, kind, system, unit, digits)


@lru_cache(maxsize=4096)
def _shown(value: float, kind: str, system: str, unit: bool, digits: int | None) -> str:
    # The same limits, and at the next key most of the same readings, are shown again and again.
    if not math.isfinite(value):
        raise QuantityError(f"{value!r} cannot be shown", found=str(value), expected="a finite number")
    found = kind_of(kind)
    name = unit_of(kind, system)
    if unit and digits is None and (larger := larger_unit(value, kind)):
        name, digits = larger, LARGE_DIGITS
    shown = find_unit(found, name)
    if digits is None:
        digits = found.si_digits if system == "si" else found.ip_digits
    number = f"{shown.from_base(value):.{digits}f}"
    if number.startswith("-") and not number.strip("-0."):
        number = number[1:]
    return f"{number} {name}" if unit and name else number
