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
METER_LOW = 0.08
"""How much too little a meter that was dropped shows (ours)."""
CLAMP_A = 1.5
"""What a clamp that was never zeroed shows round nothing (ours)."""
PROBE_K = 3.0
"""How far a worn probe reads off (ours)."""


def _swapped(_installation: Installation, _equipment: Equipment, _size: float, _where: str) -> Change:
    return Change({("probes", "hoses_swapped"): True})


def _offset(_installation: Installation, _equipment: Equipment, size: float, _where: str) -> Change:
    return Change({("probes", "zero_pa"): size * ZERO_PA})


def _seen(_installation: Installation, _equipment: Equipment, size: float, _where: str) -> Change:
    return Change({("probes", "elements_seen"): size * SEEN}, (("kit",),))


def _lead(_installation: Installation, _equipment: Equipment, _size: float, _where: str) -> Change:
    return Change({("probes", "lead_open"): True}, (("probes", "meter_factor"),))


def _meter(_installation: Installation, _equipment: Equipment, size: float, _where: str) -> Change:
    return Change({("probes", "meter_factor"): 1.0 - size * METER_LOW})


def _clamp(_installation: Installation, _equipment: Equipment, size: float, _where: str) -> Change:
    return Change({("probes", "clamp_zero_a"): size * CLAMP_A})


def _worn(_installation: Installation, _equipment: Equipment, size: float, _where: str) -> Change:
    return Change({("probes", "supply_probe_off_k"): size * PROBE_K})


KINDS = (
    Kind(
        "hoses-swapped", "Manometer hoses swapped", "instrument.manometer", ALL_OR_NOTHING, anywhere, _swapped
    ),
    Kind(
        "manometer-offset",
        "Manometer not zeroed",
        "instrument.manometer",
        "up to 0.05 in. w.c.",
        anywhere,
        _offset,
    ),
    Kind(
        "probe-sees-elements",
        "Probe in sight of the elements",
        "instrument.thermometer",
        "how far",
        with_kit,
        _seen,
    ),
    Kind("lead-open", "Meter lead broken inside", "instrument.meter", ALL_OR_NOTHING, anywhere, _lead),
    Kind(
        "meter-reads-low",
        "Meter reads low",
        "instrument.meter",
        "up to 8 % too little",
        anywhere,
        _meter,
        0.5,
    ),
    Kind(
        "clamp-not-zeroed",
        "Clamp not zeroed",
        "instrument.clamp",
        "up to 1.5 A round nothing",
        anywhere,
        _clamp,
    ),
    Kind(
        "supply-probe-off",
        "Supply air probe off",
        "instrument.thermometer",
        "up to 3 K too warm",
        with_kit,
        _worn,
    ),
)
