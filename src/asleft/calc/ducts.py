"""Ducts and fans."""

from __future__ import annotations

import math
from collections.abc import Sequence
from math import inf, isfinite
from typing import NamedTuple

from asleft.calc.fans import OperatingPoint, meet_system
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


@refusing
def total_external_static(supply_pa: float, return_pa: float) -> float:
    """Give the total external static of a unit.

    Formula: supply + |return|, both against the room [1]

    :param supply_pa: static at the unit's outlet [Pa].
    :param return_pa: static at the unit's inlet, with or without its minus sign [Pa].
    :returns: total [Pa].

    Limits: whether hoses are swapped cannot be seen from the total.

    References:
    [1] Common practice

    >>> total_external_static(75.0, -50.0)
    125.0
    """
    return finite("supply", supply_pa) + abs(finite("return", return_pa))


@refusing
def friction_rate(
    external_static_pa: float, losses_pa: Sequence[float], total_effective_length_m: float
) -> FrictionRate:
    """Give the friction rate to which ducts are to be sized.

    Formula: ASP = ESP - sum of losses; FR = ASP / TEL, in in. w.c. and ft ASP x 100 / TEL [1]

    :param external_static_pa: the blower's external static [Pa].
    :param losses_pa: drop of each part in the air's way: coil, filter, grille, damper [Pa].
    :param total_effective_length_m: longest supply run and return run with their fittings [m], above zero.
    :returns: available static [Pa], friction rate [Pa/m]; zero or less where nothing is left.

    Limits: length above zero; zero or less where nothing is left.

    References:
    [1] ACCA Manual D, from memory

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

    Formula: static x (new airflow / airflow)^n [1]

    :param airflow_m3s: airflow at which the static is known [m3/s], above zero.
    :param static_pa: static there [Pa].
    :param new_airflow_m3s: the other airflow [m3/s].
    :param exponent: n; 2 for turbulent flow in fittings.
    :returns: static [Pa].

    Limits: airflow above zero; nothing in the ducts moved.

    References:
    [1] ASHRAE Handbook, HVAC Systems and Equipment, fans: system curves

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

    Formula: airflow goes as N; static as N^2 and density; power as N^3 and density [1, 2]

    :param airflow_m3s: airflow [m3/s].
    :param static_pa: static [Pa].
    :param power_w: power [W].
    :param speed_ratio: new speed over old.
    :param density_ratio: new density over old.
    :returns: airflow [m3/s], static [Pa], power [W].

    Limits: the same fan on the same system.

    References:
    [1] AMCA 201
    [2] ASHRAE Handbook, HVAC Systems and Equipment, fan laws

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

    Formula: v = Q / (w h) [1]

    :param airflow_m3s: airflow [m3/s].
    :param width_m: width [m], above zero.
    :param height_m: height [m], above zero.
    :returns: velocity [m/s].

    Limits: width and height above zero; the mean over the face.

    References:
    [1] Continuity

    >>> face_velocity(0.6, 0.5, 0.6)
    2.0
    """
    area_m2 = positive("width", width_m) * positive("height", height_m)
    return not_negative("airflow", airflow_m3s) / area_m2


@refusing
def fan_efficacy(power_w: float, airflow_m3s: float) -> float:
    """Give the power that moving air takes.

    Formula: P / Q, W per cfm, here W per m3/s [1]

    :param power_w: blower power [W].
    :param airflow_m3s: airflow [m3/s], above zero.
    :returns: efficacy [W/(m3/s)].

    Limits: airflow above zero.

    References:
    [1] ANSI/RESNET/ACCA 310 grades by this figure, from memory

    >>> fan_efficacy(400.0, 0.5)
    800.0
    """
    return not_negative("power", power_w) / positive("airflow", airflow_m3s)


def operating_point(
    fan_static_pa: Sequence[float],
    fan_airflow_m3s: Sequence[float],
    airflow_m3s: float,
    static_pa: float,
    exponent: float = 2.0,
) -> OperatingPoint:
    """Give the point at which a fan table meets a duct system's curve.

    Formula: static = k airflow^n through (airflow, static), met by the fan table, straight between rows [1]

    Where the table's airflow rises so fast that several points fit, the stable one of least static is
    given: just above it in static, the system asks for less than the row holds.

    :param fan_static_pa: the fan table's statics, strictly increasing [Pa].
    :param fan_airflow_m3s: its airflows, as many [m3/s].
    :param airflow_m3s: airflow at which the system's static is known [m3/s], above zero.
    :param static_pa: static there [Pa].
    :param exponent: n of the system curve.
    :returns: airflow [m3/s], static [Pa].

    Limits: at least two rows, statics strictly increasing; never beyond the table.

    References:
    [1] ASHRAE Handbook, HVAC Systems and Equipment, fans: point of operation

    >>> operating_point([50.0, 150.0, 250.0], [0.6, 0.5, 0.3], 0.5, 150.0)
    OperatingPoint(airflow_m3s=0.5, static_pa=150.0)
    """
    if not (0.0 < airflow_m3s < inf and isfinite(static_pa) and 0.0 <= exponent < inf):
        positive("airflow", airflow_m3s)
        finite("static", static_pa)
        not_negative("exponent", exponent)
    try:
        met = meet_system(fan_static_pa, fan_airflow_m3s, static_pa / airflow_m3s**exponent, exponent)
    except ArithmeticError as error:
        raise CalcError("airflow", "so extreme that the result is not finite", "a usual size") from error
    if met is None:
        raise CalcError("static", "the system curve leaves the fan table", "a curve that meets its rows")
    return met
