"""Oddities of the data plate: kits that cannot be fitted, marks that no device meets, figures without use."""

from __future__ import annotations

from collections.abc import Iterator
from math import fsum

from asleft.calc import heater_current
from asleft.equipment.errors import Complaint, described
from asleft.equipment.model import Circuit, Equipment, Heater, Limits, Supply
from asleft.equipment.nodes import Node
from asleft.quantity import from_unit
from asleft.tables.house import heat_pump_points
from asleft.tables.wiring import device_sizes, iec_device_sizes

KIT_VOLTAGE = (0.8, 1.1)
"""A supply's nominal voltage as a share of the kit's: 208 V for one of 240 V is usual, the reverse is not."""

NEC_PART, MARK_ROUNDED = 1.25, 0.98
"""Of the load, NEC 424.4(B); and how far below it a mark may be rounded."""


def odd_plate(equipment: Equipment, root: Node) -> Iterator[Complaint]:
    """Warn of kits, circuits, limits, control power and heat pump."""
    for number, kit in enumerate(equipment.heater):
        node = root.tables("heater")[number]
        yield from _supplies(equipment, kit, node)
        yield from _circuits(equipment, kit, node)
        for way in kit.least_airflow_in:
            if kit.orientations and way not in kit.orientations:
                yield Complaint(
                    node.at(("least_airflow_in", way)).path,
                    f"{described(way)}, in which the kit is not allowed",
                    "an orientation of the kit, or the kit allowed in this one",
                    at_key=True,
                )
    yield from _control_power(equipment, root)
    yield from _heat_pump(equipment, root)
    if not equipment.heater:
        for key in Limits.model_fields:
            node = root.child("limits").child(key)
            if node.value is not None:
                yield Complaint(
                    node.path,
                    f"{described(node.value)}, a limit for heat, in a file without a heater kit",
                    "the kits that the unit accepts, as [[heater]], or no such limit",
                )


def _supplies(equipment: Equipment, kit: Heater, node: Node) -> Iterator[Complaint]:
    """The supplies that the kit lists, or all where it lists none, must be able to feed it."""
    listed = [supply for supply in equipment.supply if supply.id in kit.supplies]
    if not listed:
        if not any(_phases(kit, supply) for supply in equipment.supply):
            yield Complaint(
                node.child("phases").path,
                f"{kit.phases}, while every supply of the unit has one phase",
                "a supply of three phases, or a kit of one",
            )
            return
        node = node.child("voltage")
        places = [(node.path, supply) for supply in equipment.supply if _phases(kit, supply)]
        remedy = "supplies that name those the kit is rated for"
    else:
        places = []
        for supply in listed:
            path = node.at(("supplies", kit.supplies.index(supply.id))).path
            if _phases(kit, supply):
                places.append((path, supply))
            else:
                found = f"{described(supply.id)}, a supply of one phase for a kit of three"
                yield Complaint(path, found, "a supply of three phases, or a kit of one")
        remedy = "a supply that the kit is rated for"
    for path, supply in places:
        share = supply.nominal / kit.voltage
        if supply.phases == kit.phases and not KIT_VOLTAGE[0] <= share <= KIT_VOLTAGE[1]:
            yield Complaint(
                path,
                f"a supply of {_volts(supply.nominal)} for a kit of {_volts(kit.voltage)}",
                f"{remedy}, from {KIT_VOLTAGE[0]:.0%} to {KIT_VOLTAGE[1]:.0%} of its voltage",
            )


def _phases(kit: Heater, supply: Supply) -> bool:
    return supply.phases >= kit.phases


def _volts(volts: float) -> str:
    return f"{volts:g} V"


def _circuits(equipment: Equipment, kit: Heater, node: Node) -> Iterator[Complaint]:
    frequencies = {supply.frequency for supply in equipment.supply}
    sizes = (device_sizes() if 60 in frequencies else ()) + (iec_device_sizes() if 50 in frequencies else ())
    for number, circuit in enumerate(kit.circuit):
        there = node.tables("circuit")[number]
        if not circuit.stages and not circuit.feeds_blower:
            yield Complaint(
                there.path, "a circuit that feeds neither a stage nor the blower", "what the circuit feeds"
            )
        yield from _too_low(equipment, kit, circuit, there)
        low, high = circuit.minimum, circuit.maximum
        if low is None or high is None or any(low <= size <= high for size in sizes):
            continue
        next_a = min((size for size in sizes if size >= low), default=None)
        yield Complaint(
            there.child("maximum").path,
            f"{described(there.text('maximum'))}, with no standard device between it and the marked minimum, "
            f"{described(there.text('minimum'))}",
            "the two figures marked on the kit"
            + ("" if next_a is None else f"; the next standard size is {next_a:g} A"),
        )


def _too_low(equipment: Equipment, kit: Heater, circuit: Circuit, there: Node) -> Iterator[Complaint]:
    """A minimum marked where the NEC governs holds 125 % of what the circuit carries at the kit's voltage."""
    if circuit.minimum is None or 60 not in {supply.frequency for supply in equipment.supply}:
        return
    watts = fsum(stage.power for stage in kit.stage if stage.id in circuit.stages)
    blower_a = (equipment.blower.full_load_current or 0.0) if circuit.feeds_blower else 0.0
    least_a = NEC_PART * (heater_current(watts, kit.voltage, kit.phases) + blower_a)
    if circuit.minimum < MARK_ROUNDED * least_a:
        yield Complaint(
            there.child("minimum").path,
            f"{described(there.text('minimum'))}, below 125 % of what the circuit carries",
            f"the figure marked on the kit; {least_a:.1f} A by stages and blower at {_volts(kit.voltage)}",
        )


def _control_power(equipment: Equipment, root: Node) -> Iterator[Complaint]:
    circuit = equipment.control_circuit
    if circuit is None or circuit.transformer is None:
        return
    drawn = fsum(load.power for load in circuit.loads)
    if drawn > circuit.transformer:
        node = root.at(("control_circuit", "transformer"))
        yield Complaint(
            node.path,
            f"{described(node.value)} with loads of {drawn:g} VA together",
            "loads that the transformer carries",
        )


def _heat_pump(equipment: Equipment, root: Node) -> Iterator[Complaint]:
    pump = equipment.heat_pump
    if pump is None:
        return
    if not pump.pairing:
        yield Complaint(
            ("heat_pump",),
            "a heat pump without an outdoor unit, so that no check knows its capacity",
            "the outdoor units that go with the unit, as [[heat_pump.pairing]]",
        )
        return
    low_f = heat_pump_points().low_f
    if pump.cut_out is not None and pump.cut_out > from_unit(low_f, "temperature", "°F"):
        node = root.at(("heat_pump", "cut_out"))
        yield Complaint(
            node.path,
            f"{described(node.value)}, while capacity_17 says what it gives at {low_f:g} °F, below that",
            f"at most {low_f:g} degF, since it runs there",
        )
