"""A fan's table, and where it meets a duct system: two rows are found, then the point between them."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import inf, isclose, sqrt
from typing import NamedTuple

from asleft.calc.guards import CalcError, finite, not_negative


class OperatingPoint(NamedTuple):
    """Where a fan and a duct system meet: airflow, m3/s, and static, Pa."""

    airflow_m3s: float
    static_pa: float


def meet_system(
    static_pa: Sequence[float], airflow_m3s: Sequence[float], coefficient: float, exponent: float = 2.0
) -> OperatingPoint | None:
    """Give where a fan table meets a duct system; None where it does not.

    Formula: static = coefficient x airflow^n, met by the fan table, straight between rows [1]

    :param static_pa: the fan table's statics, strictly increasing [Pa].
    :param airflow_m3s: its airflows, as many [m3/s].
    :param coefficient: static that the system asks at an airflow of one [Pa/(m3/s)^n].
    :param exponent: n of the system curve.
    :returns: airflow [m3/s], static [Pa].

    Raises CalcError for a table of fewer than two rows or out of order.

    Limits: at least two rows, statics strictly increasing; nothing beyond the rows.

    References:
    [1] ASHRAE Handbook, HVAC Systems and Equipment, fans: point of operation

    >>> meet_system([50.0, 150.0], [0.6, 0.5], 600.0)
    OperatingPoint(airflow_m3s=0.5, static_pa=150.0)
    """
    rows = len(static_pa)
    low, high, below = -1, rows, 0.0
    if _falls(static_pa, airflow_m3s) and coefficient >= 0.0:
        # The gap, what the fan holds less what the system asks, grows from row to row: halve the rows.
        while high - low > 1:
            middle = (low + high) // 2
            gap = static_pa[middle] - coefficient * airflow_m3s[middle] ** exponent
            if gap < 0.0:
                low, below = middle, gap
            else:
                high = middle
    else:
        _check(static_pa, airflow_m3s)
        gaps = [static_pa[row] - coefficient * airflow_m3s[row] ** exponent for row in range(rows)]
        for row, (below, above) in enumerate(pairwise(gaps)):
            if below < 0.0 <= above:
                low, high = row, row + 1
                break
    if low < 0 or high == rows:
        return _end(static_pa, airflow_m3s, coefficient, exponent)
    start, flow = static_pa[low], airflow_m3s[low]
    step, slope = static_pa[high] - start, airflow_m3s[high] - flow
    if slope <= 0.0 <= coefficient and exponent >= 1.0 and 2.0 * airflow_m3s[high] > flow:
        # The gap grows and bends downwards, gently: as a square it is solved at once; else, from the lower
        # row, Newton's steps only climb to the point, each leaving about the square of what it took.
        grade = step - (start - below) * exponent * slope / flow
        if exponent == 2.0:
            square = grade * grade + 4.0 * (coefficient * slope * slope) * below
            part = -2.0 * below / (grade + sqrt(square))
        else:
            part = -below / grade
            while True:
                here = flow + part * slope
                asked = coefficient * here**exponent
                move = (start + part * step - asked) / (step - asked * exponent * slope / here)
                part -= move
                if not move < -1e-7:
                    break
        if 0.0 < part <= 1.0:
            return OperatingPoint(flow + part * slope, start + part * step)
    floor, ceiling = 0.0, 1.0
    while floor < (part := 0.5 * (floor + ceiling)) < ceiling:
        if start + part * step < coefficient * (flow + part * slope) ** exponent:
            floor = part
        else:
            ceiling = part
    return OperatingPoint(flow + ceiling * slope, start + ceiling * step)


def _end(
    static_pa: Sequence[float], airflow_m3s: Sequence[float], coefficient: float, exponent: float
) -> OperatingPoint | None:
    """Give an end of the table from which only binary rounding parts the system."""
    for row in (0, -1):
        if isclose(static_pa[row], coefficient * airflow_m3s[row] ** exponent, rel_tol=1e-12):
            return OperatingPoint(airflow_m3s[row], static_pa[row])
    return None


def _falls(static_pa: Sequence[float], airflow_m3s: Sequence[float]) -> bool:
    """Say whether a table is sound and its airflow never grows with static, as in most."""
    if not len(static_pa) == len(airflow_m3s) > 1:
        return False
    highest_pa, lowest_m3s = -inf, airflow_m3s[0]
    for static in static_pa:
        if not static > highest_pa:
            return False
        highest_pa = static
    for flow in airflow_m3s:
        if not flow <= lowest_m3s:
            return False
        lowest_m3s = flow
    return highest_pa < inf and airflow_m3s[0] < inf and lowest_m3s >= 0.0


def _check(static_pa: Sequence[float], airflow_m3s: Sequence[float]) -> None:
    """Refuse a table that is not sound, saying which row is wrong."""
    if len(static_pa) < 2:
        raise CalcError("fan_static", f"{len(static_pa)} row", "at least two rows")
    if len(airflow_m3s) != len(static_pa):
        raise CalcError("fan_airflow", f"{len(airflow_m3s)} rows", f"{len(static_pa)}, as in fan_static")
    before = -inf
    for static in static_pa:
        if not before < finite("fan_static", static):
            raise CalcError("fan_static", f"{static:g} Pa is out of order", "strictly increasing statics")
        before = static
    for flow in airflow_m3s:
        not_negative("fan_airflow", flow)
