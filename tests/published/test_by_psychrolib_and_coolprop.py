"""PsychroLib 2.5 and CoolProp as live oracles for air, over random states."""

from __future__ import annotations

import psychrolib
import pytest
from CoolProp.CoolProp import PropsSI
from CoolProp.HumidAirProp import HAPropsSI
from hypothesis import given, settings
from hypothesis import strategies as st

from asleft.calc import air_density, moist_air_density, saturation_pressure, sensible_heat, standard_pressure

pytestmark = pytest.mark.independent_library

psychrolib.SetUnitSystem(psychrolib.SI)

TEMPERATURES = st.floats(-40, 60)
ALTITUDES = st.floats(-500, 5000)
HUMIDITIES = st.floats(0, 1)


@settings(deadline=None)
@given(st.floats(-1000, 11000))
def test_standard_pressure(altitude_m):
    """The same formula with the same coefficients: to rounding."""
    assert standard_pressure(altitude_m) == pytest.approx(
        psychrolib.GetStandardAtmPressure(altitude_m), rel=1e-12
    )


@settings(deadline=None)
@given(st.floats(-100, 200))
def test_saturation_pressure(temperature_c):
    """The same equations; PsychroLib changes over at 0.01 degC, the triple point, and we at 0 degC.

    Between the two the equations over ice and over water part by 1e-3 at most; elsewhere they are the same.
    """
    part = 1e-3 if 0.0 <= temperature_c <= 0.01 else 1e-9
    assert saturation_pressure(temperature_c) == pytest.approx(
        psychrolib.GetSatVapPres(temperature_c), rel=part
    )


@settings(deadline=None)
@given(TEMPERATURES, ALTITUDES, HUMIDITIES)
def test_density_of_moist_air(temperature_c, altitude_m, relative_humidity):
    """The same mixture; PsychroLib never lets W fall below 1e-7 and rounds constants: within 1e-6."""
    pressure_pa = psychrolib.GetStandardAtmPressure(altitude_m)
    ratio = psychrolib.GetHumRatioFromRelHum(temperature_c, relative_humidity, pressure_pa)
    expected = psychrolib.GetMoistAirDensity(temperature_c, ratio, pressure_pa)
    assert air_density(temperature_c, altitude_m, relative_humidity) == pytest.approx(expected, rel=1e-6)
    assert moist_air_density(temperature_c, ratio, pressure_pa) == pytest.approx(expected, rel=1e-6)


@settings(max_examples=25, deadline=None)
@given(st.floats(-20, 50), st.floats(0, 3000), st.floats(0.01, 0.9))
def test_density_of_moist_air_as_a_real_gas(temperature_c, altitude_m, relative_humidity):
    """A real-gas model of humid air stands within a quarter of a per cent of the ideal mixture.

    Compressibility is 0.1 % off one at room conditions, and the enhancement of vapour in air 0.4 % of a
    vapour that is itself at most a tenth of the mixture.
    """
    state = ("T", temperature_c + 273.15, "P", standard_pressure(altitude_m), "R", relative_humidity)
    density = (1 + HAPropsSI("W", *state)) / HAPropsSI("V", *state)
    assert air_density(temperature_c, altitude_m, relative_humidity) == pytest.approx(density, rel=2.5e-3)


@settings(max_examples=25, deadline=None)
@given(TEMPERATURES, ALTITUDES)
def test_density_of_dry_air_as_a_real_gas(temperature_c, altitude_m):
    """Dry air's compressibility departs from one by 0.15 % at most in these states."""
    density = PropsSI("D", "T", temperature_c + 273.15, "P", standard_pressure(altitude_m), "Air")
    assert air_density(temperature_c, altitude_m) == pytest.approx(density, rel=1.5e-3)


@settings(max_examples=25, deadline=None)
@given(st.floats(0.1, 2), st.floats(1, 40), st.floats(0, 3000))
def test_sensible_heat_as_enthalpy(airflow_m3s, rise_k, altitude_m):
    """Real dry air entering at 70 degF gains this heat within 1 %.

    The trade's 1.08 holds density 0.075 lb/ft3 (that of 70 degF within 0.1 %) and 0.24 Btu/(lb degF), 1.0048
    kJ/(kg K), where real air has 1.006 to 1.009 over this rise.
    """
    pressure_pa, entering_k = standard_pressure(altitude_m), 294.261
    mass = airflow_m3s * PropsSI("D", "T", entering_k, "P", pressure_pa, "Air")
    enthalpy = [
        PropsSI("H", "T", kelvin, "P", pressure_pa, "Air") for kelvin in (entering_k, entering_k + rise_k)
    ]
    expected = mass * (enthalpy[1] - enthalpy[0])
    assert sensible_heat(airflow_m3s, rise_k, altitude_m) == pytest.approx(expected, rel=0.01)
