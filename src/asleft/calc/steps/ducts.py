"""Steps of the calculations of ducts and fans."""

from __future__ import annotations

from asleft.calc.steps.sheet import Sheet
from asleft.quantity import from_unit


def total_external_static(sheet: Sheet) -> list[str]:
    return [f"total = {sheet.given('supply')} + |{sheet.given('return')}| = {sheet.came('total')}"]


def friction_rate(sheet: Sheet) -> list[str]:
    left = sheet.came("available_static")
    factor = sheet.times("friction_rate", ("static_pressure",), ("length",))
    return [
        f"available_static = {sheet.given('external_static')} - ({sheet.given('losses')}) = {left}",
        f"friction_rate = {factor}{left} / {sheet.given('total_effective_length')}"
        f" = {sheet.came('friction_rate')}",
    ]


def system_curve(sheet: Sheet) -> list[str]:
    ratio = f"({sheet.given('new_airflow')} / {sheet.given('airflow')})^{sheet.given('exponent')}"
    return [f"static = {sheet.given('static')} × {ratio} = {sheet.came('static')}"]


def fan_law(sheet: Sheet) -> list[str]:
    speed, density = sheet.given("speed_ratio"), sheet.given("density_ratio")
    return [
        f"airflow = {sheet.given('airflow')} × {speed} = {sheet.came('airflow')}",
        f"static = {sheet.given('static')} × {speed}^2 × {density} = {sheet.came('static')}",
        f"power = {sheet.given('power')} × {speed}^3 × {density} = {sheet.came('power')}",
    ]


def operating_point(sheet: Sheet) -> list[str]:
    statics, flows = sheet.items("fan_static"), sheet.items("fan_airflow")
    static, flow = sheet.came("static"), sheet.came("airflow")
    met_pa = sheet.result("static") or 0.0
    size = from_unit(1.0, "static_pressure", sheet.unit("static_pressure"))
    row = 1
    while row < len(statics) - 1 and float(statics[row].split()[0]) * size < met_pa:
        row += 1
    low, high = statics[row - 1], statics[row]
    part = f"({static} - {low}) / ({high} - {low})"
    system = f"{sheet.given('static')} × ({flow} / {sheet.given('airflow')})^{sheet.given('exponent')}"
    return [
        f"fan: straight from {flows[row - 1]} at {low} to {flows[row]} at {high}",
        f"system: static is {sheet.given('static')} × (airflow / {sheet.given('airflow')})"
        f"^{sheet.given('exponent')}",
        f"both hold at one point only: {flow} at {static}; put in again:",
        f"airflow = {flows[row - 1]} + ({flows[row]} - {flows[row - 1]}) × {part} = {flow}",
        f"static = {system} = {static}",
    ]


def face_velocity(sheet: Sheet) -> list[str]:
    factor = sheet.times("velocity", ("airflow",), ("length", "length"))
    face = f"({sheet.given('width')} × {sheet.given('height')})"
    return [f"velocity = {factor}{sheet.given('airflow')} / {face} = {sheet.came('velocity')}"]


def fan_efficacy(sheet: Sheet) -> list[str]:
    factor = sheet.times("fan_efficacy", ("electric_power",), ("airflow",))
    return [
        f"efficacy = {factor}{sheet.given('power')} / {sheet.given('airflow')} = {sheet.came('efficacy')}"
    ]
