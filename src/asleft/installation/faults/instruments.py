"""Faults of how a reading is taken."""

from __future__ import annotations

from typing import TYPE_CHECKING

from asleft.installation.faults.kind import ALL_OR_NOTHING, Change, Kind, anywhere, with_kit

if TYPE_CHECKING:
    from asleft.equipment.model import Equipment
    from asleft.installation.unit import Installation

ZERO_PA = 0.05 * 249.08891
SEEN = 0.54
"""Of the elements' own rise, with a probe right before them: 40 degF are read of 26 (TRADE's reference)."""


def _swapped(_installation: Installation, _equipment: Equipment, _size: float, _where: str) -> Change:
    return Change({("probes", "hoses_swapped"): True})


def _offset(_installation: Installation, _equipment: Equipment, size: float, _where: str) -> Change:
    return Change({("probes", "zero_pa"): size * ZERO_PA})


def _seen(_installation: Installation, _equipment: Equipment, size: float, _where: str) -> Change:
    return Change({("probes", "elements_seen"): size * SEEN}, (("kit",),))


KINDS = (
    Kind("hoses-swapped", "Manometer hoses swapped", ALL_OR_NOTHING, anywhere, _swapped),
    Kind("manometer-offset", "Manometer not zeroed", "up to 0.05 in. w.c.", anywhere, _offset),
    Kind("probe-sees-elements", "Probe in sight of the elements", "how far", with_kit, _seen),
)
