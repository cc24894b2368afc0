"""ASHRAE Handbook, Fundamentals (2017), chapter 1: published values; PsychroLib and CoolProp as oracles."""

from __future__ import annotations

import psychrolib
import pytest
from CoolProp.HumidAirProp import HAPropsSI
from hypothesis import given, settings
from hypothesis import strategies as st

from asleft.calc import air_density, moist_air_density, saturation_pressure, standard_pressure

psychrolib.SetUnitSystem(psychrolib.SI)


@pytest.mark.parametrize(
    ("altitude_m", "pressure_pa"), [(0, 101325), (500, 95461), (1000, 89875), (4000, 61640)]
)
def test_standard_pressure_table_1(altitude_m, pressure_pa):
    """Table 1 prints whole pascals."""
    assert standard_pressure(altitude_m) == pytest.approx(pressure_pa, abs=1)


def test_moist_air_density():
    """Moist air of 30 degC and W = 0.02 at 95 461 Pa, as in PsychroLib's own tests."""
    assert moist_air_density(30.0, 0.02, 95461.0) == pytest.approx(1.08411986, rel=1e-8)


@given(st.floats(-60, 120))
def test_saturation_pressure_agrees_with_psychrolib(temperature_c):
    """Independent implementation of the same equations."""
    assert saturation_pressure(temperature_c) == pytest.approx(
        psychrolib.GetSatVapPres(temperature_c), rel=1e-9
    )


@given(st.floats(-40, 60), st.floats(-500, 5000), st.floats(0, 1))
def test_density_agrees_with_psychrolib(temperature_c, altitude_m, relative_humidity):
    """Independent implementation; PsychroLib never lets W fall below 1e-7."""
    pressure_pa = psychrolib.GetStandardAtmPressure(altitude_m)
    ratio = psychrolib.GetHumRatioFromRelHum(temperature_c, relative_humidity, pressure_pa)
    expected = psychrolib.GetMoistAirDensity(temperature_c, ratio, pressure_pa)
    assert air_density(temperature_c, altitude_m, relative_humidity) == pytest.approx(expected, rel=1e-6)


@settings(max_examples=25, deadline=None)
@given(st.floats(-20, 50), st.floats(0, 3000), st.floats(0.01, 0.9))
def test_density_agrees_with_coolprop(temperature_c, altitude_m, relative_humidity):
    """A real-gas model of humid air stands within a quarter of a per cent of the ideal mixture."""
    pressure_pa = standard_pressure(altitude_m)
    state = ("T", temperature_c + 273.15, "P", pressure_pa, "R", relative_humidity)
    density = (1 + HAPropsSI("W", *state)) / HAPropsSI("V", *state)
    assert air_density(temperature_c, altitude_m, relative_humidity) == pytest.approx(density, rel=2.5e-3)
