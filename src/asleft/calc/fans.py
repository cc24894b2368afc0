"""A fan's table prepared once, so that where it meets a duct system is a look-up and a closed form."""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Sequence
from functools import lru_cache
from operator import gt, lt, mul, truediv
from typing import NamedTuple

from asleft.calc.guards import CalcError, finite, not_negative


class OperatingPoint(NamedTuple):
    """Where a fan and a duct system meet: airflow, m3/s, and static, Pa."""

    airflow_m3s: float
    static_pa: float


class FanCurve:
    """A fan table: straight lines between rows, nothing beyond them. Immutable; made by :func:`fan_curve`."""

    __slots__ = ("airflow_m3s", "coefficients", "falling", "static_pa")

    def __init__(self, static_pa: tuple[float, ...], airflow_m3s: tuple[float, ...]) -> None:
        self.static_pa = static_pa
        self.airflow_m3s = airflow_m3s
        # Where airflow falls from row to row, a system of any exponent is met once at most.
        self.falling = all(map(gt, airflow_m3s, airflow_m3s[1:]))
        # Static over airflow squared names the system of exponent 2 through that row. Where these rise from
        # row to row, the segment that a system meets is found by bisection.
        self.coefficients: tuple[float, ...] | None = None
        try:
            found = tuple(map(truediv, static_pa, map(mul, airflow_m3s, airflow_m3s)))
        except ZeroDivisionError:
            return
        if all(map(lt, found, found[1:])):
            self.coefficients = found

    def meet(self, coefficient: float, exponent: float = 2.0) -> OperatingPoint | None:
        """Give where this table meets static = coefficient x airflow^exponent; None where it does not.

        >>> fan_curve((50.0, 150.0), (0.6, 0.5)).meet(600.0)
        OperatingPoint(airflow_m3s=0.5, static_pa=150.0)
        """
        if exponent != 2.0 or self.coefficients is None:
            if self.falling and coefficient >= 0.0:
                return self._bisect(coefficient, exponent)
            return self._scan(coefficient, exponent)
        row = bisect_left(self.coefficients, coefficient)
        if row == 0 or row == len(self.coefficients):
            return self._scan(coefficient, exponent)
        static, flow = self.static_pa, self.airflow_m3s
        start, start_flow = static[row - 1], flow[row - 1]
        step, slope = static[row] - start, flow[row] - start_flow
        part = _square_part(start, step, start_flow, slope, coefficient)
        return OperatingPoint(start_flow + part * slope, start + part * step)

    def _bisect(self, coefficient: float, exponent: float) -> OperatingPoint | None:
        """Halve the rows: what the fan holds less what the system asks rises all the way."""
        static, flow = self.static_pa, self.airflow_m3s
        low, high = 0, len(static) - 1
        below = static[low] - coefficient * flow[low] ** exponent
        above = static[high] - coefficient * flow[high] ** exponent
        if below >= 0.0 or above < 0.0:
            return self._scan(coefficient, exponent)
        while high - low > 1:
            middle = (low + high) // 2
            gap = static[middle] - coefficient * flow[middle] ** exponent
            if gap < 0.0:
                low, below = middle, gap
            else:
                high, above = middle, gap
        start, start_flow = static[low], flow[low]
        step, slope = static[high] - start, flow[high] - start_flow
        guess = below / (below - above)
        part = _part(start, step, start_flow, slope, coefficient, exponent, guess)
        return OperatingPoint(start_flow + part * slope, start + part * step)

    def _scan(self, coefficient: float, exponent: float) -> OperatingPoint | None:
        """Go through the rows: for other exponents, for the ends, and for airflow that leaps with static."""
        start, start_flow = self.static_pa[0], self.airflow_m3s[0]
        if _touches(start, coefficient * start_flow**exponent):
            return OperatingPoint(start_flow, start)
        below = False
        for static, flow in zip(self.static_pa, self.airflow_m3s, strict=True):
            if static < coefficient * flow**exponent:
                below, start, start_flow = True, static, flow
            elif below:
                step, slope = static - start, flow - start_flow
                part = _part(start, step, start_flow, slope, coefficient, exponent)
                return OperatingPoint(start_flow + part * slope, start + part * step)
        if below and _touches(start, coefficient * start_flow**exponent):
            return OperatingPoint(start_flow, start)
        return None


