"""Faults of the control transformer and of what hangs on it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from asleft.installation.faults.kind import CannotBe, Change, Kind

if TYPE_CHECKING:
    from asleft.equipment.model import Equipment
    from asleft.installation.unit import Installation

WRONG_TAP = 208.0 / 240.0
OVERLOADED = 1.6
"""Of its rating, what the worst overloaded transformer is asked for."""


def _has_control(_installation: Installation, equipment: Equipment) -> tuple[str, ...]:
    if equipment.control_circuit is None:
        raise CannotBe("nobody says that the unit has a control transformer")
    return ("",)


def _tapped(_installation: Installation, _equipment: Equipment, size: float, _where: str) -> Change:
    return Change({("control", "tap"): 1.0 - size * (1.0 - WRONG_TAP)})


def _rated_va(equipment: Equipment) -> float:
    circuit = equipment.control_circuit
    if circuit is None or circuit.transformer is None:
        raise CannotBe("nobody says what the control transformer is rated for")
    return circuit.transformer


def _has_rating(_installation: Installation, equipment: Equipment) -> tuple[str, ...]:
    _rated_va(equipment)
    return ("",)


def _overloaded(_installation: Installation, equipment: Equipment, size: float, _where: str) -> Change:
    circuit = equipment.control_circuit
    there_va = sum(load.power for load in circuit.loads) if circuit else 0.0
    return Change({("control", "added_va"): size * max(0.0, OVERLOADED * _rated_va(equipment) - there_va)})


KINDS = (
    Kind(
        "control-tap-wrong",
        "Wrong transformer tap",
        "control-circuit",
        "up to a 240 V tap on 208 V",
        _has_control,
        _tapped,
    ),
    Kind(
        "control-overloaded",
        "Control transformer overloaded",
        "control-circuit",
        "up to 1.6 times",
        _has_rating,
        _overloaded,
        0.75,
    ),
)
