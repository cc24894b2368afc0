"""Ducts and fans."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from asleft.calc.guards import CalcError, each, finite, not_negative, positive, refusing


class FrictionRate(NamedTuple):
    """Static left for the ducts, Pa, and for each metre of their effective length, Pa/m."""

    available_static_pa: float
    friction_rate_pam: float


class FanPoint(NamedTuple):
    """A fan's airflow, m3/s, static, Pa, and power, W."""

    airflow_m3s: float
    static_pa: float
    power_w: float


class OperatingPoint(NamedTuple):
    """Where a fan and a duct system meet: airflow, m3/s, and static, Pa."""

    airflow_m3s: float
    static_pa: float


@refusing
def total_external_static(supply_pa: float, return_pa: float) -> float:
    """Give the total external static of a unit.

    supply + |return|, both against the room

    :param supply_pa: static at the unit's outlet [Pa].
    :param return_pa: static at the unit's inlet, with or without its minus sign [Pa].
    :returns: total [Pa].
    Source: common practice.

    >>> total_external_static(75.0, -50.0)
    125.0
    """
    return finite("supply", supply_pa) + abs(finite("return", return_pa))


@refusing
def friction_rate(
    external_static_pa: float, losses_pa: Sequence[float], total_effective_length_m: float
) -> FrictionRate:
    """Give the friction rate to which ducts are to be sized.

    ASP = ESP - sum of losses; FR = ASP / TEL (in in. w.c. and ft: ASP x 100 / TEL)

    :param external_static_pa: the blower's external static [Pa].
    :param losses_pa: drop of each part in the air's way: coil, filter, grille, damper [Pa].
    :param total_effective_length_m: longest supply run and return run with their fittings [m], above zero.
    :returns: available static [Pa], friction rate [Pa/m]; zero or less where nothing is left.
    Source: ACCA Manual D, from memory.

    >>> answer = friction_rate(124.54, [24.91, 24.91], 91.44)
    >>> round(answer.available_static_pa, 2), round(answer.friction_rate_pam, 3)
    (74.72, 0.817)
    """
    losses = each("losses", losses_pa, finite)
    available_pa = math.fsum([finite("external_static", external_static_pa), *(-loss for loss in losses)])
    length_m = positive("total_effective_length", total_effective_length_m)
    return FrictionRate(available_pa, available_pa / length_m)


@refusing
def system_curve(
    airflow_m3s: float, static_pa: float, new_airflow_m3s: float, exponent: float = 2.0
) -> float:
    """Give the static of a duct system at another airflow.

    static goes as airflow^n

    :param airflow_m3s: airflow at which the static is known [m3/s], above zero.
    :param static_pa: static there [Pa].
    :param new_airflow_m3s: the other airflow [m3/s].
    :param exponent: n; 2 for turbulent flow in fittings.
    :returns: static [Pa].
    Source: ASHRAE Handbook, HVAC Systems and Equipment, fans: system curves.

    >>> system_curve(0.5, 100.0, 1.0)
    400.0
    """
    ratio = not_negative("new_airflow", new_airflow_m3s) / positive("airflow", airflow_m3s)
    return float(finite("static", static_pa) * ratio ** not_negative("exponent", exponent))


@refusing
def fan_law(
    airflow_m3s: float, static_pa: float, power_w: float, speed_ratio: float = 1.0, density_ratio: float = 1.0
) -> FanPoint:
    """Give what a fan does at another speed or in air of another density, on the same system.

    airflow goes as N; static as N^2 and density; power as N^3 and density

    :param airflow_m3s: airflow [m3/s].
    :param static_pa: static [Pa].
    :param power_w: power [W].
    :param speed_ratio: new speed over old.
    :param density_ratio: new density over old.
    :returns: airflow [m3/s], static [Pa], power [W].
    Source: AMCA 201; ASHRAE Handbook, HVAC Systems and Equipment, fan laws.

    >>> fan_law(1.0, 100.0, 400.0, speed_ratio=0.5)
    FanPoint(airflow_m3s=0.5, static_pa=25.0, power_w=50.0)
    """
    speed = not_negative("speed_ratio", speed_ratio)
    density = not_negative("density_ratio", density_ratio)
    return FanPoint(
        not_negative("airflow", airflow_m3s) * speed,
        finite("static", static_pa) * speed**2 * density,
        not_negative("power", power_w) * speed**3 * density,
    )


@refusing
def face_velocity(airflow_m3s: float, width_m: float, height_m: float) -> float:
    """Give the mean velocity of air through a rectangular face.

    v = Q / (w h)

    :param airflow_m3s: airflow [m3/s].
    :param width_m: width [m], above zero.
    :param height_m: height [m], above zero.
    :returns: velocity [m/s].
    Source: continuity.

    >>> face_velocity(0.6, 0.5, 0.6)
    2.0
    """
    area_m2 = positive("width", width_m) * positive("height", height_m)
    return not_negative("airflow", airflow_m3s) / area_m2


