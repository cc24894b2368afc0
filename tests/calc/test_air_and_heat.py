"""Air and heat: inverses, linearity and refusals."""

from __future__ import annotations

import math

import psychrolib
import pytest
from hypothesis import given
from hypothesis import strategies as st

from asleft.calc import (
    CalcError,
    air_density,
    airflow_from_rise,
    heater_current,
    heater_power,
    pressure_ratio,
    rise_from_airflow,
    saturation_pressure,
    sensible_heat,
    standard_pressure,
)

WATTS = st.floats(1, 50_000)
ALTITUDES = st.floats(-1000, 11_000)


@given(WATTS, st.floats(0.5, 60), st.floats(0, 2000), ALTITUDES)
def test_rise_and_airflow_are_inverses(power_w, rise_k, blower_w, altitude_m):
    """Airflow from rise, put back, gives the rise; and that airflow carries the power."""
    airflow_m3s = airflow_from_rise(power_w, rise_k, blower_w, altitude_m)
    assert rise_from_airflow(power_w, airflow_m3s, blower_w, altitude_m) == pytest.approx(rise_k)
    assert sensible_heat(airflow_m3s, rise_k, altitude_m) == pytest.approx(power_w + blower_w)


def test_standard_air_carries_108():
    """1000 cfm through 10 degF is 10 800 Btu/h, by definition of standard air."""
    watts = sensible_heat(1000 * 4.719474432e-4, 10 / 1.8)
    assert watts * 3600 / 1055.05585262 == pytest.approx(10800)


def test_cooling_is_negative():
    """A negative change of temperature carries heat away."""
    assert sensible_heat(0.5, -10.0) == -sensible_heat(0.5, 10.0)


@given(ALTITUDES, ALTITUDES)
def test_pressure_falls_with_altitude(low, high):
    """Higher is thinner."""
    if low < high:
        assert standard_pressure(low) >= standard_pressure(high)


def test_sea_level():
    """At sea level the pressure is the standard one and the ratio is exactly 1."""
    assert standard_pressure(0.0) == 101325.0
    assert pressure_ratio(0.0) == 1.0


def test_damp_air_by_hand():
    """Half saturated at 20 degC: vapour of 1169.4 Pa, 0.621945 x 1169.4 / 100 155.6 kg/kg, 1.1988 kg/m3."""
    assert saturation_pressure(20.0) == pytest.approx(2338.8, abs=0.05)
    ratio = 0.621945 * 1169.4 / (101325 - 1169.4)
    expected = (1 + ratio) * 101325 / (287.042 * 293.15 * (1 + 1.607858 * ratio))
    assert air_density(20.0, 0.0, 0.5) == pytest.approx(expected, rel=1e-6)


@pytest.mark.parametrize("relative_humidity", [0.1, 0.5, 1.0])
@pytest.mark.parametrize(("temperature_c", "altitude_m"), [(35.0, 0.0), (30.0, 1500.0), (60.0, 3000.0)])
def test_damp_air_as_psychrolib_has_it(temperature_c, altitude_m, relative_humidity):
    """Hot and damp, where vapour weighs most, at three altitudes (independent implementation)."""
    psychrolib.SetUnitSystem(psychrolib.SI)
    pressure_pa = psychrolib.GetStandardAtmPressure(altitude_m)
    ratio = psychrolib.GetHumRatioFromRelHum(temperature_c, relative_humidity, pressure_pa)
    expected = psychrolib.GetMoistAirDensity(temperature_c, ratio, pressure_pa)
    assert air_density(temperature_c, altitude_m, relative_humidity) == pytest.approx(expected, rel=1e-9)


def test_damp_air_is_lighter():
    """Water vapour is lighter than air."""
    assert air_density(30.0, 0.0, 1.0) < air_density(30.0, 0.0, 0.5) < air_density(30.0)


def test_saturation_is_continuous_over_freezing():
    """Over ice and over water the pressures meet at the triple point."""
    assert saturation_pressure(0.01) == pytest.approx(saturation_pressure(0.0100001), rel=1e-4)


@pytest.mark.parametrize("temperature_c", [-100.0, -40.0, 0.0, 0.01, 0.01005, 0.02, 100.0, 200.0])
def test_saturation_at_the_edges_of_its_two_equations(temperature_c):
    """PsychroLib, which holds the same two equations, agrees from end to end and at the triple point."""
    psychrolib.SetUnitSystem(psychrolib.SI)
    expected = psychrolib.GetSatVapPres(temperature_c)
    assert saturation_pressure(temperature_c) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize("temperature_c", [-100.01, 200.01])
