"""One unit as a readable page of plain text."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING

from asleft.charts.canvas import CROSSING
from asleft.charts.fan_tables import fans_on_paper
from asleft.charts.plotting import plot_lines
from asleft.line.text import plain
from asleft.quantity import show, unit_of

if TYPE_CHECKING:
    from asleft.equipment.model import Equipment, Heater, Option, Setting, Tier, Topic

_SAYS_NOTHING = "the maker does not say"
_PLOT = (76, 19)
"""Columns and lines of the plot of fan tables."""


def unit_page(equipment: Equipment, system: str = "ip") -> str:
    """Everything an equipment file says, in the order in which a technician meets it.

    Plate and supplies; the blower, its fan tables drawn and then in figures; kits with their circuits; limits
    and heat pump; settings by address; each topic with what its options set and mean; codes and procedures.
    """
    parts = [
        _plate(equipment, system),
        _supplies(equipment, system),
        _blower(equipment, system),
        _curves(equipment, system),
        *(_tier(tier, system) for tier in equipment.blower.tier),
        *(_kit(kit, system) for kit in equipment.heater),
        _limits(equipment, system),
        _heat_pump(equipment, system),
        *_settings(equipment),
        _error_texts(equipment),
        *(_topic(topic, system) for topic in equipment.topic),
        *_procedures(equipment),
    ]
    return "\n\n".join("\n".join(map(plain, lines)) for lines in map(list, parts) if lines)


def _shown(value: float | None, kind: str, system: str) -> str:
    return _SAYS_NOTHING if value is None else show(value, kind, system)


def _seconds(value: float) -> str:
    return f"{value:g} s" if value < 300 else f"{value / 60:g} min"


def _table(rows: Sequence[Sequence[str]], indent: str = "  ") -> Iterator[str]:
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    for row in rows:
        yield indent + "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip()


def _listed(words: Iterable[str]) -> str:
    return ", ".join(words) or _SAYS_NOTHING


def _plate(equipment: Equipment, system: str) -> Iterator[str]:
    unit = equipment.unit
    yield f"{unit.maker} {unit.model}"
    yield from _table(
        [
            ["Id", unit.id],
            ["Cooling capacity", _shown(unit.cooling_capacity, "heat_rate", system)],
            ["Orientations", _listed(unit.orientations)],
            ["Serial numbers", unit.serial_pattern or _SAYS_NOTHING],
        ]
    )


def _supplies(equipment: Equipment, system: str) -> Iterator[str]:
    yield "Supply"
    rows = [["id", "nominal", "phases", "frequency", "at the terminals"]]
    for supply in equipment.supply:
        between = f"{show(supply.lowest, 'voltage', system)} to {show(supply.highest, 'voltage', system)}"
        nominal = show(supply.nominal, "voltage", system)
        rows.append([supply.id, nominal, str(supply.phases), f"{supply.frequency} Hz", between])
    yield from _table(rows)
    control = equipment.control_circuit
    if control is not None:
        low, high = (show(v, "voltage", system) for v in (control.lowest, control.highest))
        yield f"  Control circuit: {show(control.nominal, 'voltage', system)}, {low} to {high}"
        transformer = _shown(control.transformer, "apparent_power", system)
        kind = {None: "", True: ", class 2", False: ", not class 2"}[control.class_2]
        yield f"  Transformer: {transformer}{kind}"
        for load in control.loads:
            yield f"    {load.label}: {show(load.power, 'apparent_power', system)}"


def _blower(equipment: Equipment, system: str) -> Iterator[str]:
    blower = equipment.blower
    accuracy = f"±{blower.table_accuracy:.1%} (U, k = 2)" if blower.table_accuracy else _SAYS_NOTHING
    airflow = [_shown(v, "airflow", system) for v in (blower.lowest_airflow, blower.highest_airflow)]
    run_on = _SAYS_NOTHING if blower.least_run_on is None else _seconds(blower.least_run_on)
    yield "Blower"
    yield from _table(
        [
            ["Motor", f"{blower.motor or _SAYS_NOTHING}, phases {blower.phases}, holds {blower.holds}"],
            ["Full-load current", _shown(blower.full_load_current, "current", system)],
            ["Airflow range", " to ".join(dict.fromkeys(airflow))],
            ["Highest external static", _shown(blower.highest_static, "static_pressure", system)],
            ["Fan tables", f"{blower.basis} air; include {', '.join(blower.includes) or 'nothing beyond'}"],
            ["Fan table accuracy", accuracy],
            ["Least run-on after heat", run_on],
            ["Filter face velocity", _shown(blower.filter_velocity, "velocity", system)],
        ]
    )


def _curves(equipment: Equipment, system: str) -> Iterator[str]:
    """Every tier at its cooling speed in one plot, and whose letter is whose."""
    plot = fans_on_paper(equipment, system)
    found = None if plot.empty else plot_lines(plot, system, *_PLOT, fine=False)
    if found is None:
        return
    yield "Fan tables, cooling"
    yield from (f"  {line}" for line in found[0])
    for curve in plot.curves:
        yield f"  {curve.mark}  {curve.name}"
    yield f"  Small letters: beyond the highest static. {CROSSING}: two tiers alike. A gap: a blank cell."


def _tier(tier: Tier, system: str) -> Iterator[str]:
    rated = _shown(tier.rated_static, "static_pressure", system)
    highest = _shown(tier.highest_static, "static_pressure", system)
    yield f"Tier {tier.id}: {tier.label}"
    yield from _table([["Rated external static", rated], ["Highest external static", highest]])
    static, air = unit_of("static_pressure", system), unit_of("airflow", system)
    for speed in tier.speed:
        rows = [[static, air, "W"]]
        for row in speed.rows:
            airflow = "" if row.airflow_m3s is None else show(row.airflow_m3s, "airflow", system, unit=False)
            power = "" if row.power_w is None else f"{row.power_w:.0f}"
            rows.append([show(row.static_pa, "static_pressure", system, unit=False), airflow, power])
        yield f"  {speed.use}"
        yield from _table(rows, "    ")


def _kit(kit: Heater, system: str) -> Iterator[str]:
    yield f"Heater kit {kit.id}: {kit.label}"
    rated = f"{show(kit.power, 'electric_power', system)} at {show(kit.voltage, 'voltage', system)}"
    rows = [
        ["Rated", f"{rated}, phases {kit.phases}"],
        ["Supplies", ", ".join(kit.supplies) or "all"],
        ["Orientations", ", ".join(kit.orientations) or "all"],
    ]
    if kit.least_airflow is not None or not kit.least_airflow_in:
        rows.append(["Least airflow", _shown(kit.least_airflow, "airflow", system)])
    for orientation, least in kit.least_airflow_in.items():
        rows.append([f"Least airflow, {orientation}", show(least, "airflow", system)])
    if kit.pressure_drop is not None:
        rows.append(["Pressure drop", show(kit.pressure_drop, "static_pressure", system)])
    if kit.element_devices is not None:
        rows.append(["Own element devices", show(kit.element_devices, "current", system)])
    if kit.insulation_test is not None:
        rows.append(["Insulation test", "allowed" if kit.insulation_test else "forbidden"])
    for stage in kit.stage:
        power = show(stage.power, "electric_power", system)
        many = "" if stage.elements == 1 else f", {stage.elements} elements"
        joined = "" if stage.connection == "single" else f", in {stage.connection}"
        rows.append([f"Stage {stage.id}", f"{power}{many}{joined}"])
    for number, circuit in enumerate(kit.circuit, 1):
        feeds = [f"stage {stage}" for stage in circuit.stages] + ["blower"] * circuit.feeds_blower
        minimum, maximum = (_shown(v, "current", system) for v in (circuit.minimum, circuit.maximum))
        marked = f"minimum {minimum}, maximum {maximum}, terminals {circuit.terminals} °C"
        torque = f", torque {circuit.torque}" if circuit.torque else ""
        rows.append([f"Circuit {number}", f"{', '.join(feeds)}: {marked}{torque}"])
    yield from _table(rows)


def _limits(equipment: Equipment, system: str) -> Iterator[str]:
    limits = equipment.limits
    rises = [_shown(v, "temperature_difference", system) for v in (limits.lowest_rise, limits.highest_rise)]
    yield "Limits"
    yield from _table(
        [
            ["Leaving air at most", _shown(limits.leaving_air, "temperature", system)],
            ["Rise", " to ".join(dict.fromkeys(rises))],
        ]
    )


def _heat_pump(equipment: Equipment, system: str) -> Iterator[str]:
    pump = equipment.heat_pump
    if pump is None:
        return
    yield "Heat pump"
    differential = _shown(pump.cut_out_differential, "temperature_difference", system)
    times = (pump.least_off_time, pump.defrost_duration)
    off, lasts = (_SAYS_NOTHING if time is None else _seconds(time) for time in times)
    yield from _table(
        [
            ["Cut-out", _shown(pump.cut_out, "temperature", system)],
            ["Cut-out differential", differential],
            ["Least off time", off],
            ["Defrost lasts", lasts],
            ["Heat drawn by a defrost", _shown(pump.defrost_heat, "heat_rate", system)],
        ]
    )
    points = [f"at {show((f - 32) / 1.8, 'temperature', system, digits=0)}" for f in (47, 35, 17)]
    rows = [["id", "outdoor unit", "nominal cooling", *points]]
    for pairing in pump.pairing:
        cooling = [_shown(v, "heat_rate", system) for v in (pairing.lowest_cooling, pairing.highest_cooling)]
        capacity = (pairing.capacity_47, pairing.capacity_35, pairing.capacity_17)
        shown = ["" if v is None else show(v, "heat_rate", system) for v in capacity]
        rows.append([pairing.id, pairing.label, " to ".join(dict.fromkeys(cooling)), *shown])
    if pump.pairing:
        yield from _table(rows)


def _settings(equipment: Equipment) -> Iterator[Iterator[str]]:
    for address in equipment.address:
        number = f", shown as {address.number}" if address.number else ""
        heading = f"Settings at {address.id}: {address.label} ({address.scope}{number})"
        held = [setting for setting in equipment.setting if address.id in setting.address]
        yield iter([heading, *_table([["id", "label", "entry", "factory", "values"], *map(_setting, held)])])


def _setting(setting: Setting) -> list[str]:
    notes = [f"written with power {setting.power}"] if setting.power == "off" else []
    notes += ["needs power off and on"] if setting.power_cycle else []
    notes += [f"after {', '.join(setting.after)}"] if setting.after else []
    notes += [f"resets {', '.join(setting.resets)}"] if setting.resets else []
    values = " | ".join(setting.values) + (f"  ({'; '.join(notes)})" if notes else "")
    return [setting.id, setting.label, setting.entry, setting.factory or "", values]


def _error_texts(equipment: Equipment) -> Iterator[str]:
    if not equipment.control.error:
        return
    yield "Error texts of the control"
    yield from _table(
        [["shown", "means", "do"], *([e.shown, e.means, e.do or ""] for e in equipment.control.error)]
    )


def _topic(topic: Topic, system: str) -> Iterator[str]:
    yield f"Topic {topic.id}: {topic.label} ({topic.role})"
    if topic.help:
        yield f"  {' '.join(topic.help.split())}"
    if topic.differential is not None:
        yield f"  Differential {show(topic.differential, 'temperature_difference', system)}"
    yield from _table(
        [
            ["option", "label", "where", "sets", "means"],
            *(
                [
                    o.id,
                    o.label,
                    _when(o),
                    ", ".join(f"{s} = {v}" for s, v in o.set.items()),
                    _means(o, topic, system),
                ]
                for o in topic.option
            ),
        ]
    )


def _means(option: Option, topic: Topic, system: str) -> str:
    """What an option's value is to the physics, in people's units."""
    from asleft.equipment.meaning import ROLE_KIND

    value, kind = option.value, ROLE_KIND.get(topic.role)
    if kind is not None:
        return _seconds(value) if kind == "time" else show(value, kind, system)
    if isinstance(value, tuple):
        return f"stages {', '.join(value)}" if value else "no stage"
    if isinstance(value, bool):
        return "yes" if value else "no"
    return "" if value is None else str(value)


def _when(option: Option) -> str:
    places = [*option.when.orientation, *(f"kit {kit}" for kit in option.when.kit)]
    places += [f"{id} at {' or '.join(values)}" for id, values in option.when.setting.items()]
    return ", ".join(places) or "always"


def _procedures(equipment: Equipment) -> Iterator[Iterator[str]]:
    for code in dict.fromkeys(code.setting for code in equipment.code):
        rows = [["value", "key to write", "key to ask", "shown back"]]
        coded = [c for c in equipment.code if c.setting == code]
        rows += [[c.value, ", ".join(c.write), c.query, c.shown] for c in coded]
        lines = [f"Codes of {code}", *_table(rows)]
        for confirm, at in dict.fromkeys((c.confirm, c.confirm_at) for c in coded if c.confirm is not None):
            lines.append(f"  Then key {confirm}" + (f" at {at}." if at else " to confirm."))
        yield iter(lines)
    for name, procedure in equipment.procedure.items():
        lines = [f"How to: {name}"]
        for act, steps in procedure:
            lines += [f"  {act.replace('_', ' ')}"] * bool(steps)
            lines += [f"    {number}. {step}" for number, step in enumerate(steps, 1)]
        yield iter(lines)