def _touches(static: float, asked: float) -> bool:
    """Say whether only binary rounding parts the two, so that an end of the table is still on the curve."""
    return abs(static - asked) <= 1e-12 * (abs(static) + abs(asked))


def _square_part(start: float, step: float, flow: float, slope: float, coefficient: float) -> float:
    """Solve start + t step = coefficient (flow + t slope)^2 for the t at which the gap turns positive."""
    b = step - 2.0 * coefficient * flow * slope
    c = start - coefficient * flow * flow
    square = b * b + 4.0 * coefficient * slope * slope * c
    part = -2.0 * c / (b + math.sqrt(square if square > 0.0 else 0.0))
    return part if 0.0 <= part <= 1.0 else float(part > 0.0)


def _part(
    start: float,
    step: float,
    flow: float,
    slope: float,
    coefficient: float,
    exponent: float,
    part: float = 0.5,
) -> float:
    """As for a square, by Newton's method from a first guess, held inside a shrinking bracket."""
    low, high = 0.0, 1.0
    for _ in range(200):
        here = flow + part * slope
        asked = coefficient * here**exponent
        gap = start + part * step - asked
        if gap < 0.0:
            low = part
        else:
            high = part
        grade = step - asked * exponent * slope / here if here > 0.0 else 0.0
        following = part - gap / grade if grade > 0.0 else low
        if abs(following - part) <= 1e-9 and grade > 0.0:
            # Newton's steps shrink quadratically: the next would be below what a float holds.
            return min(1.0, max(0.0, following))
        if not low < following < high:
            following = 0.5 * (low + high)
            if following in (low, high):
                return following
        part = following
    return part


@lru_cache(maxsize=256)
def fan_curve(static_pa: tuple[float, ...], airflow_m3s: tuple[float, ...]) -> FanCurve:
    """Check and prepare a fan table; the same table is prepared once.

    Formula: straight lines between the rows of a table [1]

    :param static_pa: statics, strictly increasing [Pa].
    :param airflow_m3s: airflows, as many [m3/s].
    :returns: the table, ready to be met by system curves.

    Raises CalcError for a table of fewer than two rows or out of order.

    Limits: at least two rows, statics strictly increasing; nothing beyond the rows.

    References:
    [1] Common practice

    >>> fan_curve((50.0, 150.0), (0.6, 0.5)).static_pa
    (50.0, 150.0)
    """
    _check(static_pa, airflow_m3s)
    return FanCurve(static_pa, airflow_m3s)


def _check(static_pa: Sequence[float], airflow_m3s: Sequence[float]) -> None:
    count = len(static_pa)
    if count >= 2 and count == len(airflow_m3s) and all(map(lt, static_pa, static_pa[1:])):
        # A sum is finite only where every item is.
        total = sum(static_pa) + sum(airflow_m3s)
        if min(airflow_m3s) >= 0.0 and -math.inf < total < math.inf:
            return
    _refuse(static_pa, airflow_m3s)


def _refuse(static_pa: Sequence[float], airflow_m3s: Sequence[float]) -> None:
    """Say which row is wrong, if one is."""
    if len(static_pa) < 2:
        raise CalcError("fan_static", f"{len(static_pa)} row", "at least two rows")
    if len(airflow_m3s) != len(static_pa):
        raise CalcError("fan_airflow", f"{len(airflow_m3s)} rows", f"{len(static_pa)}, as in fan_static")
    before = -math.inf
    for static in static_pa:
        if not before < finite("fan_static", static):
            raise CalcError("fan_static", f"{static:g} Pa is out of order", "strictly increasing statics")
        before = static
    for flow in airflow_m3s:
        not_negative("fan_airflow", flow)
