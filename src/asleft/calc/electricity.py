"""The supply and what hangs on it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

from asleft.calc.guards import CalcError, each, not_negative, phase_count, positive, refusing, word
from asleft.calc.heat import phase_factor
from asleft.tables import (
    MATERIALS,
    TableError,
    conductor,
    iec_nominals,
    iec_supply_range,
    motor_derating,
    supply_range,
)


class SupplyLimits(NamedTuple):
    """Lowest and highest voltage of a supply, V."""

    lowest_v: float
    highest_v: float


class VoltageUnbalance(NamedTuple):
    """Unbalance as a fraction, and the derating of a three-phase motor; None where it is not to be run."""

    unbalance: float
    derating: float | None


class VoltageDrop(NamedTuple):
    """Volts lost in a circuit, and as a fraction of its voltage."""

    drop_v: float
    fraction: float


class ControlLoad(NamedTuple):
    """Load on a control transformer, VA, and as a fraction of its rating."""

    load_va: float
    fraction: float


@refusing
def supply_limits(nominal_v: float, measured_at: str = "terminals", range: str = "A") -> SupplyLimits:
    """Give the lowest and highest voltage of a supply.

    Formula: limit on a 120 V base x nominal / 120 [1]; of 230 and 400 V, 90 to 110 % at the service and 86
    to 110 % at the terminals, one range only [2]

    :param nominal_v: nominal voltage [V], above zero.
    :param measured_at: "terminals" of the unit, or "service".
    :param range: "A" or "B".
    :returns: lowest and highest [V].

    Limits: nominal above zero; the unit's own data-plate range is a different and binding limit.

    References:
    [1] ANSI C84.1: the 120 V base and range A at the service published, the rest from memory
    [2] IEC 60038

    >>> supply_limits(240.0)
    SupplyLimits(lowest_v=216.0, highest_v=252.0)
    """
    positive("nominal", nominal_v)
    place = word("measured_at", measured_at, ("terminals", "service"))
    letter = word("range", range, ("A", "B"))
    low, high = iec_supply_range(place) if nominal_v in iec_nominals() else supply_range(place, letter)
    return SupplyLimits(nominal_v * low, nominal_v * high)


@refusing
def voltage_unbalance(voltages_v: Sequence[float]) -> VoltageUnbalance:
    """Give the unbalance of three line-to-line voltages and what it does to a three-phase motor.

    Formula: unbalance = max|V - mean| / mean; derating by straight lines between points of the curve [1]

    :param voltages_v: three line-to-line voltages [V].
    :returns: unbalance [fraction], derating [fraction] or None above 5 %.

    Limits: three voltages whose mean is above zero; no derating above 5 %.

    References:
    [1] NEMA MG 1, 14.36 and figure 14-1

    >>> answer = voltage_unbalance([462.0, 463.0, 455.0])
    >>> round(answer.unbalance, 4), round(answer.derating or 0, 2)
    (0.0109, 1.0)
    """
    volts = each("voltages", voltages_v, not_negative)
    if len(volts) != 3:
        raise CalcError("voltages", f"{len(volts)} given", "three line-to-line voltages")
    mean = positive("voltages", math.fsum(volts) / 3)
    unbalance = max(abs(value - mean) for value in volts) / mean
    return VoltageUnbalance(unbalance, _derating(unbalance))


def _derating(unbalance: float) -> float | None:
    points = motor_derating()
    for (low, above), (high, below) in pairwise(points):
        if unbalance <= high * (1 + 1e-12):
            return above + (below - above) * (unbalance - low) / (high - low)
    return None


def resistance_of(size: str, material: str) -> float:
    """Give the resistance of one metre of a conductor at 75 degC, ohm; refuse a size that is not tabled.

    >>> round(resistance_of("6 AWG", "copper") * 304.8, 4)
    0.491
    """
    metal = word("material", material, MATERIALS)
    try:
        return conductor(size, metal).ohm_per_m
    except TableError as error:
        raise CalcError("size", error.why, error.expected) from error


@refusing
def line_drop(current_a: float, length_m: float, ohm_per_m: float, phases: float = 1) -> float:
    """Give the volts lost in a circuit of known resistance, one way.

    Formula: 2 L I R, three-phase root 3 L I R [1]

    :param current_a: current [A].
    :param length_m: length one way [m].
    :param ohm_per_m: resistance of one conductor [ohm/m].
    :param phases: 1 or 3.
    :returns: drop [V].

    Limits: resistance alone, reactance left out; 1 or 3 phases.

    References:
    [1] NEC (NFPA 70) ch. 9; Ohm's law

    >>> round(line_drop(4.0, 30.48, 4.99 / 304.8), 2)
    3.99
    """
    ways = 2.0 if phase_count(phases) == 1 else phase_factor(phases)
    return (
        ways
        * not_negative("current", current_a)
        * not_negative("length", length_m)
        * not_negative("resistance", ohm_per_m)
    )


@refusing
def voltage_drop(
    current_a: float,
    length_m: float,
    size: str,
    voltage_v: float,
    material: str = "copper",
    phases: float = 1,
) -> VoltageDrop:
    """Give the voltage drop in a circuit.

    Formula: 2 L I R, three-phase root 3 L I R, R at 75 degC [1], metric sizes taken to it from 20 degC [2]

    :param current_a: current [A].
    :param length_m: length one way [m].
    :param size: conductor, such as "6 AWG" or "6 mm2".
    :param voltage_v: voltage at the source, line to line [V], above zero.
    :param material: "copper" or "aluminium".
    :param phases: 1 or 3.
    :returns: drop [V] and its fraction of the voltage.

    Limits: 18 AWG to 4/0 AWG copper, 12 AWG to 4/0 AWG aluminium, 1.5 to 25 mm2 copper; resistance alone.

    References:
    [1] NEC (NFPA 70) ch. 9 table 8, stranded, uncoated, 75 degC
    [2] IEC 60228 table 2

    >>> answer = voltage_drop(4.0, 30.48, "16 AWG", 24.0)
    >>> round(answer.drop_v, 2), round(answer.fraction, 3)
    (3.99, 0.166)
    """
    drop_v = line_drop(current_a, length_m, resistance_of(size, material), phases)
    return VoltageDrop(drop_v, drop_v / positive("voltage", voltage_v))


@refusing
def control_load(
    rating_va: float,
    loads_va: Sequence[float] = (),
    voltage_v: float = 24.0,
    loads_a: Sequence[float] = (),
) -> ControlLoad:
    """Give the load on a control transformer.

    Formula: load = sum of loads, amperes counting as A x V; fraction = load / rating [1]

    :param rating_va: the transformer's rating [VA], above zero; a class 2 supply is limited to 100 VA.
    :param loads_va: loads [VA].
    :param voltage_v: control voltage [V].
    :param loads_a: loads given in amperes [A].
    :returns: load [VA] and its fraction of the rating.

    Limits: rating above zero; a class 2 supply is limited to 100 VA [1].

    References:
    [1] NEC (NFPA 70) ch. 9 table 11

    >>> control_load(40.0, [10.0, 5.0], loads_a=[0.5])
    ControlLoad(load_va=27.0, fraction=0.675)
    """
    if not loads_va and not loads_a:
        raise CalcError("loads", "nothing in the list", "at least one load in VA or A")
    not_negative("voltage", voltage_v)
    amperes = [not_negative("loads", load) * voltage_v for load in loads_a]
    load_va = math.fsum([*(not_negative("loads", load) for load in loads_va), *amperes])
    return ControlLoad(load_va, load_va / positive("rating", rating_va))
