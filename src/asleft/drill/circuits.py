"""An invented site's branch circuits, as a careful electrician would have built them."""

from __future__ import annotations

from random import Random
from typing import TYPE_CHECKING

from asleft.calc import CalcError, conductor_ampacity, heater_current, largest_device, overcurrent_device
from asleft.checks.drops import BRANCH
from asleft.installation.unit import Branch
from asleft.quantity import show
from asleft.tables import conductor, iec_capacities, iec_device_sizes

if TYPE_CHECKING:
    from asleft.drill.fitted import Fitted
    from asleft.equipment.model import Circuit, Equipment, Heater

SIZES = (
    "14 AWG",
    "12 AWG",
    "10 AWG",
    "8 AWG",
    "6 AWG",
    "4 AWG",
    "3 AWG",
    "2 AWG",
    "1 AWG",
    "1/0 AWG",
    "2/0 AWG",
)
DROP = 0.9 * BRANCH
"""The part of the voltage that a careful electrician lets a run take at its rated load."""


def branches(random: Random, equipment: Equipment, fitted: Fitted) -> tuple[Branch, ...] | None:
    """A branch for each circuit of the kit; None where one of them cannot be built by the rules."""
    kit, found = fitted.kit, []
    for circuit in kit.circuit if kit else ():
        assert kit is not None
        ambient_c = float(random.choice((30.0, 35.0, 40.0)))
        bundled = 3 if kit.phases == 3 else 2
        wire = (_metric if fitted.metric else _north_american)(equipment, kit, circuit, ambient_c, bundled)
        if wire is None:
            return None
        device, size, capacity = wire
        factor = 2.0 if kit.phases == 1 else 3.0**0.5
        ohm_per_m = factor * conductor(size, "copper").ohm_per_m
        longest_m = DROP * fitted.supply.nominal / (ohm_per_m * _load_a(equipment, kit, circuit))
        loop_ohm = ohm_per_m * min(random.uniform(6.0, 18.0), longest_m)
        found.append(Branch(device, size, "copper", 90, ambient_c, bundled, loop_ohm, capacity))
    return tuple(found)


def lengths(fitted: Fitted, wired: tuple[Branch, ...]) -> dict[str, str]:
    """How far each circuit runs one way, as somebody paced it out, by field."""
    factor = 3.0**0.5 if fitted.kit is not None and fitted.kit.phases == 3 else 2.0
    units = "si" if fitted.metric else "ip"
    return {
        f"electrical.circuit.{n}.length": show(
            branch.loop_ohm / (factor * conductor(branch.conductor, branch.material).ohm_per_m),
            "length",
            units,
        )
        for n, branch in enumerate(wired, 1)
    }


def _load_a(equipment: Equipment, kit: Heater, circuit: Circuit) -> float:
    """Rated current of all that a circuit feeds."""
    power = sum(s.power for s in kit.stage if s.id in circuit.stages)
    blower_a = (equipment.blower.full_load_current or 0.0) if circuit.feeds_blower else 0.0
    return heater_current(power, kit.voltage, kit.phases) + blower_a


Wire = tuple[float, str, float | None]
"""Device in amperes, size of the conductor, and its capacity where a technician has to enter it."""


def _north_american(
    equipment: Equipment, kit: Heater, circuit: Circuit, ambient_c: float, bundled: int
) -> Wire | None:
    """The smallest conductor and device that the NEC allows."""
    least = circuit.minimum or 1.25 * _load_a(equipment, kit, circuit)
    device = overcurrent_device(least)
    if circuit.maximum is not None and device > circuit.maximum:
        return None
    for size in SIZES:
        try:
            carries = conductor_ampacity(size, "copper", float(circuit.terminals), 90.0, ambient_c, bundled)
            if carries >= least and largest_device(size, carries) >= device:
                return device, size, None
        except CalcError:
            continue
    return None


def _metric(
    equipment: Equipment, kit: Heater, circuit: Circuit, ambient_c: float, bundled: int
) -> Wire | None:
    """The smallest device that carries the design current, and the smallest conductor that it protects."""
    load_a = _load_a(equipment, kit, circuit)
    device = next((size for size in iec_device_sizes() if size >= load_a), None)
    if device is None or (circuit.maximum is not None and device > circuit.maximum):
        return None
    capacities = iec_capacities(kit.phases)
    return next(((device, size, a) for size, a in capacities.items() if a >= device), None)
