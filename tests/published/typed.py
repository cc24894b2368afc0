"""A published example as a visit: an equipment file made for it, and what it gives typed as the wizard asks.

The unit, its maker and its instruments are invented; whatever an example says nothing of is healthy. Nothing
is written to disk.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from math import sqrt
from typing import Any

from asleft.checks import Finding
from asleft.drill.classroom.reference import InMemory
from asleft.drill.technician import SimulatedClock, act
from asleft.equipment.load import load_bytes
from asleft.equipment.model import Equipment, EquipmentFile
from asleft.visit import Visit

MOST_ACTS = 200
"""More acts than any example takes."""

HEALTHY: Mapping[str, str] = {
    "identity.model": "Worked 1",
    "identity.orientation": "upflow",
    "identity.supply": "mains",
    "identity.system": "split",
    "identity.kit": "kit",
    "identity.outdoor": "none",
    "identity.outdoor_capacity": "36000 Btu/h",
    "identity.altitude": "0 ft",
    "identity.code": "NEC 2023",
    "identity.instrument.meter": "Meter | voltage 0.001 V, resistance 0.001 ohm | 2039-01-31",
    "identity.instrument.clamp": "Clamp | current 0.001 A | 2039-01-31",
    "identity.instrument.manometer": "Manometer | static_pressure 0.001 inH2O | 2039-01-31",
    "identity.instrument.thermometer": "Thermometer | temperature 0.01 degC | 2039-01-31",
    "electrical.circuit.N.length": "10 ft",
    "electrical.circuit.N.locked.l1_ground": "0.0 V",
    "electrical.circuit.N.locked.l2_ground": "0.0 V",
    "electrical.circuit.N.locked.l3_ground": "0.0 V",
    "electrical.dead.function": "two-pole tester",
    "electrical.dead.tester_before": "yes",
    "electrical.dead.waited": "yes",
    "electrical.dead.tester_after": "yes",
    "electrical.circuit.N.device": "60 A",
    "electrical.circuit.N.conductor": "6 AWG",
    "electrical.circuit.N.material": "copper",
    "electrical.circuit.N.insulation": "90",
    "electrical.circuit.N.ambient": "30 degC",
    "electrical.circuit.N.conductors": "3",
    "electrical.ground.resistance": "0.10 ohm",
    "electrical.control.idle": "24.0 V",
    "electrical.circuit.N.no_call.l1": "0.00 A",
    "electrical.circuit.N.no_call.l2": "0.00 A",
    "electrical.circuit.N.called.both": "0.00 A",
    "electrical.blower.current": "2.00 A",
    "blower.open_port": "0.00 inH2O",
    "blower.ready.filter_in": "yes",
    "blower.ready.panels_on": "yes",
    "blower.ready.registers_open": "yes",
    "blower.ready.coil": "dry",
    "blower.design_airflow": "1200 cfm",
    "blower.static.supply": "0.30 inH2O",
    "blower.static.return": "-0.20 inH2O",
    "heat.design_load": "40000 Btu/h",
    "heat.design_temperature": "5 F",
    "heat.static.supply": "0.30 inH2O",
    "heat.static.return": "-0.20 inH2O",
    "delay.floor_area": "2000 ft2",
    "delay.construction": "medium",
}
"""What is typed for a field that an example says nothing of; N is the number of any circuit or stage."""

TO_GROUND = {"split": 1 / 2, "wye": 1 / sqrt(3)}
"""A leg to ground, as a part of line to line."""


def unit(*parts: str) -> EquipmentFile:
    """An equipment file of a plate and whatever parts an example needs."""
    plate = 'format = 1\n[unit]\nid = "worked-1"\nmaker = "Aldermoor"\nmodel = "Worked 1"\n'
    return load_bytes("\n".join((plate, *parts)).encode(), "worked-1.toml")


def supply(nominal: str, lowest: str, highest: str, phases: int = 1) -> str:
    """The one supply of a unit."""
    return (
        f'[[supply]]\nid = "mains"\nnominal = "{nominal}"\nphases = {phases}\n'
        f'lowest = "{lowest}"\nhighest = "{highest}"\n'
    )


def blower(rows: str = "[0.10, 1200, 400], [0.90, 1200, 400]", **figures: str | int) -> str:
    """A blower of one tier, unless its fan table is given one that moves 1200 cfm against anything."""
    plate = "".join(f"{key} = {value!r}\n".replace("'", '"') for key, value in figures.items())
    return (
        f'[blower]\n{plate}[[blower.tier]]\nid = "only"\nlabel = "As built"\nhighest_static = "0.50 inH2O"\n'
        f'[[blower.tier.speed]]\nuse = "cooling"\nunits = ["inH2O", "cfm", "W"]\nrows = [{rows}]\n'
    )


def kit(
    power: str,
    voltage: str,
    *circuits: str,
    stages: tuple[str, ...] = (),
    least_airflow: str = "500 cfm",
    more: str = "",
) -> str:
    """A heater kit, its circuits as TOML; one stage of all its power unless told otherwise."""
    steps = "".join(
        f'[[heater.stage]]\nid = "{n}"\npower = "{watts}"\n' for n, watts in enumerate(stages or (power,), 1)
    )
    fed = "".join(f"[[heater.circuit]]\n{circuit}\n" for circuit in circuits)
    return (
        f'[[heater]]\nid = "kit"\nlabel = "Kit"\npower = "{power}"\nvoltage = "{voltage}"\n'
        f'least_airflow = "{least_airflow}"\n{more}\n{steps}{fed}[limits]\nleaving_air = "200 degF"\n'
    )


CONTROL = '[[address]]\nid = "control"\nlabel = "Control"\n'
"""The one address of the settings below."""


def topic(id: str, role: str, options: Mapping[str, str]) -> str:
    """A setting of the control and the topic that it carries, its options with their values as TOML."""
    values = ", ".join(f'"{option}"' for option in options)
    setting = (
        f'[[setting]]\nid = "{id}"\nlabel = "{id}"\nentry = "parameter"\naddress = "control"\n'
        f'values = [{values}]\nfactory = "{next(iter(options))}"\n'
    )
    offered = "".join(
        f'[[topic.option]]\nid = "{option}"\nlabel = "{option}"\n'
        f'set = {{ {id} = "{option}" }}\nvalue = {value}\n'
        for option, value in options.items()
    )
    return f'{setting}[[topic]]\nid = "{id}"\nlabel = "{id}"\nrole = "{role}"\n{offered}'


def heat_pump(capacity_47: str, capacity_35: str, capacity_17: str) -> str:
    """The one heat pump that works with the unit."""
    return (
        '[heat_pump]\n[[heat_pump.pairing]]\nid = "pump"\nlabel = "Heat pump"\n'
        f'capacity_47 = "{capacity_47}"\ncapacity_35 = "{capacity_35}"\ncapacity_17 = "{capacity_17}"\n'
    )


class Bench:
    """The unit and the instruments of an example, as a rig: each reading is what the example gives."""

    def __init__(self, equipment: Equipment, typed: Mapping[str, str]) -> None:
        self._typed = dict(typed)
        self._nominal_v = equipment.supply[0].nominal
        self._holds = {setting.id: setting.factory or setting.values[0] for setting in equipment.setting}

    def ask(self, request: Mapping[str, Any]) -> dict[str, Any]:
        """One reading, one look at the control, one act at it; nothing is mended."""
        match request["do"]:
            case "read":
                typed = self.reads(request["field"])
                return {"typed": typed} if typed else {"refused": "the example says nothing of it"}
            case "look":
                return {"shown": self._holds[request["setting"]]}
            case "write":
                self._holds[request["setting"]] = request["value"]
                return {"shown": request["value"]}
            case "power":
                return {"done": True}
            case other:
                return {"refused": f"the example does not {other}"}

    def reads(self, field: str) -> str | None:
        """What is typed for a field: what the example gives, else what a healthy unit shows, else nothing."""
        usual = HEALTHY.get(re.sub(r"\.\d+\.", ".N.", field))
        if typed := self._typed.get(field) or usual:
            return typed
        if field.startswith("electrical.dead."):
            return "0.0 V"
        leg = field.rpartition(".")[2]
        if leg.endswith("_ground"):
            system = self._typed.get("identity.system") or HEALTHY["identity.system"]
            return f"{self._nominal_v * TO_GROUND[system]:.1f} V"
        return f"{self._nominal_v:.1f} V" if leg in ("voltage", "l1_l2", "l2_l3", "l3_l1") else None

    def close(self) -> None:
        """Nothing to let go of."""


class Worked:
    """A visit in which an example is typed, act by act, through the door that the wizard goes through."""

    def __init__(self, equipment: EquipmentFile, typed: Mapping[str, str]) -> None:
        self._typed = dict(typed)
        self._bench = Bench(equipment.equipment, typed)
        self.visit = Visit(InMemory(()), equipment, {}, by="Ada", clock=SimulatedClock(1))  # type: ignore[arg-type]

    def finding(self, key: str) -> Finding:
        """What the visit finds under a key, once all that the example gives is typed."""
        left_out = set(self._typed)
        for _ in range(MOST_ACTS):
            view = self.visit.view
            found = view.finding(key)
            if found and found.verdict != "not measured" and not left_out:
                return found
            done, answered, read_at = act(view, self._bench)
            left = str(done)
            self.visit.submit(done, self._typed.get(left, answered), read_at)
            left_out.discard(left)
        raise AssertionError(f"{key} is not settled after {MOST_ACTS} acts; not asked for: {left_out}")
