"""Heat carried by air and given by resistance heaters."""

from __future__ import annotations

import math
from typing import NamedTuple

from asleft.calc.air import pressure_ratio
from asleft.calc.guards import finite, not_negative, phase_count, positive, refusing
from asleft.quantity import from_unit

STANDARD_AIR_W_PER_M3S_K = (
    1.08
    * from_unit(1.0, "heat_rate", "Btu/h")
    / from_unit(1.0, "airflow", "cfm")
    / from_unit(1.0, "temperature_difference", "°F")
)
"""Heat that standard air carries: 1.08 Btu/h for each cfm and °F, 60 x 0.075 lb/ft3 x 0.24 Btu/(lb °F)."""


class HeaterPower(NamedTuple):
    """What a resistance heater does at a voltage: W, ohm, A, and the fraction of its rated power."""

    power_w: float
    resistance_ohm: float
    current_a: float
    fraction: float


@refusing
def sensible_heat(airflow_m3s: float, temperature_change_k: float, altitude_m: float = 0.0) -> float:
    """Give the sensible heat that an airflow carries.

    Formula: q = 1.08 cfm dT p/p0, in Btu/h, cfm and degF; 1.08 = 60 x 0.075 x 0.24 [1]

    :param airflow_m3s: actual volume of 70 degF air at site pressure [m3/s].
    :param temperature_change_k: change of temperature [K], either way.
    :param altitude_m: altitude [m], -1000 to 11 000.
    :returns: heat rate [W].

    Limits: altitude -1000 to 11 000 m; the airflow is the actual volume of 70 degF air at site pressure.

    References:
    [1] ASHRAE Handbook, Fundamentals: standard air

    >>> round(sensible_heat(0.566337, 20 / 1.8) / 0.29307107)
    25920
    """
    return (
        STANDARD_AIR_W_PER_M3S_K
        * not_negative("airflow", airflow_m3s)
        * finite("temperature_change", temperature_change_k)
        * pressure_ratio(altitude_m)
    )


@refusing
def airflow_from_rise(
    heater_power_w: float, rise_k: float, blower_power_w: float = 0.0, altitude_m: float = 0.0
) -> float:
    """Give the airflow that a measured rise of temperature implies; heater and blower both heat the air.

    Formula: Q = (P + P_blower) / (1.08 dT p/p0) [1], by the temperature-rise method [2]

    :param heater_power_w: heater power [W].
    :param rise_k: rise of temperature across the unit [K], above zero.
    :param blower_power_w: blower power, where the blower lies between the probes [W].
    :param altitude_m: altitude [m], -1000 to 11 000.
    :returns: actual airflow [m3/s].

    Limits: rise above zero; heat pump off, steady, probes out of sight of the elements.

    References:
    [1] ASHRAE Handbook, Fundamentals: standard air
    [2] ANSI/ASHRAE 221 names the method

    >>> round(airflow_from_rise(9600.0, 26.3 / 1.8, 400.0) / 4.719474432e-4)
    1201
    """
    watts = not_negative("heater_power", heater_power_w) + not_negative("blower_power", blower_power_w)
    carried = STANDARD_AIR_W_PER_M3S_K * positive("rise", rise_k) * pressure_ratio(altitude_m)
    return watts / carried


@refusing
def rise_from_airflow(
    heater_power_w: float, airflow_m3s: float, blower_power_w: float = 0.0, altitude_m: float = 0.0
) -> float:
    """Give the rise of temperature that heater and blower cause in an airflow.

    Formula: dT = (P + P_blower) / (1.08 Q p/p0) [1]

    :param heater_power_w: heater power [W].
    :param airflow_m3s: actual airflow [m3/s], above zero.
    :param blower_power_w: blower power [W].
    :param altitude_m: altitude [m], -1000 to 11 000.
    :returns: rise [K].

    Limits: airflow above zero.

    References:
    [1] ASHRAE Handbook, Fundamentals: standard air

    >>> round(rise_from_airflow(9600.0, 0.566337, 400.0) * 1.8, 1)
    26.3
    """
    watts = not_negative("heater_power", heater_power_w) + not_negative("blower_power", blower_power_w)
    carried = STANDARD_AIR_W_PER_M3S_K * positive("airflow", airflow_m3s) * pressure_ratio(altitude_m)
    return watts / carried


def phase_factor(phases: float) -> float:
    """Give what line volts times line amperes are multiplied by for watts: 1, or root three.

    Formula: 1, or root 3 between three line conductors [1]

    :param phases: 1 or 3.
    :returns: the factor.

    Limits: 1 or 3 phases, balanced.

    References:
    [1] Three-phase circuit theory

    >>> phase_factor(1)
    1.0
    """
    return math.sqrt(3.0) if phase_count(phases) == 3 else 1.0


@refusing
def heater_power(
    rated_power_w: float, rated_voltage_v: float, voltage_v: float, phases: float = 1
) -> HeaterPower:
    """Give what a resistance heater does at a voltage other than its rated one.

    Formula: P = P_rated (V / V_rated)^2, R = V_rated^2 / P_rated, I = V / R or V / (root 3 R) [1]

    The resistance is that of the whole heater; an element's own is three times it in delta, the same in
    wye.

    :param rated_power_w: rated power [W], above zero.
    :param rated_voltage_v: rated voltage [V], above zero.
    :param voltage_v: voltage at the heater, line to line [V].
    :param phases: 1 or 3.
    :returns: power [W], resistance [ohm], line current [A], fraction of rated power.

    Limits: constant resistance; rated power and rated voltage above zero.

    References:
    [1] Joule's and Ohm's laws

    >>> answer = heater_power(10000.0, 240.0, 208.0)
    >>> round(answer.resistance_ohm, 2), round(answer.current_a, 2), round(answer.power_w)
    (5.76, 36.11, 7511)
    """
    rated = positive("rated_power", rated_power_w)
    fraction = (not_negative("voltage", voltage_v) / positive("rated_voltage", rated_voltage_v)) ** 2
    resistance_ohm = rated_voltage_v**2 / rated
    return HeaterPower(
        power_w=rated * fraction,
        resistance_ohm=resistance_ohm,
        current_a=voltage_v / resistance_ohm / phase_factor(phases),
        fraction=fraction,
    )


@refusing
def heater_current(power_w: float, voltage_v: float, phases: float = 1) -> float:
    """Give the line current of a resistance load.

    Formula: I = P / V, three-phase P / (root 3 V) [1]

    :param power_w: power [W].
    :param voltage_v: voltage, line to line [V], above zero.
    :param phases: 1 or 3.
    :returns: current [A].

    Limits: voltage above zero; 1 or 3 phases; unity power factor.

    References:
    [1] Joule's law

    >>> heater_current(9600.0, 240.0)
    40.0
    """
    return not_negative("power", power_w) / positive("voltage", voltage_v) / phase_factor(phases)
