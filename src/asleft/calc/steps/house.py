"""Steps of the calculations of the house."""

from __future__ import annotations

from asleft.calc.house import LOWEST_MEETING_C
from asleft.calc.steps.sheet import Sheet, number
from asleft.quantity import from_unit
from asleft.tables import constructions, heat_pump_points


class _Line:
    """The straight piece of the capacity that holds at a temperature, in the units of the sheet."""

    def __init__(self, sheet: Sheet, outdoor_c: float) -> None:
        points = heat_pump_points()
        warm_c, frost_c, cold_c = (from_unit(point, "temperature", "°F") for point in points)
        low, high = "capacity_17", "capacity_47"
        start_c, end_c = cold_c, warm_c
        if sheet.items("capacity_35") and cold_c < outdoor_c < warm_c:
            if outdoor_c <= frost_c:
                high, end_c = "capacity_35", frost_c
            else:
                low, start_c = "capacity_35", frost_c
        self.start = sheet.write(start_c, "temperature")
        self.begins = sheet.given(low)
        end = sheet.write(end_c, "temperature")
        rise = (sheet.value(high) - sheet.value(low)) / (end_c - start_c)
        self.slope = _per_degree(sheet, rise)
        name = f"capacity slope, {self.start} to {end}"
        self.step = f"{name} = ({sheet.given(high)} - {self.begins}) / ({end} - {self.start}) = {self.slope}"


def _per_degree(sheet: Sheet, watts_per_kelvin: float) -> str:
    """Write a slope in the heat unit and the degree of the sheet."""
    if sheet.ip:
        return sheet.write(watts_per_kelvin, "heat_loss_coefficient")
    return f"{number(watts_per_kelvin / 1000)} kW/K"


def balance_point(sheet: Sheet) -> list[str]:
    zero, design = sheet.given("zero_load_temperature"), sheet.given("design_temperature")
    load = sheet.given("design_load")
    span_k = sheet.value("zero_load_temperature") - sheet.value("design_temperature")
    per_degree = _per_degree(sheet, sheet.value("design_load") / span_k)
    lines = [f"load slope = {load} / ({zero} - {design}) = {per_degree}"]
    met_c = sheet.result("temperature")
    at_design = _Line(sheet, sheet.value("design_temperature"))
    if met_c is None:
        lowest = sheet.write(LOWEST_MEETING_C, "temperature")
        lines += [f"load and capacity do not meet between {lowest} and {zero}", at_design.step]
    else:
        here = _Line(sheet, met_c)
        met = sheet.came("temperature")
        lines.append(here.step)
        if float(per_degree.split()[0]) + float(here.slope.split()[0]) != 0.0:
            top = f"{per_degree} × {zero} - {here.begins} + {here.slope} × {here.start}"
            lines.append(f"temperature = ({top}) / ({per_degree} + {here.slope}) = {met}")
        lines.append(f"load = {per_degree} × ({zero} - {met}) = {sheet.came('load')}")
        if at_design.step != here.step:
            lines.append(at_design.step)
    capacity = sheet.came("design_capacity")
    line = f"{at_design.begins} + {at_design.slope} × ({design} - {at_design.start})"
    lines.append(f"design_capacity = max(0, {line}) = {capacity}")
    factor = sheet.times("electric_power", ("heat_rate",))
    lines.append(f"auxiliary_power = {factor}max(0, {load} - {capacity}) = {sheet.came('auxiliary_power')}")
    return lines


def _time_constant(sheet: Sheet) -> tuple[str, str]:
    factor = sheet.times("time", ("thermal_capacity",), ("heat_loss_coefficient",))
    capacity, loss = sheet.given("thermal_capacity"), sheet.given("heat_loss_coefficient")
    tau = sheet.write(sheet.value("thermal_capacity") / sheet.value("heat_loss_coefficient"), "time")
    return f"tau = {factor}{capacity} / {loss} = {tau}", tau


def delay_droop(sheet: Sheet) -> list[str]:
    loss = sheet.given("heat_loss_coefficient")
    factor = sheet.times("temperature_difference", ("heat_rate",), ("heat_loss_coefficient",))
    steady_k = sheet.value("deficit") / sheet.value("heat_loss_coefficient")
    steady = sheet.write(steady_k, "temperature_difference")
    step, tau = _time_constant(sheet)
    fading = f"exp(-{sheet.given('delay')} / {tau})"
    return [
        f"D/UA = {factor}{sheet.given('deficit')} / {loss} = {steady}",
        step,
        f"droop = {steady} × (1 - {fading}) + {sheet.given('start_droop')} × {fading}"
        f" = {sheet.came('droop')}",
    ]


def recovery_time(sheet: Sheet) -> list[str]:
    loss, rise = sheet.given("heat_loss_coefficient"), sheet.given("setback")
    factor = sheet.times("heat_rate", ("temperature_difference", "heat_loss_coefficient"))
    needed = sheet.write(sheet.value("setback") * sheet.value("heat_loss_coefficient"), "heat_rate")
    step, tau = _time_constant(sheet)
    surplus = sheet.given("surplus")
    lines = [f"dT UA = {factor}{rise} × {loss} = {needed}", step]
    if sheet.result("time") is None:
        return [*lines, f"the surplus of {surplus} is at most {needed}: never"]
    return [*lines, f"time = -{tau} × ln(1 - {needed} / {surplus}) = {sheet.came('time')}"]


def thermal_capacity(sheet: Sheet) -> list[str]:
    construction = sheet.word("construction")
    each = f"{constructions()[construction] / 1000:g}"
    area = f"{number(sheet.value('floor_area'))} m2"
    whole = f"{number((sheet.result('thermal_capacity') or 0.0) / 1000)} kJ/K"
    lines = [f"{construction} construction: {each} kJ/(K m2)"]
    if sheet.ip:
        lines.append(f"floor_area = {sheet.given('floor_area')} × 0.09290304 = {area}")
    lines.append(f"thermal_capacity = {area} × {each} = {whole}")
    if sheet.ip:
        lines.append(f"in Btu/°F = {whole} / 1.899101 = {sheet.came('thermal_capacity')}")
    return lines
