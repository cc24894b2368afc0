"""Steps of the calculations of the supply, of circuits and of what hangs on them."""

from __future__ import annotations

from itertools import pairwise

from asleft.calc.circuits import CONTINUOUS, LARGEST_PART_A, ampacity_table, largest_device
from asleft.calc.heat import heater_current
from asleft.calc.steps.air_and_heat import amperes
from asleft.calc.steps.sheet import Sheet, number
from asleft.tables import (
    Resistance,
    ambient_factor,
    base_voltage,
    bundling_factor,
    conductor,
    device_sizes,
    iec_nominals,
    iec_supply_range,
    motor_derating,
    supply_range,
)


def supply_limits(sheet: Sheet) -> list[str]:
    nominal, place, letter = sheet.given("nominal"), sheet.word("measured_at"), sheet.word("range")
    if sheet.value("nominal") in iec_nominals():
        low, high = map(number, iec_supply_range(place))
        looked_up = f"a 230/400 V supply at the {place}: {low} to {high} of nominal"
        under = ""
    else:
        base = base_voltage()
        low, high = (f"{number(part * base)} V" for part in supply_range(place, letter))
        looked_up = f"range {letter} at the {place}, on a {base:g} V base: {low} to {high}"
        under = f" / {base:g} V"
    return [
        looked_up,
        f"lowest = {low} × {nominal}{under} = {sheet.came('lowest')}",
        f"highest = {high} × {nominal}{under} = {sheet.came('highest')}",
    ]


def voltage_unbalance(sheet: Sheet) -> list[str]:
    volts = sheet.items("voltages")
    values = [float(text.split()[0]) for text in volts]
    mean = sum(values) / 3
    unbalance = sheet.result("unbalance") or 0.0
    furthest = max(values, key=lambda value: abs(value - mean))
    middle = f"{number(mean)} V"
    lines = [
        f"mean = ({' + '.join(volts)}) / 3 = {middle}",
        f"furthest from it = |{number(furthest)} V - {middle}| = {number(abs(furthest - mean))} V",
        f"unbalance = {number(abs(furthest - mean))} V / {middle} = {number(unbalance)}",
    ]
    for (low, above), (high, below) in pairwise(motor_derating()):
        if sheet.result("derating") is not None and low <= unbalance <= high * (1 + 1e-12):
            part = f"({number(unbalance)} - {low:g}) / ({high:g} - {low:g})"
            line = f"{above:g} + ({below:g} - {above:g}) × {part} = {sheet.came('derating')}"
            lines.append(f"curve: {above:g} at {low:g} and {below:g} at {high:g}, straight between them")
            return [*lines, f"derating = {line}"]
    return [*lines, f"derating: none is published above {motor_derating()[-1][0]:g}"]


def _device(ampacity_a: float, device_a: float) -> str:
    smaller = [size for size in device_sizes() if size < device_a]
    below = f", the one below being {smaller[-1]:g} A" if smaller else ""
    return f"next standard size at or above {number(ampacity_a)} A: {device_a:g} A{below}"


def overcurrent_device(sheet: Sheet) -> list[str]:
    return [_device(sheet.value("ampacity"), sheet.result("size") or 0.0)]


def _as_installed(sheet: Sheet, size: str) -> tuple[list[str], float]:
    """Write the ampacity of one size under the conditions of the sheet, and give it."""
    entry = ampacity_table(sheet.word("material"))[size]
    insulation, terminals = round(sheet.value("insulation")), round(sheet.value("termination"))
    ambient = ambient_factor(sheet.value("ambient"), insulation)
    bundled = bundling_factor(int(sheet.value("conductors")))
    column, cap = entry.ampacity_a[insulation], entry.ampacity_a[terminals]
    derated = column * ambient * bundled
    ampacity = min(derated, cap)
    return [
        f"{size} {entry.material}, column of {insulation} °C insulation: {column:g} A",
        f"factor for an ambient of {sheet.given('ambient')}: {ambient:g}",
        f"factor for {sheet.given('conductors')} conductors: {bundled:g}",
        f"derated = {column:g} A × {ambient:g} × {bundled:g} = {number(derated)} A",
        f"column of {terminals} °C terminals: {cap:g} A",
        f"ampacity = min({number(derated)} A, {cap:g} A) = {number(ampacity)} A",
    ], ampacity