@refusing
def fan_efficacy(power_w: float, airflow_m3s: float) -> float:
    """Give the power that moving air takes.

    W per cfm, here W per m3/s

    :param power_w: blower power [W].
    :param airflow_m3s: airflow [m3/s], above zero.
    :returns: efficacy [W/(m3/s)].
    Source: ANSI/RESNET/ACCA 310 grades by this figure, from memory.

    >>> fan_efficacy(400.0, 0.5)
    800.0
    """
    return not_negative("power", power_w) / positive("airflow", airflow_m3s)


@refusing
def operating_point(
    fan_static_pa: Sequence[float],
    fan_airflow_m3s: Sequence[float],
    airflow_m3s: float,
    static_pa: float,
    exponent: float = 2.0,
) -> OperatingPoint:
    """Give the point at which a fan table meets a duct system's curve.

    static = k airflow^n through (airflow, static); straight lines between rows of the table, none beyond it

    Where the table's airflow rises so fast that several points fit, the stable one of least static is given:
    just above it in static, the system asks for less than the row holds.

    :param fan_static_pa: the fan table's statics, strictly increasing [Pa].
    :param fan_airflow_m3s: its airflows, as many [m3/s].
    :param airflow_m3s: airflow at which the system's static is known [m3/s], above zero.
    :param static_pa: static there [Pa].
    :param exponent: n of the system curve.
    :returns: airflow [m3/s], static [Pa].
    Source: ASHRAE Handbook, HVAC Systems and Equipment, fans: point of operation.

    >>> operating_point([50.0, 150.0, 250.0], [0.6, 0.5, 0.3], 0.5, 150.0)
    OperatingPoint(airflow_m3s=0.5, static_pa=150.0)
    """
    if len(fan_static_pa) < 2:
        raise CalcError("fan_static", f"{len(fan_static_pa)} row", "at least two rows")
    if len(fan_airflow_m3s) != len(fan_static_pa):
        raise CalcError(
            "fan_airflow", f"{len(fan_airflow_m3s)} rows", f"{len(fan_static_pa)}, as in fan_static"
        )
    before = -math.inf
    for static in fan_static_pa:
        if not before < static < math.inf:
            finite("fan_static", static)
            raise CalcError("fan_static", f"{static:g} Pa is out of order", "strictly increasing statics")
        before = static
    for flow in fan_airflow_m3s:
        not_negative("fan_airflow", flow)
    not_negative("exponent", exponent)
    coefficient = finite("static", static_pa) / positive("airflow", airflow_m3s) ** exponent
    met = meet(fan_static_pa, fan_airflow_m3s, coefficient, exponent)
    if met is None:
        raise CalcError("static", "the system curve leaves the fan table", "a curve that meets its rows")
    return met


def meet(
    fan_static_pa: Sequence[float],
    fan_airflow_m3s: Sequence[float],
    coefficient: float,
    exponent: float = 2.0,
) -> OperatingPoint | None:
    """Give where a checked fan table meets static = coefficient x airflow^exponent; None where it does not.

    >>> meet([50.0, 150.0], [0.6, 0.5], 600.0)
    OperatingPoint(airflow_m3s=0.5, static_pa=150.0)
    """
    square = exponent == 2.0
    last = len(fan_static_pa) - 1
    below = False
    for row, static in enumerate(fan_static_pa):
        flow = fan_airflow_m3s[row]
        asked = coefficient * flow * flow if square else coefficient * flow**exponent
        gap = static - asked
        if abs(gap) <= 1e-12 * (abs(static) + abs(asked)) and (
            row == 0 or (below and (row == last or gap == 0.0))
        ):
            return OperatingPoint(flow, static)
        if gap >= 0.0 and below:
            start, start_flow = fan_static_pa[row - 1], fan_airflow_m3s[row - 1]
            step, slope = static - start, flow - start_flow
            if square:
                part = _square_part(start, step, start_flow, slope, coefficient)
            else:
                part = _part(start, step, start_flow, slope, coefficient, exponent)
            return OperatingPoint(start_flow + part * slope, start + part * step)
        below = gap < 0.0
    return None


def _square_part(start: float, step: float, flow: float, slope: float, coefficient: float) -> float:
    """Solve start + t step = coefficient (flow + t slope)^2 for the t at which the gap turns positive."""
    a = -coefficient * slope * slope
    b = step - 2.0 * coefficient * flow * slope
    c = start - coefficient * flow * flow
    root = math.sqrt(max(0.0, b * b - 4.0 * a * c))
    return min(1.0, max(0.0, -2.0 * c / (b + root)))


def _part(start: float, step: float, flow: float, slope: float, coefficient: float, exponent: float) -> float:
    """As for a square, by Newton's method held inside a shrinking bracket."""
    low, high = 0.0, 1.0
    part = 0.5
    for _ in range(200):
        here = flow + part * slope
        gap = start + part * step - coefficient * here**exponent
        if gap < 0.0:
            low = part
        else:
            high = part
        grade = step - coefficient * exponent * slope * here ** (exponent - 1.0) if here > 0.0 else 0.0
        following = part - gap / grade if grade > 0.0 else low
        if not low < following < high:
            following = 0.5 * (low + high)
        if abs(following - part) <= 1e-15:
            return following
        part = following
    return part
