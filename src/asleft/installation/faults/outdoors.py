"""Faults of the heat pump and of what the control knows of the weather."""

from __future__ import annotations

from typing import TYPE_CHECKING

from asleft.installation.faults.kind import ALL_OR_NOTHING, CannotBe, Change, Kind
from asleft.installation.faults.left_in_control import by_id, lockouts, stands

if TYPE_CHECKING:
    from asleft.equipment.model import Equipment
    from asleft.installation.unit import Installation

TEN_F_K = 10.0 / 1.8


def _has_pump(_installation: Installation, equipment: Equipment) -> tuple[str, ...]:
    if equipment.heat_pump is None or not equipment.heat_pump.pairing:
        raise CannotBe("no heat pump goes with the unit")
    return ("",)


def _senses_outdoors(installation: Installation, equipment: Equipment) -> tuple[str, ...]:
    lockouts(installation, equipment)
    return _has_pump(installation, equipment)


def _sensor(_installation: Installation, _equipment: Equipment, size: float, _where: str) -> Change:
    return Change({("outdoors", "sensor_off_k"): size * TEN_F_K})


def _gap_places(installation: Installation, equipment: Equipment) -> tuple[str, ...]:
    _has_pump(installation, equipment)
    return tuple(o.id for o in lockouts(installation, equipment))


def _gap(installation: Installation, equipment: Equipment, size: float, where: str) -> Change:
    """The compressor stops above the temperature up to which auxiliary heat may help."""
    option, pump = by_id(lockouts(installation, equipment), where), equipment.heat_pump
    differential_k = (pump.cut_out_differential or 0.0) if pump else 0.0
    cut_out_c = float(option.value) + differential_k + size * TEN_F_K
    return Change({**stands(equipment, option), ("outdoors", "cut_out_c"): cut_out_c})


def _reversed(_installation: Installation, _equipment: Equipment, _size: float, _where: str) -> Change:
    return Change({("outdoors", "valve_reversed"): True})


KINDS = (
    Kind(
        "outdoor-sensor-off",
        "Outdoor sensor off",
        "sensor.outdoor",
        "up to 10 degF too warm",
        _senses_outdoors,
        _sensor,
    ),
    Kind("lockout-gap", "No heat between lockouts", "control", "up to 10 degF wide", _gap_places, _gap),
    Kind(
        "reversing-valve-setting-wrong",
        "Reversing valve wrong way round",
        "control",
        ALL_OR_NOTHING,
        _has_pump,
        _reversed,
    ),
)