def test_no_saturation_beyond_the_equations(temperature_c):
    """A hundredth of a degree beyond either end there is none; dry air needs none."""
    with pytest.raises(CalcError):
        saturation_pressure(temperature_c)
    with pytest.raises(CalcError):
        air_density(temperature_c, relative_humidity=0.01)
    expected = 101325 / (287.042 * (temperature_c + 273.15))
    assert air_density(temperature_c) == pytest.approx(expected)


def test_vapour_of_just_the_whole_pressure_is_boiling():
    """Where the vapour alone makes up the pressure, no air is left, and the humidity is at fault."""
    boiling = standard_pressure(0.0) / saturation_pressure(150.0)
    assert boiling * saturation_pressure(150.0) == standard_pressure(0.0)
    with pytest.raises(CalcError) as caught:
        air_density(150.0, 0.0, boiling)
    assert caught.value.input == "relative_humidity"


@given(WATTS, st.floats(100, 600), st.floats(0, 700), st.sampled_from([1, 3]))
def test_heater_power_is_ohms_law(rated_w, rated_v, volts, phases):
    """Volts and amperes give the power back, and power goes as the square of volts."""
    answer = heater_power(rated_w, rated_v, volts, phases)
    factor = math.sqrt(3) if phases == 3 else 1
    assert answer.current_a * volts * factor == pytest.approx(answer.power_w)
    assert answer.power_w == pytest.approx(answer.fraction * rated_w)
    assert answer.power_w == pytest.approx(volts**2 / answer.resistance_ohm)
    if volts:
        assert heater_current(answer.power_w, volts, phases) == pytest.approx(answer.current_a)


@pytest.mark.parametrize(
    ("function", "arguments", "name"),
    [
        (standard_pressure, {"altitude_m": 11000.1}, "altitude"),
        (standard_pressure, {"altitude_m": -1000.1}, "altitude"),
        (standard_pressure, {"altitude_m": math.nan}, "altitude"),
        (air_density, {"temperature_c": -273.2}, "temperature"),
        (air_density, {"temperature_c": -273.15}, "temperature"),
        (air_density, {"temperature_c": 20.0, "relative_humidity": 1.01}, "relative_humidity"),
        (air_density, {"temperature_c": 20.0, "relative_humidity": -0.01}, "relative_humidity"),
        (air_density, {"temperature_c": 150.0, "relative_humidity": 1.0}, "relative_humidity"),
        (air_density, {"temperature_c": 300.0, "relative_humidity": 0.5}, "temperature"),
        (airflow_from_rise, {"heater_power_w": 9600.0, "rise_k": 0.0}, "rise"),
        (airflow_from_rise, {"heater_power_w": 9600.0, "rise_k": -1.0}, "rise"),
        (airflow_from_rise, {"heater_power_w": -1.0, "rise_k": 1.0}, "heater_power"),
        (airflow_from_rise, {"heater_power_w": 1.0, "rise_k": 1.0, "blower_power_w": -1.0}, "blower_power"),
        (rise_from_airflow, {"heater_power_w": 9600.0, "airflow_m3s": 0.0}, "airflow"),
        (sensible_heat, {"airflow_m3s": -0.1, "temperature_change_k": 1.0}, "airflow"),
        (heater_power, {"rated_power_w": 0.0, "rated_voltage_v": 240.0, "voltage_v": 240.0}, "rated_power"),
        (heater_power, {"rated_power_w": 1.0, "rated_voltage_v": 0.0, "voltage_v": 240.0}, "rated_voltage"),
        (heater_power, {"rated_power_w": 1.0, "rated_voltage_v": 240.0, "voltage_v": -1.0}, "voltage"),
        (heater_current, {"power_w": 1.0, "voltage_v": 0.0}, "voltage"),
        (heater_current, {"power_w": 1.0, "voltage_v": 240.0, "phases": 2}, "phases"),
        (heater_current, {"power_w": 1e300, "voltage_v": 1e-100}, "power"),
        (heater_current, {"power_w": math.inf, "voltage_v": 240.0}, "power"),
    ],
)
def test_refuses(function, arguments, name):
    """Each is refused, and the input at fault is named."""
    with pytest.raises(CalcError) as caught:
        function(**arguments)
    assert caught.value.input == name
