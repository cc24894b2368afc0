"""Fan tables off which no airflow can be read where the unit is to work."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from asleft.calc.air import CFM_PER_TON
from asleft.equipment.blower import Tier
from asleft.equipment.errors import Complaint, Path, described
from asleft.equipment.model import Equipment
from asleft.equipment.nodes import Node
from asleft.quantity import from_unit, to_unit

NARROWEST = 1.1
"""The statics of a table from first to last: with less between them no reading surely falls on the table."""

_TON_W = from_unit(12000.0, "heat_rate", "Btu/h")
_CFM = from_unit(1.0, "airflow", "cfm")


class _Table(NamedTuple):
    """A speed's ends, blank cells of airflow left out, and where its rows stand."""

    path: Path
    units: list[str]
    static_pa: tuple[float, float]
    airflow_m3s: tuple[float, float]

    def statics(self) -> str:
        return _span(self.static_pa, "static_pressure", self.units[0])

    def airflows(self) -> str:
        return _span(self.airflow_m3s, "airflow", self.units[1])


def odd_tables(equipment: Equipment, root: Node) -> Iterator[Complaint]:
    """Warn of tables too short or too narrow, and of airflow that is allowed or needed but in no table."""
    cooling, heating = [], []
    for number, tier in enumerate(equipment.blower.tier):
        node = root.child("blower").tables("tier")[number]
        tables = {}
        for place, speed in enumerate(tier.speed):
            table = _table(tier, place, node.tables("speed")[place])
            if isinstance(table, Complaint):
                yield table
            else:
                tables[speed.use] = table
                yield from _narrow(table)
        cool = tables.get(tier.at("cooling").use)
        heat = tables.get(tier.at("heating").use)
        if cool is None or heat is None:
            continue
        cooling.append(cool)
        heating.append(heat)
        yield from _allowed(equipment, root, cool)
        yield from _beyond(equipment, root, number, cool)
        yield from _apart(cool, heat)
    if cooling:
        yield from _per_ton(equipment, root, cooling)
        yield from _kits(equipment, root, heating)


def _table(tier: Tier, place: int, node: Node) -> _Table | Complaint:
    rows = [(r.static_pa, r.airflow_m3s) for r in tier.speed[place].rows if r.airflow_m3s is not None]
    path = node.child("rows").path
    if len(rows) < 2:
        return Complaint(
            path, f"airflow in {len(rows) or 'none'} of the rows", "at least two rows with an airflow"
        )
    airflow = [flow for _, flow in rows]
    return _Table(path, node.names("units"), (rows[0][0], rows[-1][0]), (min(airflow), max(airflow)))


def _narrow(table: _Table) -> Iterator[Complaint]:
    low, high = table.static_pa
    if high < low * NARROWEST:
        yield Complaint(
            table.path,
            f"statics of {table.statics()} alone, between which no reading surely falls",
            f"rows whose last static is at least {NARROWEST:g} times the first",
        )


def _allowed(equipment: Equipment, root: Node, table: _Table) -> Iterator[Complaint]:
    blower, node = equipment.blower, root.child("blower")
    low, high = table.airflow_m3s
    if blower.lowest_airflow is not None and high < blower.lowest_airflow:
        yield Complaint(
            table.path,
            f"airflow of {table.airflows()}, all below the lowest allowed",
            f"airflow of at least {described(node.text('lowest_airflow'))}, as lowest_airflow says",
        )
    if blower.highest_airflow is not None and low > blower.highest_airflow:
        yield Complaint(
            table.path,
            f"airflow of {table.airflows()}, all above the highest allowed",
            f"airflow of at most {described(node.text('highest_airflow'))}, as highest_airflow says",
        )


def _beyond(equipment: Equipment, root: Node, number: int, table: _Table) -> Iterator[Complaint]:
    """The tier may not work at any static that its table holds."""
    blower, tier = equipment.blower, equipment.blower.tier[number]
    node = root.child("blower")
    if tier.highest_static is not None:
        node, highest = node.tables("tier")[number], tier.highest_static
    elif blower.highest_static is not None and number == 0:
        highest = blower.highest_static
    else:
        return
    if highest < table.static_pa[0]:
        yield Complaint(
            node.child("highest_static").path,
            f"{described(node.text('highest_static'))}, below every static of the fan table",
            f"a static that the table holds, {table.statics()}",
        )


def _apart(cool: _Table, heat: _Table) -> Iterator[Complaint]:
    low, high = max(cool.static_pa[0], heat.static_pa[0]), min(cool.static_pa[1], heat.static_pa[1])
    if high < low:
        yield Complaint(
            heat.path,
            f"statics of {heat.statics()}, none of which the table for cooling holds",
            f"statics that meet those for cooling, {cool.statics()}",
        )


def _per_ton(equipment: Equipment, root: Node, cooling: list[_Table]) -> Iterator[Complaint]:
    """No table holds the airflow that the capacity asks for, by common practice."""
    capacities = list(_capacities(equipment))
    if not capacities:
        return
    tons = [watts / _TON_W for watts, _ in capacities]
    asked = min(tons) * CFM_PER_TON[0] * _CFM, max(tons) * CFM_PER_TON[1] * _CFM
    if any(t.airflow_m3s[0] <= asked[1] and t.airflow_m3s[1] >= asked[0] for t in cooling):
        return
    held = min(t.airflow_m3s[0] for t in cooling), max(t.airflow_m3s[1] for t in cooling)
    node, unit = root.at(capacities[0][1]), cooling[0].units[1]
    yield Complaint(
        node.path,
        f"{described(node.value)}, which asks for {_span(asked, 'airflow', unit)}, while the fan tables hold "
        f"{_span(held, 'airflow', unit)}",
        f"fan tables that hold {CFM_PER_TON[0]:.0f} to {CFM_PER_TON[1]:.0f} cfm per ton of cooling",
    )


def _capacities(equipment: Equipment) -> Iterator[tuple[float, Path]]:
    """Every cooling capacity that the file says, W: the unit's, then those of its outdoor units."""
    if equipment.unit.cooling_capacity is not None:
        yield equipment.unit.cooling_capacity, ("unit", "cooling_capacity")
    for number, pairing in enumerate(equipment.heat_pump.pairing if equipment.heat_pump else ()):
        for key, watts in (
            ("lowest_cooling", pairing.lowest_cooling),
            ("highest_cooling", pairing.highest_cooling),
        ):
            if watts is not None:
                yield watts, ("heat_pump", "pairing", number, key)


def _kits(equipment: Equipment, root: Node, heating: list[_Table]) -> Iterator[Complaint]:
    """No tier moves the least airflow that a kit needs."""
    most = max(heating, key=lambda table: table.airflow_m3s[1])
    for number, kit in enumerate(equipment.heater):
        places: dict[Path, float] = {}
        if kit.least_airflow is not None:
            places["heater", number, "least_airflow"] = kit.least_airflow
        for way, least in kit.least_airflow_in.items():
            places["heater", number, "least_airflow_in", way] = least
        for path, least in places.items():
            if least > most.airflow_m3s[1]:
                shown = f"{to_unit(most.airflow_m3s[1], 'airflow', most.units[1]):.4g} {most.units[1]}"
                yield Complaint(
                    path,
                    f"{described(root.at(path).value)}, more than any fan table holds for heating",
                    f"at most {shown}, or the table of a tier that moves as much",
                )


def _span(ends: tuple[float, float], kind: str, unit: str) -> str:
    low, high = (f"{to_unit(end, kind, unit):.4g}" for end in ends)
    return f"{low} to {high} {unit}"
