"""The house: where the heat pump no longer carries it, and how fast it cools and warms."""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import cache
from itertools import pairwise
from typing import NamedTuple

from asleft.calc.guards import CalcError, finite, not_negative, positive, refusing, temperature, word
from asleft.quantity import from_unit
from asleft.tables import constructions, heat_pump_points

LOWEST_MEETING_C = from_unit(-60.0, "temperature", "°F")
ZERO_LOAD_C = from_unit(65.0, "temperature", "°F")


class BalancePoint(NamedTuple):
    """Where heat pump and house meet, degC and W, or None where they do not; and the design figures, W."""

    temperature_c: float | None
    load_w: float | None
    design_capacity_w: float
    auxiliary_power_w: float


class DelayDroop(NamedTuple):
    """How far the room has cooled, K, and the time constant with which it does, s."""

    droop_k: float
    time_constant_s: float


def heating_capacity(
    capacity_47_w: float, capacity_17_w: float, capacity_35_w: float | None = None
) -> Callable[[float], float]:
    """Give a heat pump's heating capacity, W, as a function of outdoor temperature, degC.

    Formula: the straight line through the capacities at 47 and 17 degF; with one at 35 degF, straight from
    17 to 35 and on to 47, and the 47-17 line below 17 and above 47 [1]

    :param capacity_47_w: capacity at 47 degF [W].
    :param capacity_17_w: capacity at 17 degF [W].
    :param capacity_35_w: capacity at 35 degF, frosting [W]; None where it is not known.
    :returns: a function of outdoor temperature [degC] that gives watts.

    Limits: a line that falls below zero counts as zero.

    References:
    [1] AHRI 210/240 test points; its bin method uses the 17-35 line up to 45 degF, this is continuous

    >>> round(heating_capacity(10000.0, 6000.0)(0.0))
    8000
    """
    line = _capacity_line(capacity_47_w, capacity_17_w, capacity_35_w)
    return lambda outdoor_c: max(0.0, line(outdoor_c))


def _capacity_line(
    capacity_47_w: float, capacity_17_w: float, capacity_35_w: float | None
) -> Callable[[float], float]:
    """Give the capacity as its lines run, below zero too: one line, and what frost takes from it."""
    high_c, frost_c, low_c = _points_c()
    slope = (capacity_47_w - capacity_17_w) / (high_c - low_c)

    def line(outdoor_c: float) -> float:
        return capacity_17_w + slope * (outdoor_c - low_c)

    if capacity_35_w is None:
        return line
    taken_w = capacity_35_w - line(frost_c)

    def frosted(outdoor_c: float) -> float:
        share = min((outdoor_c - low_c) / (frost_c - low_c), (high_c - outdoor_c) / (high_c - frost_c))
        return line(outdoor_c) + max(0.0, share) * taken_w

    return frosted


@cache
def _points_c() -> tuple[float, float, float]:
    """Give the test points in degC, warmest first."""
    high_c, frost_c, low_c = (from_unit(point, "temperature", "°F") for point in heat_pump_points())
    return high_c, frost_c, low_c


def _breaks(top_c: float) -> list[float]:
    """Give the temperatures, falling, between which capacity is one straight line."""
    ends = (top_c, *_points_c(), LOWEST_MEETING_C)
    return sorted({min(max(end, LOWEST_MEETING_C), top_c) for end in ends}, reverse=True)


@refusing
def balance_point(
    capacity_47_w: float,
    capacity_17_w: float,
    design_load_w: float,
    design_temperature_c: float,
    zero_load_temperature_c: float = ZERO_LOAD_C,
    capacity_35_w: float | None = None,
) -> BalancePoint:
    """Give the outdoor temperature at which a heat pump just carries the house, and what design lacks.

    Formula: load = design load x (zero-load - T) / (zero-load - design), met by the straight lines between
    the capacities at the test points [1]

    :param capacity_47_w: heating capacity at 47 degF [W].
    :param capacity_17_w: heating capacity at 17 degF [W].
    :param design_load_w: the house's load at design temperature [W].
    :param design_temperature_c: outdoor design temperature [degC], below the zero-load temperature.
    :param zero_load_temperature_c: outdoor temperature at which the house needs no heat [degC].
    :param capacity_35_w: heating capacity at 35 degF, frosting [W]; None where it is not known.
    :returns: temperature [degC] and load there [W], None where the lines do not meet between -60 degF and
        zero load; capacity at design [W]; auxiliary power at design [W], never below zero.

    Limits: from -60 degF to the zero-load temperature; design below zero load; of several meetings the
    warmest; a capacity at design that its line would carry below zero counts as zero.

    References:
    [1] AHRI 210/240 test points; its bin method uses the 17-35 line up to 45 degF, this is continuous

    >>> answer = balance_point(10550.6, 6447.6, 11722.8, -15.0)
    >>> round(answer.temperature_c * 1.8 + 32, 1), round(answer.auxiliary_power_w)
    (25.8, 6916)
    """
    not_negative("capacity_47", capacity_47_w)
    not_negative("capacity_17", capacity_17_w)
    if capacity_35_w is not None:
        not_negative("capacity_35", capacity_35_w)
    not_negative("design_load", design_load_w)
    temperature("design_temperature", design_temperature_c)
    temperature("zero_load_temperature", zero_load_temperature_c)
    if design_temperature_c >= zero_load_temperature_c:
        raise CalcError(
            "design_temperature",
            f"{design_temperature_c:.4g} degC is not below the zero-load temperature",
            f"less than {zero_load_temperature_c:.4g} degC",
        )
    capacity = _capacity_line(capacity_47_w, capacity_17_w, capacity_35_w)
    per_kelvin = design_load_w / (zero_load_temperature_c - design_temperature_c)

    def load(outdoor_c: float) -> float:
        return per_kelvin * (zero_load_temperature_c - outdoor_c)

    def spare(outdoor_c: float) -> float:
        return capacity(outdoor_c) - load(outdoor_c)

    met = None
    if zero_load_temperature_c >= LOWEST_MEETING_C:
        met = _warmest_zero(spare, _breaks(zero_load_temperature_c))
    at_design_w = max(0.0, capacity(design_temperature_c))
    return BalancePoint(
        temperature_c=met,
        load_w=None if met is None else load(met),
        design_capacity_w=at_design_w,
        auxiliary_power_w=max(0.0, design_load_w - at_design_w),
    )


