"""Circuits for fixed electric heat: conductor, device, division, by the NEC; the local code governs."""

from __future__ import annotations

import math
from typing import NamedTuple

from asleft.calc.guards import CalcError, finite, not_negative, positive, whole, word
from asleft.calc.heat import phase_factor
from asleft.tables import (
    COLUMNS,
    MATERIALS,
    Conductor,
    TableError,
    ambient_factor,
    bundling_factor,
    conductors,
    device_sizes,
)

CONTINUOUS = 1.25
"""Fixed electric heat counts as a continuous load: NEC 424.4(B)."""

LARGEST_PART_A = 48.0
"""Heater current above which the elements are divided: NEC 424.22(B)."""

_CLOSE = 1 + 1e-9


class BranchCircuit(NamedTuple):
    """What a circuit for electric heat needs; all but ``parts`` are those of the undivided circuit."""

    load_current_a: float
    minimum_ampacity_a: float
    overcurrent_device_a: float
    conductor: str
    parts: int


def _next_device(name: str, ampacity_a: float) -> float:
    for size in device_sizes():
        if ampacity_a <= size * _CLOSE:
            return size
    raise CalcError(
        name, f"{ampacity_a:g} A is above every standard device", f"{device_sizes()[-1]:g} A or less"
    )


def overcurrent_device(ampacity_a: float) -> float:
    """Give the next standard size of overcurrent device at or above an ampacity.

    Formula: smallest standard size at or above the ampacity [1]

    :param ampacity_a: ampacity [A], at most 600.
    :returns: size [A].

    Limits: at most 600 A.

    References:
    [1] NEC (NFPA 70) 240.6(A)

    >>> overcurrent_device(53.75), overcurrent_device(60.0)
    (60.0, 60.0)
    """
    return _next_device("ampacity", not_negative("ampacity", ampacity_a))


def _column(name: str, temperature_c: float) -> int:
    for column in COLUMNS:
        if abs(temperature_c - column) < 1e-6:
            return column
    raise CalcError(name, f"no column for {temperature_c:g} degC", "60, 75 or 90 degC")


class _Conditions(NamedTuple):
    termination: int
    insulation: int
    factor: float

    def ampacity(self, conductor: Conductor) -> float:
        derated = conductor.ampacity_a[self.insulation] * self.factor
        return min(derated, conductor.ampacity_a[self.termination])


def _conditions(
    termination_c: float, insulation_c: float, ambient_c: float, conductor_count: float
) -> _Conditions:
    termination = _column("termination", termination_c)
    insulation = _column("insulation", insulation_c)
    try:
        factor = ambient_factor(finite("ambient", ambient_c), insulation)
    except TableError as error:
        raise CalcError("ambient", error.why, error.expected) from error
    return _Conditions(
        termination, insulation, factor * bundling_factor(whole("conductors", conductor_count, 1))
    )


def conductor_ampacity(
    size: str,
    material: str = "copper",
    termination_c: float = 60.0,
    insulation_c: float = 90.0,
    ambient_c: float = 30.0,
    conductors: float = 3,
) -> float:
    """Give a conductor's ampacity where it is installed.

    Formula: insulation's column [1] x ambient factor x bundling factor [2], at most the terminals' column
    [3]

    :param size: conductor, such as "6 AWG" or "1/0 AWG".
    :param material: "copper" or "aluminium".
    :param termination_c: the terminals' temperature rating: 60, 75 or 90 [degC].
    :param insulation_c: the insulation's temperature rating: 60, 75 or 90 [degC].
    :param ambient_c: ambient temperature [degC], at most 70 and less for cooler insulation.
    :param conductors: current-carrying conductors in the raceway or cable.
    :returns: ampacity [A].

    Limits: 14 AWG to 4/0 AWG; columns 60, 75 and 90 degC; ambient at most 70 degC, less for cooler
    insulation.

    References:
    [1] NEC (NFPA 70) table 310.16
    [2] NEC (NFPA 70) 310.15(B) and (C)
    [3] NEC (NFPA 70) 110.14(C)

    >>> conductor_ampacity("6 AWG"), conductor_ampacity("6 AWG", conductors=4)
    (55.0, 55.0)
    """
    conditions = _conditions(termination_c, insulation_c, ambient_c, conductors)
    table = ampacity_table(material)
    if size not in table:
        raise CalcError("size", f"no ampacity for {material} {size}", ", ".join(table))
    return conditions.ampacity(table[size])


def ampacity_table(material: str) -> dict[str, Conductor]:
    """Give every size of a material that has an ampacity, thinnest first; refuse another material."""
    metal = word("material", material, MATERIALS)
    return {name: entry for name, entry in conductors(metal).items() if entry.ampacity_a}


