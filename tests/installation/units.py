"""Units and visits for the tests of the installed unit, told a little at a time."""

from __future__ import annotations

import copy
from functools import cache
from math import sqrt
from typing import Any

import tomli

from asleft.equipment.model import Equipment
from support import ROOT, Told

CFM = 0.4719474e-3
INCH = 249.089
BTU_H = 1055.05585262 / 3600
"""International Table Btu, as the unit is defined."""
FT2 = 0.3048**2
PER_LIMIT = 2 / sqrt(3)
"""U = 2 a / root 3 for a limit a (JCGM 100, 4.3.7)."""


def celsius(fahrenheit: float) -> float:
    """A temperature in degC."""
    return (fahrenheit - 32) / 1.8


@cache
def _demo() -> dict[str, Any]:
    return tomli.loads((ROOT / "equipment" / "tarnfield-lowmoor-36.toml").read_text("utf-8"))


def demo() -> dict[str, Any]:
    """The first demo unit's file, to be changed at will."""
    return copy.deepcopy(_demo())


def speed(use: str, rows: list[list[float]]) -> dict[str, Any]:
    """One speed of a tier: in. w.c., cfm, W."""
    return {"use": use, "units": ["inH2O", "cfm", "W"], "rows": rows}


REFERENCE_ROWS = [[0.30, 1320.0, 380.0], [0.50, 1200.0, 400.0], [0.80, 960.0, 430.0]]


KITS_KW = {"ash": 4.8, "beech": 7.2, "cedar": 9.6, "elm": 14.4}


def reference_file() -> dict[str, Any]:
    """The healthy reference: 9.6 kW in two equal stages, the blower on a circuit of its own, and
    1200 cfm and 400 W at 0.50 in. w.c. at both speeds of every tier.
    """
    data = demo()
    for tier in data["blower"]["tier"]:
        tier["speed"] = [speed("cooling", REFERENCE_ROWS), speed("heating", REFERENCE_ROWS)]
    for kit in data["heater"]:
        kit["power"] = f"{KITS_KW[kit['id']]} kW"
        for stage in kit["stage"]:
            stage["power"] = f"{KITS_KW[kit['id']] / 2} kW"
        for circuit in kit["circuit"]:
            circuit["feeds_blower"] = False
    return data


def three_phase_file(motor: int = 1) -> dict[str, Any]:
    """The reference on three phases: 9.6 kW at 240 V in two stages of three elements in delta, 36 ohm
    an element, and the blower on the circuit of both.
    """
    data = reference_file()
    data["blower"]["phases"] = motor
    for part in (*data["supply"], *data["heater"]):
        part["phases"] = 3
    for kit in data["heater"]:
        for stage in kit["stage"]:
            stage |= {"elements": 3, "connection": "delta"}
        kit["circuit"][0]["feeds_blower"] = True
    return data


def unit(data: dict[str, Any]) -> Equipment:
    """An equipment file read."""
    return Equipment.model_validate(data)


@cache
def reference_unit() -> Equipment:
    """The healthy reference."""
    return unit(reference_file())


INSTRUMENTS = {
    "meter": ["voltage 0.5 % + 2 x 0.1 V"],
    "clamp": ["current 0.5 % + 1 x 0.01 A"],
    "manometer": ["static_pressure 1 % + 1 x 0.002 inH2O"],
    "thermometer": ["temperature 0.5 degC"],
}


class Job(Told):
    """A visit whose readings are all taken by an instrument of a known limit."""

    def __init__(self, equipment: Equipment, *, instruments: bool = True) -> None:
        super().__init__(equipment)
        for role, accuracy in INSTRUMENTS.items() if instruments else ():
            self.event(
                "used", field=f"identity.instrument.{role}", instrument=role, name=role, accuracy=accuracy
            )

    def read(self, field: str, value: float) -> None:
        """A reading by the instrument in use for it."""
        known = self.ledger.fields[field]
        self.enter(field, value, **({"instrument": known.instrument} if known.instrument else {}))

    def identified(self, kit: str = "cedar", outdoor: str = "fellgate-36") -> Job:
        """What it is, before anything is measured, and every setting found as the factory left it."""
        for field, value in {
            "identity.orientation": "upflow",
            "identity.supply": "240",
            "identity.kit": kit,
            "identity.outdoor": outdoor,
        }.items():
            self.enter(field, value)
        self.found_all()
        return self

    def statics(self, supply_in: float, return_in: float, pane: str = "blower") -> Job:
        """Both sides, in. w.c. against the room."""
        self.read(f"{pane}.static.supply", supply_in * INCH)
        self.read(f"{pane}.static.return", return_in * INCH)
        return self

    def rise(self, return_c: float, rise_k: float) -> Job:
        """The rise of every stage of a two-stage kit."""
        self.read("heat.stage.2.return_air", return_c)
        self.read("heat.stage.2.leaving_air", return_c + rise_k)
        return self

    def house(self, load_btu_h: float = 40000.0, design_f: float = 5.0, **area: Any) -> Job:
        """A house of 2000 ft2 of medium construction."""
        self.enter("heat.design_load", load_btu_h * BTU_H)
        self.enter("heat.design_temperature", celsius(design_f))
        self.enter("delay.floor_area", area.get("area_ft2", 2000.0) * FT2)
        self.enter("delay.construction", area.get("construction", "medium"))
        return self