def _warmest_zero(spare: Callable[[float], float], falling: list[float]) -> float | None:
    """Give the highest temperature at which a function, straight between these, is zero."""
    for upper, lower in pairwise([*falling, falling[-1]]):
        above, below = spare(upper), spare(lower)
        if min(above, below) <= 0.0 <= max(above, below):
            return upper if above == 0.0 else lower + (upper - lower) * (-below / (above - below))
    return None


@refusing
def delay_droop(
    deficit_w: float,
    heat_loss_coefficient_wk: float,
    thermal_capacity_jk: float,
    delay_s: float,
    start_droop_k: float = 0.0,
) -> DelayDroop:
    """Give how far a room cools while auxiliary heat is held back.

    Formula: droop = D/UA + (d0 - D/UA) exp(-t / tau), tau = C / UA [1]

    :param deficit_w: load less what the heat pump gives, at set point, D [W].
    :param heat_loss_coefficient_wk: of the house, UA [W/K], above zero.
    :param thermal_capacity_jk: what answers in that time, C [J/K], above zero.
    :param delay_s: time held back, t [s].
    :param start_droop_k: droop when the delay starts, d0 [K].
    :returns: droop [K], time constant [s].

    Limits: one thermal mass; for delays up to an hour take a quarter of the tabled thermal capacity.

    References:
    [1] Heat balance of one thermal mass

    >>> round(delay_droop(6916.0, 351.7, 7.67e6, 24 * 60.0).droop_k * 1.8, 1)
    2.3
    """
    steady_k = not_negative("deficit", deficit_w) / positive(
        "heat_loss_coefficient", heat_loss_coefficient_wk
    )
    tau_s = positive("thermal_capacity", thermal_capacity_jk) / heat_loss_coefficient_wk
    elapsed = not_negative("delay", delay_s) / tau_s
    gone = -math.expm1(-elapsed)
    droop_k = steady_k * gone + finite("start_droop", start_droop_k) * math.exp(-elapsed)
    return DelayDroop(droop_k, tau_s)


@refusing
def recovery_time(
    surplus_w: float, heat_loss_coefficient_wk: float, thermal_capacity_jk: float, setback_k: float
) -> float | None:
    """Give how long a house takes to recover from a set-back, or None for never.

    Formula: t = -tau ln(1 - dT UA / S), tau = C / UA [1]

    :param surplus_w: heat beyond the load at the set-back temperature, where recovery starts, S [W].
    :param heat_loss_coefficient_wk: of the house, UA [W/K], above zero.
    :param thermal_capacity_jk: of the house, C [J/K], above zero.
    :param setback_k: rise wanted, dT [K].
    :returns: time [s]; None where S is at most dT UA.

    Limits: one thermal mass; never where S is at most dT UA.

    References:
    [1] Heat balance of one thermal mass

    >>> round(recovery_time(6000.0, 350.0, 3.0e7, 4.0))
    22775
    >>> recovery_time(1400.0, 350.0, 3.0e7, 4.0) is None
    True
    """
    not_negative("setback", setback_k)
    needed_w = setback_k * positive("heat_loss_coefficient", heat_loss_coefficient_wk)
    tau_s = positive("thermal_capacity", thermal_capacity_jk) / heat_loss_coefficient_wk
    if not_negative("surplus", surplus_w) <= needed_w * (1 + 1e-12):
        return None
    return -tau_s * math.log1p(-needed_w / surplus_w)


@refusing
def thermal_capacity(floor_area_m2: float, construction: str) -> float:
    """Give a house's thermal capacity from its floor and the weight of its construction.

    Formula: C = A x 80, 110, 165, 260 or 370 kJ/(K m2) [1]

    :param floor_area_m2: conditioned floor area [m2].
    :param construction: "very light", "light", "medium", "heavy" or "very heavy".
    :returns: thermal capacity [J/K].

    Limits: whole house, slow changes.

    References:
    [1] ISO 13790 table 12, as open source gives it

    >>> thermal_capacity(100.0, "medium")
    16500000.0
    """
    table = constructions()
    plain = construction.replace("-", " ").replace("_", " ")
    return not_negative("floor_area", floor_area_m2) * table[word("construction", plain, tuple(table))]