def largest_device(size: str, ampacity_a: float, material: str = "copper") -> float:
    """Give the largest overcurrent device that protects a conductor of known ampacity.

    Formula: the next standard size at or above the ampacity [1], and no more than the cap on small
    conductors [2]

    :param size: conductor, such as "10 AWG".
    :param ampacity_a: the conductor's ampacity where it is installed [A].
    :param material: "copper" or "aluminium".
    :returns: size [A].

    Limits: sizes that have an ampacity; at most 600 A.

    References:
    [1] NEC (NFPA 70) 240.4(B)
    [2] NEC (NFPA 70) 240.4(D)

    >>> largest_device("10 AWG", 35.0), largest_device("6 AWG", 55.0)
    (30.0, 60.0)
    """
    entry = ampacity_table(material).get(size)
    if entry is None:
        raise CalcError("size", f"no ampacity for {material} {size}", ", ".join(ampacity_table(material)))
    return _protected_by(entry, not_negative("ampacity", ampacity_a))


def _protected_by(entry: Conductor, ampacity_a: float) -> float:
    device_a = _next_device("ampacity", ampacity_a)
    return device_a if entry.largest_device_a is None else min(device_a, entry.largest_device_a)


def divided_parts(heater_current_a: float) -> int:
    """Give the least number of equal parts, each of at most 48 A, that a heater is divided into.

    Formula: parts = ceil(I / 48 A), at least 1 [1]

    :param heater_current_a: the heater's current, blower excluded; line current if three-phase [A].
    :returns: parts, at least 1.

    Limits: equal parts; the blower's current is left out.

    References:
    [1] NEC (NFPA 70) 424.22(B)

    >>> divided_parts(48.0), divided_parts(62.5)
    (1, 2)
    """
    return max(1, math.ceil(not_negative("heater_current", heater_current_a) / (LARGEST_PART_A * _CLOSE)))


def branch_circuit(
    heater_power_w: float,
    voltage_v: float,
    phases: float = 1,
    blower_current_a: float = 0.0,
    material: str = "copper",
    termination_c: float = 60.0,
    insulation_c: float = 90.0,
    ambient_c: float = 30.0,
    conductors: float = 3,
) -> BranchCircuit:
    """Give what the branch circuit of an electric heater needs.

    Formula: load = heater + blower; minimum ampacity = 1.25 load [1]; device = next standard size [2]; the
    conductor is the smallest that carries the minimum ampacity and that the device protects [3]; parts =
    ceil(heater amperes / 48) [4]

    :param heater_power_w: heater power on this circuit [W].
    :param voltage_v: voltage, line to line [V], above zero.
    :param phases: 1 or 3.
    :param blower_current_a: blower current, where this circuit feeds the blower [A].
    :param material: "copper" or "aluminium".
    :param termination_c: the terminals' temperature rating: 60, 75 or 90 [degC].
    :param insulation_c: the insulation's temperature rating: 60, 75 or 90 [degC].
    :param ambient_c: ambient temperature [degC].
    :param conductors: current-carrying conductors in the raceway or cable.
    :returns: load current [A], minimum ampacity [A], device [A], conductor, parts.

    Limits: voltage above zero; all but the parts are those of the undivided circuit; a data-plate minimum
    ampacity already holds the 125 %; the local code governs.

    References:
    [1] NEC (NFPA 70) 424.4(B)
    [2] NEC (NFPA 70) 240.6(A)
    [3] NEC (NFPA 70) 240.4(B) and (D), table 310.16
    [4] NEC (NFPA 70) 424.22(B)

    >>> branch_circuit(9600.0, 240.0, blower_current_a=3.0)
    ... # doctest: +NORMALIZE_WHITESPACE
    BranchCircuit(load_current_a=43.0, minimum_ampacity_a=53.75, overcurrent_device_a=60.0,
                  conductor='6 AWG', parts=1)
    """
    power_w = not_negative("heater_power", heater_power_w)
    heater_a = power_w / positive("voltage", voltage_v) / phase_factor(phases)
    load_a = heater_a + not_negative("blower_current", blower_current_a)
    minimum_a = CONTINUOUS * load_a
    device_a = _next_device("heater_power", minimum_a)
    conditions = _conditions(termination_c, insulation_c, ambient_c, conductors)
    for name, entry in ampacity_table(material).items():
        ampacity_a = conditions.ampacity(entry)
        if ampacity_a * _CLOSE >= minimum_a and device_a <= _protected_by(entry, ampacity_a):
            return BranchCircuit(load_a, minimum_a, device_a, name, divided_parts(heater_a))
    raise CalcError(
        "heater_power", f"no tabled conductor carries {minimum_a:g} A as installed", "less power a circuit"
    )
