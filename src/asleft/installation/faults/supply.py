"""Faults of the supply, as far as the unit's terminals."""

from __future__ import annotations

from typing import TYPE_CHECKING

from asleft.installation.circuits import LEGS, blower_feed, feeds
from asleft.installation.dead import OPEN_OHM
from asleft.installation.faults.kind import (
    ALL_OR_NOTHING,
    CannotBe,
    Change,
    Kind,
    Path,
    anywhere,
    each_circuit,
    kit_of,
)
from asleft.installation.lines import PAIRS
from asleft.installation.unit import BLOWER_FEED

if TYPE_CHECKING:
    from asleft.equipment.model import Equipment
    from asleft.installation.unit import Installation

LOW = 208.0 / 240.0
UNEVEN = 0.06
"""The unbalance of the worst supply, beyond what a motor may run on."""
JOINT_OHM = 0.1
NEAR_240_V = (225.0, 255.0)


def _low(_installation: Installation, _equipment: Equipment, size: float, _where: str) -> Change:
    return Change({("wiring", "sag"): size * (1.0 - LOW)}, (("source_v",),))


def _mismatched(installation: Installation, equipment: Equipment) -> tuple[str, ...]:
    kit = kit_of(installation, equipment)
    if installation.phases != 1 or installation.system != "split":
        raise CannotBe("this supply is not the split one that a 208 V supply is mistaken for")
    if not all(NEAR_240_V[0] < volts < NEAR_240_V[1] for volts in (installation.source_v, kit.voltage)):
        raise CannotBe("supply and kit are not of about 240 V")
    return ("",)


def _mismatch(installation: Installation, _equipment: Equipment, _size: float, _where: str) -> Change:
    put = {("source_v",): installation.source_v * LOW, ("system",): "wye"}
    return Change(put, (("kit",),))


def _three_phases(installation: Installation, _equipment: Equipment) -> tuple[str, ...]:
    if installation.phases != 3:
        raise CannotBe("the supply has one phase")
    return PAIRS


def _uneven(installation: Installation, _equipment: Equipment, size: float, where: str) -> Change:
    """One pair falls, the others rise by half as much, so that the mean stays."""
    off = size * UNEVEN
    spread = (
        healthy + (-off if pair == where else 0.5 * off)
        for pair, healthy in zip(PAIRS, installation.spread, strict=True)
    )
    return Change({("spread",): tuple(spread)})


def _no_high_leg(installation: Installation, _equipment: Equipment) -> tuple[str, ...]:
    if installation.system == "high-leg":
        raise CannotBe("the supply is said to have a high leg")
    if installation.system == "line-neutral" or not NEAR_240_V[0] < installation.source_v < NEAR_240_V[1]:
        raise CannotBe("a high leg comes with 240 V between lines")
    return ("",)


def _high(_installation: Installation, _equipment: Equipment, _size: float, _where: str) -> Change:
    return Change({("system",): "high-leg"})


def _two_live(installation: Installation, equipment: Equipment) -> tuple[str, ...]:
    if installation.system == "line-neutral":
        raise CannotBe("one pole of this supply is a neutral")
    return feeds(installation, equipment)


def _fed(feed: str) -> tuple[Path, ...]:
    """What must be as it was for this feed to be there."""
    return () if feed == BLOWER_FEED else (("kit",),)


def _one_phase(_installation: Installation, _equipment: Equipment, _size: float, where: str) -> Change:
    opens = tuple(("wiring", "open", (where, leg)) for leg in LEGS)
    return Change({("wiring", "landed", (where, "l2")): "l1"}, (*opens, *_fed(where)))


def _legs(installation: Installation, equipment: Equipment) -> tuple[str, ...]:
    kit, home = equipment.kit(installation.kit), blower_feed(installation, equipment)
    found = []
    for feed in feeds(installation, equipment):
        three = (kit is not None and kit.phases == 3 and feed != BLOWER_FEED) or (
            feed == home and equipment.blower.phases == 3
        )
        found += [f"{feed}.{leg}" for leg in ("l2", "l1", *(("l3",) if three else ()))]
    return tuple(found)


def _leg(where: str) -> tuple[str, str]:
    feed, _, leg = where.partition(".")
    return feed, leg


def _open(_installation: Installation, _equipment: Equipment, _size: float, where: str) -> Change:
    feed, leg = _leg(where)
    return Change({("wiring", "open", (feed, leg)): True}, _fed(feed))


def _loaded_legs(installation: Installation, equipment: Equipment) -> tuple[str, ...]:
    circuits = each_circuit(installation, equipment)
    return tuple(leg for leg in _legs(installation, equipment) if _leg(leg)[0] in circuits)


def _loose(_installation: Installation, _equipment: Equipment, size: float, where: str) -> Change:
    feed, leg = _leg(where)
    needs = (("wiring", "open", (feed, leg)), ("wiring", "landed", (feed, "l2")))
    return Change({("wiring", "joint_ohm", (feed, leg)): size * JOINT_OHM}, (*needs, ("kit",)))


def _ungrounded(installation: Installation, _equipment: Equipment, size: float, _where: str) -> Change:
    healthy = max(installation.ground_ohm, 1e-3)
    return Change({("ground_ohm",): healthy * (OPEN_OHM / healthy) ** size})


def _mislabelled(_installation: Installation, _equipment: Equipment, _size: float, where: str) -> Change:
    return Change({("wiring", "foreign", where): True}, (("kit",),))


KINDS = (
    Kind("supply-low", "Low supply", "supply", "up to 208 V in place of 240 V", anywhere, _low),
    Kind("kit-voltage-mismatch", "240 V kit on 208 V", "supply", ALL_OR_NOTHING, _mismatched, _mismatch),
    Kind("phase-unbalance", "Uneven phases", "supply", "up to 6 % unbalance", _three_phases, _uneven),
    Kind("high-leg", "High leg", "supply", ALL_OR_NOTHING, _no_high_leg, _high),
    Kind(
        "both-poles-one-phase", "Both poles on one phase", "circuit.{}", ALL_OR_NOTHING, _two_live, _one_phase
    ),
    Kind("one-leg-open", "One leg open", "circuit.{}", ALL_OR_NOTHING, _legs, _open),
    Kind("loose-lug", "Loose lug", "circuit.{}", "up to 0.1 ohm", _loaded_legs, _loose),
    Kind(
        "ground-open",
        "Grounding path open",
        "supply",
        "from a poor joint to nothing",
        anywhere,
        _ungrounded,
    ),
    Kind(
        "circuits-mislabelled",
        "Circuit mislabelled at the panel",
        "circuit.{}",
        ALL_OR_NOTHING,
        each_circuit,
        _mislabelled,
    ),
)
