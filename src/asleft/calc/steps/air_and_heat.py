"""Steps of the calculations of air and of heat carried or given."""

from __future__ import annotations

from asleft.calc.air import SEA_LEVEL_PA, pressure_ratio, saturation_pressure, saturation_terms
from asleft.calc.heat import STANDARD_AIR_W_PER_M3S_K
from asleft.calc.steps.sheet import Sheet, number


def _power(sheet: Sheet) -> str:
    """Write (1 - 2.25577e-5 Z)^5.2559 with the altitude of the sheet put in, in metres."""
    metres = "0.3048 × " if sheet.ip else ""
    return f"(1 - 2.25577e-5 × {metres}{sheet.given('altitude')})^5.2559"


def _ratio(sheet: Sheet) -> tuple[list[str], str]:
    """Give the step that finds p/p0, and p/p0 as written."""
    if sheet.value("altitude") == 0:
        return ["p/p0 at sea level: 1"], "1"
    ratio = number(pressure_ratio(sheet.value("altitude")))
    return [f"p/p0 = {_power(sheet)} = {ratio}"], ratio


def standard_pressure(sheet: Sheet) -> list[str]:
    return [f"p = {SEA_LEVEL_PA / 1000:g} kPa × {_power(sheet)} = {sheet.came('pressure')}"]


def _exponent(terms: tuple[float, ...], kelvin: str) -> str:
    """Write ln pws with the temperature put in."""
    first, constant, linear, *powers, logarithm = terms
    written = [f"{first:.8g} / {kelvin}", f"{constant:.8g}", f"{linear:.8g} × {kelvin}"]
    written += [f"{term:.8g} × {kelvin}^{power}" for power, term in enumerate(powers, 2)]
    written.append(f"{logarithm:.8g} × ln({kelvin})")
    return " + ".join(written).replace("+ -", "- ")


def air_density(sheet: Sheet) -> list[str]:
    temperature_c, humidity = sheet.value("temperature"), sheet.value("relative_humidity")
    kelvin = number(temperature_c + 273.15)
    celsius = f"({sheet.given('temperature')} - 32) / 1.8" if sheet.ip else sheet.given("temperature")
    pressure_pa = SEA_LEVEL_PA * pressure_ratio(sheet.value("altitude"))
    pressure = number(pressure_pa)
    lines = [
        f"p = {SEA_LEVEL_PA:g} × {_power(sheet)} = {pressure} Pa",
        f"T = {celsius} + 273.15 = {kelvin} K",
    ]
    ratio = "0"
    if humidity > 0:
        exponent = _exponent(saturation_terms(temperature_c), kelvin)
        vapour_pa = saturation_pressure(temperature_c)
        vapour, part = number(vapour_pa), number(humidity)
        ratio = number(0.621945 * humidity * vapour_pa / (pressure_pa - humidity * vapour_pa))
        lines += [
            f"pws = exp({exponent}) = {vapour} Pa",
            f"W = 0.621945 × {part} × {vapour} Pa / ({pressure} Pa - {part} × {vapour} Pa) = {ratio}",
        ]
    density = sheet.result("density") or 0.0
    inside = f"(1 + {ratio}) × {pressure} Pa / (287.042 × {kelvin} K × (1 + 1.607858 × {ratio}))"
    lines.append(f"rho = {inside} = {number(density)} kg/m3")
    if sheet.ip:
        lines.append(f"density = {number(density)} kg/m3 / 16.01846 = {sheet.came('density')}")
    return lines


def _air(sheet: Sheet) -> str:
    return sheet.factor(STANDARD_AIR_W_PER_M3S_K, "heat_rate", ("airflow", "temperature_difference"))


def sensible_heat(sheet: Sheet) -> list[str]:
    lines, ratio = _ratio(sheet)
    product = f"{_air(sheet)} × {sheet.given('airflow')} × {sheet.given('temperature_change')} × {ratio}"
    return [*lines, f"heat_rate = {product} = {sheet.came('heat_rate')}"]


def _heat_given(sheet: Sheet) -> str:
    factor = sheet.times("heat_rate", ("electric_power",))
    return f"{factor}({sheet.given('heater_power')} + {sheet.given('blower_power')})"


def airflow_from_rise(sheet: Sheet) -> list[str]:
    lines, ratio = _ratio(sheet)
    carried = f"({_air(sheet)} × {sheet.given('rise')} × {ratio})"
    return [*lines, f"airflow = {_heat_given(sheet)} / {carried} = {sheet.came('airflow')}"]


def rise_from_airflow(sheet: Sheet) -> list[str]:
    lines, ratio = _ratio(sheet)
    carried = f"({_air(sheet)} × {sheet.given('airflow')} × {ratio})"
    return [*lines, f"rise = {_heat_given(sheet)} / {carried} = {sheet.came('rise')}"]


def heater_power(sheet: Sheet) -> list[str]:
    rated, rated_volts, volts = map(sheet.given, ("rated_power", "rated_voltage", "voltage"))
    watts = sheet.times("resistance", (), ("electric_power",)) and "1000 × "
    root = " / sqrt(3)" if sheet.value("phases") == 3 else ""
    fraction, resistance = sheet.came("fraction"), sheet.came("resistance")
    return [
        f"fraction = ({volts} / {rated_volts})^2 = {fraction}",
        f"power = {rated} × {fraction} = {sheet.came('power')}",
        f"resistance = ({rated_volts})^2 / ({watts}{rated}) = {resistance}",
        f"current = {volts} / {resistance}{root} = {sheet.came('current')}",
    ]


def heater_current(sheet: Sheet) -> list[str]:
    return [f"current = {amperes(sheet, 'power')} = {sheet.came('current')}"]


def amperes(sheet: Sheet, power: str) -> str:
    """Write P/V or P/(sqrt3 V) with the power of this name put in."""
    factor = sheet.times("current", ("electric_power",), ("voltage",))
    volts = sheet.given("voltage")
    under = f"(sqrt(3) × {volts})" if sheet.value("phases") == 3 else volts
    return f"{factor}{sheet.given(power)} / {under}"
