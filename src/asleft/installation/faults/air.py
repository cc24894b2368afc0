"""Faults of the air side: filter, return, dampers, and a blower that does not reach its speed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from asleft.installation.faults.kind import CannotBe, Change, Kind, anywhere

if TYPE_CHECKING:
    from asleft.equipment.model import Equipment
    from asleft.installation.unit import Installation

RETURN_RISES = 0.35 / 0.20 - 1.0
SUPPLY_RISES = 0.95 / 0.30 - 1.0
SPEED_LOST = 0.25


def _loaded(installation: Installation, _equipment: Equipment, size: float, _where: str) -> Change:
    added = size * RETURN_RISES * installation.return_coefficient
    return Change({("ducts", "filter_added"): added})


def _restricted(installation: Installation, _equipment: Equipment, size: float, _where: str) -> Change:
    added = size * RETURN_RISES * installation.return_coefficient
    return Change({("ducts", "return_added"): added})


def _closed(installation: Installation, _equipment: Equipment, size: float, _where: str) -> Change:
    added = size * SUPPLY_RISES * installation.supply_coefficient
    return Change({("ducts", "supply_added"): added})


def _has_capacitor(_installation: Installation, equipment: Equipment) -> tuple[str, ...]:
    if equipment.blower.motor is None:
        raise CannotBe("nobody says what motor the blower has")
    if equipment.blower.motor != "permanent-split-capacitor":
        raise CannotBe("the blower's motor is electronic and has no run capacitor")
    return ("",)


def _weak(_installation: Installation, _equipment: Equipment, size: float, _where: str) -> Change:
    return Change({("ducts", "blower_speed"): 1.0 - size * SPEED_LOST})


KINDS = (
    Kind("filter-loaded", "Filter loaded", "filter", "up to 1.75 times the return side", anywhere, _loaded),
    Kind(
        "return-restricted",
        "Return restricted",
        "return-duct",
        "up to 1.75 times the return side",
        anywhere,
        _restricted,
    ),
    Kind(
        "damper-closed", "Damper closed", "supply-duct", "up to 3.2 times the supply side", anywhere, _closed
    ),
    Kind(
        "capacitor-weak",
        "Blower capacitor weak",
        "blower",
        "up to a quarter of its speed",
        _has_capacitor,
        _weak,
    ),
)
