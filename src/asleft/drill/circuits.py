"""An invented site's branch circuits, as a careful electrician would have built them."""

from __future__ import annotations

from random import Random
from typing import TYPE_CHECKING

from asleft.calc import CalcError, conductor_ampacity, heater_current, largest_device, overcurrent_device
from asleft.installation.unit import Branch
from asleft.tables import conductor

if TYPE_CHECKING:
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


def branches(random: Random, equipment: Equipment, kit: Heater | None) -> tuple[Branch, ...] | None:
    """A branch for each circuit of the kit; None where one of them cannot be built by the rules."""
    found = []
    for circuit in kit.circuit if kit else ():
        assert kit is not None
        branch = _branch(random, equipment, kit, circuit)
        if branch is None:
            return None
        found.append(branch)
    return tuple(found)


def _branch(random: Random, equipment: Equipment, kit: Heater, circuit: Circuit) -> Branch | None:
    """The smallest conductor and device that may feed a circuit."""
    power = sum(s.power for s in kit.stage if s.id in circuit.stages)
    ambient_c = float(random.choice((30.0, 35.0, 40.0)))
    bundled = 3 if kit.phases == 3 else 2
    blower_a = (equipment.blower.full_load_current or 0.0) if circuit.feeds_blower else 0.0
    least = circuit.minimum or 1.25 * (heater_current(power, kit.voltage, kit.phases) + blower_a)
    device = overcurrent_device(least)
    if circuit.maximum is not None and device > circuit.maximum:
        return None
    for size in SIZES:
        try:
            carries = conductor_ampacity(size, "copper", float(circuit.terminals), 90.0, ambient_c, bundled)
            if carries >= least and largest_device(size, carries) >= device:
                break
        except CalcError:
            continue
    else:
        return None
    run_m = random.uniform(6.0, 18.0)
    ohm_per_m = conductor(size, "copper").ohm_per_m
    factor = 2.0 if kit.phases == 1 else 3.0**0.5
    return Branch(device, size, "copper", 90, ambient_c, bundled, factor * ohm_per_m * run_m)
