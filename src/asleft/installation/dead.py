"""What is seen and measured with the unit's devices open and locked."""

from __future__ import annotations

from typing import TYPE_CHECKING

from asleft.installation.circuits import LEGS
from asleft.installation.lines import PAIRS
from asleft.installation.unit import BLOWER_FEED

if TYPE_CHECKING:
    from asleft.equipment.model import Stage
    from asleft.installation.moment import Moment

OPEN_OHM = 1e7
"""What a meter shows across nothing, more than any path through a heater."""
INSULATED_OHM = 1e8
"""A sound element to the frame: a hundred times what is asked for (common practice)."""


def proved_dead(now: Moment) -> dict[str, float | bool | str]:
    """Every device of the unit open, a tester at each circuit's terminals in turn."""
    circuits = now.circuits
    found: dict[str, float | bool | str] = {
        "electrical.dead.function": "low-impedance ac volts",
        "electrical.dead.tester_before": True,
        "electrical.dead.waited": True,
        "electrical.dead.bus": 0.0,
        "electrical.dead.tester_after": True,
    }
    live = {name: bool(now.truth.wiring.foreign.get(name)) for name in circuits.resting.feeds}
    for name, feed in circuits.resting.feeds.items():
        at = "electrical.dead." + ("line." if name == BLOWER_FEED else f"circuit.{name}.")
        for pair, volts in zip(PAIRS, feed.pairs_v, strict=False):
            found[at + pair] = volts if live[name] else 0.0
        for leg, volts in zip(LEGS, feed.ground_v, strict=False):
            found[f"{at}{leg}_ground"] = volts if live[name] else 0.0
        others = [live[other] for other in live if other != name]
        to_ground = max(feed.ground_v, default=0.0)
        found[f"{at}to_others"] = to_ground if live[name] or any(others) else 0.0
    return found


def isolated(now: Moment) -> dict[str, float | bool | str]:
    """Power off, covers off."""
    found: dict[str, float | bool | str] = {"electrical.ground.resistance": now.truth.ground_ohm}
    for n, branch in enumerate(now.truth.branches, 1):
        found |= {
            f"electrical.circuit.{n}.device": branch.device_a,
            f"electrical.circuit.{n}.conductor": branch.conductor,
            f"electrical.circuit.{n}.material": branch.material,
            f"electrical.circuit.{n}.insulation": str(branch.insulation_c),
            f"electrical.circuit.{n}.ambient": branch.ambient_c,
            f"electrical.circuit.{n}.conductors": float(branch.conductors),
        }
        if branch.capacity_a is not None:
            found[f"electrical.circuit.{n}.capacity"] = branch.capacity_a
    if now.kit is not None:
        found["electrical.circuits"] = float(len(now.kit.circuit))
        found["electrical.insulation.electronics_off"] = True
    found["electrical.control.added"] = now.truth.control.added_va
    for n, _ in enumerate(now.kit.circuit if now.kit else (), 1):
        loose = any(ohm > 0.0 for (at, _leg), ohm in now.truth.wiring.joint_ohm.items() if at == str(n))
        found[f"electrical.circuit.{n}.tightened"] = not loose
        feed = now.circuits.resting.feeds[str(n)]
        live = bool(now.truth.wiring.foreign.get(str(n)))
        for pair, volts in zip(PAIRS, feed.pairs_v, strict=False):
            found[f"electrical.circuit.{n}.locked.{pair}"] = volts if live else 0.0
        for leg, volts in zip(LEGS, feed.ground_v, strict=False):
            found[f"electrical.circuit.{n}.locked.{leg}_ground"] = volts if live else 0.0
    for n, stage in enumerate(now.kit.stage if now.kit else (), 1):
        found |= _stage_ohms(now, n, stage)
    return found


def _stage_ohms(now: Moment, number: int, stage: Stage) -> dict[str, float | bool | str]:
    """Each element of a stage by itself, and the stage to the frame."""
    elements, siemens = now.truth.elements, now.circuits.element_siemens(number, stage)
    own_ohm = 1.0 / siemens if siemens > 0.0 else OPEN_OHM
    grounded_ohm = elements.grounded_ohm.get(number)
    frame_ohm = INSULATED_OHM if grounded_ohm is None else 0.5 * own_ohm + grounded_ohm
    return {
        **{
            f"electrical.stage.{number}.element.{e}.resistance": OPEN_OHM
            if elements.open.get((number, e))
            else own_ohm
            for e in range(1, now.circuits.element_count(stage) + 1)
        },
        f"electrical.stage.{number}.to_frame": frame_ohm,
    }