def conductor_ampacity(sheet: Sheet) -> list[str]:
    return _as_installed(sheet, sheet.word("size"))[0]


def branch_circuit(sheet: Sheet) -> list[str]:
    heater_a = heater_current(sheet.value("heater_power"), sheet.value("voltage"), sheet.value("phases"))
    heater = f"{number(heater_a)} A"
    load, least = sheet.came("load_current"), sheet.came("minimum_ampacity")
    device_a = sheet.result("overcurrent_device") or 0.0
    lines = [
        f"heater_current = {amperes(sheet, 'heater_power')} = {heater}",
        f"load_current = {heater} + {sheet.given('blower_current')} = {load}",
        f"minimum_ampacity = {CONTINUOUS:g} × {load} = {least}",
        f"overcurrent_device, {_device(sheet.result('minimum_ampacity') or 0.0, device_a)}",
    ]
    sizes = list(ampacity_table(sheet.word("material")))
    chosen = sizes.index(sheet.came("conductor"))
    steps, ampacity_a = _as_installed(sheet, sizes[chosen])
    lines += steps
    lines.append(f"{sizes[chosen]} {_suits(sheet, sizes[chosen], ampacity_a)}: it is the conductor")
    if chosen:
        smaller_a = _as_installed(sheet, sizes[chosen - 1])[1]
        lines.append(f"{sizes[chosen - 1]} {_suits(sheet, sizes[chosen - 1], smaller_a)}: too small")
    shares = f"{heater} / {LARGEST_PART_A:g} A = {number(heater_a / LARGEST_PART_A)}"
    return [*lines, f"parts of at most {LARGEST_PART_A:g} A = {shares}, rounded up: {sheet.came('parts')}"]


def _suits(sheet: Sheet, size: str, ampacity_a: float) -> str:
    largest = largest_device(size, ampacity_a, sheet.word("material"))
    return f"carries {number(ampacity_a)} A and may have a device of {largest:g} A at most"


def voltage_drop(sheet: Sheet) -> list[str]:
    size, material = sheet.word("size"), sheet.word("material")
    row = conductor(size, material).resistance
    ways = "sqrt(3)" if sheet.value("phases") == 3 else "2"
    drop = sheet.came("drop")
    looked_up, resistance = _resistance(row, sheet.ip)
    return [
        f"{size} {material}: {looked_up[0]}",
        *looked_up[1:],
        f"drop = {ways} × {sheet.given('length')} × {sheet.given('current')} × {resistance} = {drop}",
        f"fraction = {drop} / {sheet.given('voltage')} = {sheet.came('fraction')}",
    ]


def _resistance(row: Resistance, ip: bool) -> tuple[list[str], str]:
    """Write the resistance as tabled, then at 75 degC for a foot or a metre."""
    said = f"{row.ohm:g} ohm per {row.length} at {row.at_c:g} °C"
    warm = row.ohm_per_m * (0.3048 if ip else 1.0)
    unit = "ohm/ft" if ip else "ohm/m"
    shorter = row.length_m / (0.3048 if ip else 1.0)
    cold = f" / (1 - {row.coefficient:g} × ({row.to_c:g} - {row.at_c:g}))" if row.to_c != row.at_c else ""
    return [said, f"R = {row.ohm:g} ohm / {number(shorter)}{cold} = {number(warm)} {unit}"], (
        f"{number(warm)} {unit}"
    )


def control_load(sheet: Sheet) -> list[str]:
    volts = sheet.given("voltage")
    kinds = sheet.kinds("loads")
    loads = [
        f"{text} × {volts}" if kind == "current" else text
        for text, kind in zip(sheet.items("loads"), kinds, strict=True)
    ]
    load = sheet.came("load")
    return [
        f"load = {' + '.join(loads)} = {load}",
        f"fraction = {load} / {sheet.given('rating')} = {sheet.came('fraction')}",
    ]
