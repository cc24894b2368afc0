"""What papers, plates and people say at an invented site, typed with its unit."""

from __future__ import annotations

from random import Random
from typing import TYPE_CHECKING

from asleft.calc import heating_capacity
from asleft.drill.fitted import Fitted, cooling_w
from asleft.drill.names import FAMILY, GIVEN, HOUSES, serial
from asleft.equipment.library import instruments
from asleft.quantity import from_unit, show

if TYPE_CHECKING:
    from asleft.equipment.model import Equipment


def papers(random: Random, equipment: Equipment, fitted: Fitted, design_m3s: float) -> dict[str, str]:
    """What a technician would type before measuring anything, by field."""
    kit, supply, pairing = fitted.kit, fitted.supply, fitted.pairing
    units = "si" if fitted.metric else "ip"
    kit_w = kit.power * (supply.nominal / kit.voltage) ** 2 if kit else 0.0
    design_c = from_unit(float(random.randrange(-5, 28)), "temperature", "°F")
    carried = heating_capacity(pairing.capacity_47, pairing.capacity_17)(design_c) if pairing else 0.0
    load_w = max(carried, 0.0) + kit_w * random.uniform(0.3, 0.9)
    typed = {
        "identity.technician": f"{random.choice(GIVEN)} {random.choice(FAMILY)}",
        "identity.site": f"{random.choice(HOUSES)} {random.randrange(1, 90)}",
        "identity.model": equipment.unit.model,
        "identity.serial": serial(random, equipment.unit.serial_pattern),
        "identity.supply": supply.id,
        "identity.system": fitted.system,
        "identity.kit": kit.id if kit else "none",
        "identity.outdoor": pairing.id if pairing else "none",
        "identity.altitude": show(fitted.altitude_m, "length", "si"),
        "identity.code": fitted.code,
        "blower.design_airflow": show(design_m3s, "airflow", units),
        "heat.design_load": show(load_w, "heat_rate", units),
        "heat.design_temperature": show(design_c, "temperature", units),
        "heat.zero_load_temperature": "18 °C" if fitted.metric else "65 °F",
        "delay.floor_area": show(random.uniform(90.0, 230.0), "area", units),
        "delay.construction": random.choice(("very light", "light", "medium")),
        "delay.droop_limit": "1 K" if fitted.metric else "2 °F",
        "electrical.clamp.true_rms": "yes",
        "electrical.disconnect.lockable": "yes",
        "delay.differential": "0.2 K" if fitted.metric else "0.4 °F",
        "signoff.cleared": "yes",
        "signoff.holes_plugged": "yes",
        "signoff.owner_shown": "yes",
        "signoff.directory": "yes",
        "signoff.told": f"{random.choice(GIVEN)} {random.choice(FAMILY)}",
        "signoff.tagged": "yes",
    }
    if fitted.orientation is not None:
        typed["identity.orientation"] = fitted.orientation
    if kit is not None and len(kit.circuit) > 1:
        typed["electrical.disconnect.grouped"] = "yes"
    if pairing is not None:
        typed["identity.outdoor_capacity"] = show(cooling_w(pairing), "heat_rate", units)
    taken = {a.number for a in equipment.address if a.number}
    free = (str(n) for n in range(1, 100) if str(n) not in taken)
    for address in equipment.address:
        typed[f"identity.address.{address.id}"] = address.number or next(free)
    for instrument in reversed(instruments()):
        if instrument.accuracy and (instrument.calibrated_until or "") > "2030":
            typed[f"identity.instrument.{instrument.role}"] = instrument.id
    return typed
