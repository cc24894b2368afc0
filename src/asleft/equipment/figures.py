"""Figures that must agree with one another: lowest and highest, nominal inside, fan tables in order."""

from __future__ import annotations

from collections.abc import Iterator

from asleft.equipment.errors import Complaint, described
from asleft.equipment.nodes import Node
from asleft.equipment.repeats import ids_twice


def figure_complaints(root: Node) -> Iterator[Complaint]:
    """Complain of figures that contradict one another."""
    for supply in (*root.tables("supply"), root.child("control_circuit")):
        yield from _crossed(supply, "lowest", "highest", "voltage")
        yield from _nominal(supply)
    blower, limits = root.child("blower"), root.child("limits")
    yield from _crossed(blower, "lowest_airflow", "highest_airflow", "airflow")
    yield from _crossed(limits, "lowest_rise", "highest_rise", "temperature_difference")
    for pairing in root.child("heat_pump").tables("pairing"):
        yield from _crossed(pairing, "lowest_cooling", "highest_cooling", "heat_rate")
    for tier in blower.tables("tier"):
        yield from _crossed(tier, "rated_static", "highest_static", "static_pressure")
        yield from ids_twice(tier.tables("speed"), "use")
        for speed in tier.tables("speed"):
            yield from _increasing(speed)


def _crossed(node: Node, low: str, high: str, kind: str) -> Iterator[Complaint]:
    lowest, highest = node.quantity(low, kind), node.quantity(high, kind)
    if lowest is not None and highest is not None and lowest > highest:
        yield Complaint(
            node.child(high).path,
            described(node.text(high)),
            f"at least what {low} says, {described(node.text(low))}",
        )


def _nominal(supply: Node) -> Iterator[Complaint]:
    nominal, low, high = (supply.quantity(key, "voltage") for key in ("nominal", "lowest", "highest"))
    if nominal is None or low is None or high is None or low > high:
        return
    if not low <= nominal <= high:
        yield Complaint(
            supply.child("nominal").path,
            described(supply.text("nominal")),
            f"a nominal from lowest to highest, {described(supply.text('lowest'))} "
            f"to {described(supply.text('highest'))}",
        )


def _increasing(speed: Node) -> Iterator[Complaint]:
    rows = speed.child("rows")
    if not isinstance(rows.value, list):
        return
    before = None
    for index, row in enumerate(rows.value):
        static = row[0] if isinstance(row, list) and row else None
        if isinstance(static, bool) or not isinstance(static, int | float):
            continue
        if before is not None and not static > before:
            yield Complaint(
                (*rows.path, index, 0),
                f"{described(static)} after {described(before)}",
                "static strictly increasing from row to row",
            )
        before = static
