"""What a calculation refuses, and how it says so."""

from __future__ import annotations

import functools
import inspect
import math
from collections.abc import Callable, Sequence
from typing import ParamSpec, TypeVar

P = ParamSpec("P")
R = TypeVar("R")

ABSOLUTE_ZERO_C = -273.15


class CalcError(ValueError):
    """A calculation refuses an input.

    ``input`` is the input's name as the catalogue writes it, ``expected`` what would have been right.
    """

    def __init__(self, input_name: str, why: str, expected: str) -> None:
        super().__init__(f"{input_name}: {why}; expected {expected}")
        self.input = input_name
        self.why = why
        self.expected = expected


def finite(name: str, value: float) -> float:
    """Refuse a value that is not a finite number."""
    if not math.isfinite(value):
        raise CalcError(name, f"{value} is not finite", "a finite number")
    return value


def not_negative(name: str, value: float) -> float:
    """Refuse a value below zero."""
    if not 0 <= value < math.inf:
        finite(name, value)
        raise CalcError(name, f"{value:g} is negative", "zero or more")
    return value


def positive(name: str, value: float) -> float:
    """Refuse a value of zero or less."""
    if not 0 < value < math.inf:
        finite(name, value)
        raise CalcError(name, f"{value:g} is not above zero", "more than zero")
    return value


def whole(name: str, value: float, lowest: int = 0) -> int:
    """Refuse a count that is not whole or is below its least."""
    finite(name, value)
    if value != int(value) or value < lowest:
        raise CalcError(name, f"{value:g} is not such a count", f"a whole number from {lowest}")
    return int(value)


def altitude(altitude_m: float) -> float:
    """Refuse an altitude outside the standard atmosphere's validity."""
    finite("altitude", altitude_m)
    if not -1000.0 <= altitude_m <= 11000.0:
        raise CalcError("altitude", f"{altitude_m:g} m is outside the standard atmosphere", "-1 to 11 km")
    return altitude_m


def temperature(name: str, value_c: float) -> float:
    """Refuse a temperature below absolute zero."""
    finite(name, value_c)
    if value_c < ABSOLUTE_ZERO_C:
        raise CalcError(name, f"{value_c:g} degC is below absolute zero", f"at least {ABSOLUTE_ZERO_C} degC")
    return value_c


def at_most_one(name: str, value: float) -> float:
    """Refuse a fraction outside 0..1."""
    if not_negative(name, value) > 1:
        raise CalcError(name, f"{value:g} is above 1", "a fraction from 0 to 1")
    return value


def phase_count(phases: float) -> int:
    """Refuse a supply that has neither one phase nor three."""
    if phases not in {1, 3}:
        raise CalcError("phases", f"{phases:g} is not a number of phases here", "1 or 3")
    return int(phases)


def word(name: str, text: str, choices: Sequence[str]) -> str:
    """Give the choice that this word is, whatever its case; refuse one that is not on offer."""
    for choice in choices:
        if choice.casefold() == text.strip().casefold():
            return choice
    raise CalcError(name, f"{text!r} is not on offer", ", ".join(choices))


def each(name: str, values: Sequence[float], check: Callable[[str, float], float]) -> tuple[float, ...]:
    """Check every item of a list; refuse an empty one."""
    if not values:
        raise CalcError(name, "nothing in the list", "at least one value")
    return tuple(check(name, value) for value in values)


def refusing(function: Callable[P, R]) -> Callable[P, R]:
    """Refuse, naming the most extreme input, where a result is not finite."""

    @functools.wraps(function)
    def refuses(*args: P.args, **kwargs: P.kwargs) -> R:
        try:
            result = function(*args, **kwargs)
        except ArithmeticError as error:
            raise _too_extreme(function, args, kwargs) from error
        if isinstance(result, tuple):
            for value in result:
                if isinstance(value, float) and not math.isfinite(value):
                    raise _too_extreme(function, args, kwargs)
        elif isinstance(result, float) and not math.isfinite(result):
            raise _too_extreme(function, args, kwargs)
        return result

    return refuses


def _too_extreme(
    function: Callable[..., object], args: tuple[object, ...], kwargs: dict[str, object]
) -> CalcError:
    bound = inspect.signature(function).bind(*args, **kwargs).arguments

    def reach(value: object) -> float:
        if isinstance(value, tuple | list):
            return max(map(reach, value), default=0.0)
        return abs(math.log10(abs(value))) if isinstance(value, int | float) and value else 0.0

    parameter = max(bound, key=lambda name: reach(bound[name]))
    return CalcError(input_name(parameter), "so extreme that the result is not finite", "a usual size")


UNIT_SUFFIXES = frozenset(
    ("v", "a", "ohm", "w", "pa", "m3s", "c", "k", "m", "m2", "s", "va", "kgm3", "ms", "wk", "jk", "pam")
)
"""What follows the last underscore of a parameter that is a bare float with a unit."""


def input_name(parameter: str) -> str:
    """Give the input's name for a parameter's name: without its unit.

    >>> input_name("external_static_pa"), input_name("phases"), input_name("capacity_47_w")
    ('external_static', 'phases', 'capacity_47')
    """
    head, _, tail = parameter.rpartition("_")
    return head if head and tail in UNIT_SUFFIXES else parameter
