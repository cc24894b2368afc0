"""Heater kits: their stages, circuits, supplies and orientations hang together."""

from __future__ import annotations

import math
from collections.abc import Iterator

from asleft.equipment.errors import Complaint, described, nearest
from asleft.equipment.nodes import Node
from asleft.equipment.repeats import ids_twice, twice

_SUM_WITHIN = 0.01
"""Stage powers add up to the kit's within this fraction: plates print rounded figures."""


def kit_complaints(root: Node) -> Iterator[Complaint]:
    """Complain of kits that contradict the unit or themselves."""
    supplies = root.ids("supply")
    orientations = root.child("unit").names("orientations")
    for kit in root.tables("heater"):
        yield from _known(kit, "supplies", supplies, "the id of a supply")
        yield from _known(kit, "orientations", orientations, "an orientation of the unit")
        for least in kit.child("least_airflow_in").items():
            name = str(least.path[-1])
            if name not in orientations:
                expected = f"an orientation of the unit: {nearest(name, orientations)}"
                yield Complaint(least.path, described(name), expected, at_key=True)
        yield from ids_twice(kit.tables("stage"))
        yield from _sum(kit)
        yield from _circuits(kit)


def _known(kit: Node, key: str, known: list[str], what: str) -> Iterator[Complaint]:
    for node, name in kit.texts(key):
        if name not in known:
            yield Complaint(node.path, described(name), f"{what}: {nearest(name, known)}")
    yield from twice(kit.texts(key), "a name")


def _sum(kit: Node) -> Iterator[Complaint]:
    whole = kit.quantity("power", "electric_power")
    stages = [stage.quantity("power", "electric_power") for stage in kit.tables("stage")]
    powers = [power for power in stages if power is not None]
    if whole is None or not powers or len(powers) != len(stages):
        return
    total = math.fsum(powers)
    if abs(total - whole) > _SUM_WITHIN * abs(whole):
        yield Complaint(
            kit.child("power").path,
            f"{described(kit.text('power'))} with stages of {total / 1000:.6g} kW together",
            "stages that add up to the kit within 1 %",
        )


def _circuits(kit: Node) -> Iterator[Complaint]:
    circuits = kit.tables("circuit")
    if not circuits:
        return
    stages = kit.ids("stage")
    landed: dict[str, int] = {}
    blowers = 0
    for number, circuit in enumerate(circuits, 1):
        for node, name in circuit.texts("stages"):
            if name not in stages:
                yield Complaint(
                    node.path, described(name), f"the id of a stage of this kit: {nearest(name, stages)}"
                )
            elif name in landed:
                yield Complaint(
                    node.path,
                    f"{described(name)}, which is on circuit {landed[name]} already",
                    "each stage on exactly one circuit",
                )
            landed.setdefault(name, number)
        lowest, highest = circuit.quantity("minimum", "current"), circuit.quantity("maximum", "current")
        if lowest is not None and highest is not None and lowest > highest:
            yield Complaint(
                circuit.child("maximum").path,
                described(circuit.text("maximum")),
                f"at least the marked minimum, {described(circuit.text('minimum'))}",
            )
        if circuit.child("feeds_blower").value is True:
            blowers += 1
            if blowers == 2:
                yield Complaint(
                    circuit.child("feeds_blower").path,
                    "true a second time",
                    "one circuit that feeds the blower",
                )
    for stage in kit.tables("stage"):
        stage_id = stage.text("id")
        if stage_id is not None and stage_id not in landed:
            yield Complaint(
                stage.child("id").path,
                f"{described(stage_id)}, which is on no circuit",
                "each stage on exactly one circuit",
            )
