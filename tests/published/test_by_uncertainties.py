"""The `uncertainties` library as live oracle for every calculation that carries a typed ± to its results.

Each calculation is written down here a second time, from its published formula, in the library's numbers. A
typed ± is a limit a, so u = a / root 3, and what is stated is U = 2 u. Inputs are in base units throughout.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import Any, NamedTuple

import numpy as np
import psychrolib
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq
from uncertainties import ufloat, umath, wrap

from asleft.calc import CalcError
from asleft.calc.catalogue import catalogue
from asleft.calc.working import answer

pytestmark = pytest.mark.independent_library

psychrolib.SetUnitSystem(psychrolib.SI)

BTU_H, CFM, DEGREE_F = 1055.05585262 / 3600, 0.3048**3 / 60, 5 / 9
CARRIED = 1.08 * BTU_H / CFM / DEGREE_F
"""W for each m3/s and K of standard air."""


class Input(NamedTuple):
    """One input: its unit, the range of its values, and the largest limit, as a part of the value."""

    unit: str
    low: float
    high: float
    part: float = 0.05
    items: int = 0


class Case(NamedTuple):
    """A calculation: its uncertain inputs, its formula in the same order, and inputs typed as they are."""

    inputs: dict[str, Input]
    formula: Callable[..., tuple[Any, ...]]
    fixed: dict[str, str]
    close: float = 1e-6


def pressure(altitude: Any) -> Any:
    """Standard pressure over that at sea level."""
    return (1 - 2.25577e-5 * altitude) ** 5.2559


def moist_density(celsius: float, altitude: float, humidity: float) -> float:
    """Density by PsychroLib."""
    pascals = psychrolib.GetStandardAtmPressure(altitude)
    ratio = psychrolib.GetHumRatioFromRelHum(celsius, humidity, pascals)
    return float(psychrolib.GetMoistAirDensity(celsius, ratio, pascals))


def heater(rated: Any, rated_volts: Any, volts: Any) -> tuple[Any, ...]:
    """Three-phase."""
    fraction = (volts / rated_volts) ** 2
    power = rated * fraction
    return power, rated_volts**2 / rated, power / volts / math.sqrt(3), fraction


def unbalance(volts: Sequence[Any]) -> tuple[Any, ...]:
    """The lowest lies furthest from the mean; the derating is numpy's interpolation of the printed curve."""
    mean = sum(volts) / 3
    found = (mean - volts[0]) / mean

    def curve(at: float) -> float:
        return float(np.interp(at, [0, 0.01, 0.02, 0.03, 0.04, 0.05], [1, 1, 0.95, 0.88, 0.82, 0.75]))

    return found, wrap(curve)(found)


def circuit(watts: Any, volts: Any, blower: Any) -> tuple[Any, ...]:
    """Single-phase: load and minimum ampacity, the rest goes in steps."""
    load = watts / volts + blower
    return load, 1.25 * load, None, None, None


def drop(amperes: Any, metres: Any, volts: Any) -> tuple[Any, ...]:
    """6 AWG copper, 0.491 ohm for 1000 ft, there and back."""
    lost = 2 * amperes * metres * 0.491 / 304.8
    return lost, lost / volts


def friction(static: Any, losses: Sequence[Any], metres: Any) -> tuple[Any, ...]:
    """What is left, and for each metre."""
    left = static - sum(losses)
    return left, left / metres


def meeting(statics: Sequence[Any], flows: Sequence[Any], *system: Any) -> tuple[Any, ...]:
    """By a root finder on straight lines between three rows; the system is airflow, static and exponent."""

    def at(want: int) -> Callable[..., float]:
        def found(*numbers: float) -> float:
            rows, held, (q, p, n) = numbers[:3], numbers[3:6], numbers[6:]

            def gap(x: float) -> float:
                return x - p * (float(np.interp(x, rows, held)) / q) ** n

            met = brentq(gap, rows[0], rows[2], xtol=1e-13, rtol=1e-14)
            return float(np.interp(met, rows, held)) if want == 0 else float(met)

        return found

    numbers = (*statics, *flows, *system)
    return wrap(at(0))(*numbers), wrap(at(1))(*numbers)


def balance(high: Any, low: Any, load: Any, design: Any, zero: Any) -> tuple[Any, ...]:
    """The straight line through 47 and 17 degF meets the load line."""
    high_c, low_c = (47 - 32) / 1.8, (17 - 32) / 1.8
    slope = (high - low) / (high_c - low_c)
    per_kelvin = load / (zero - design)
    met = (per_kelvin * zero - low + slope * low_c) / (slope + per_kelvin)
    at_design = low + slope * (design - low_c)
    return met, per_kelvin * (zero - met), at_design, load - at_design


def droop(deficit: Any, loss: Any, capacity: Any, seconds: Any, start: Any) -> tuple[Any, ...]:
    """One thermal mass."""
    tau = capacity / loss
    return deficit / loss + (start - deficit / loss) * umath.exp(-seconds / tau), tau


def carried(flow: Any, change: Any, altitude: Any) -> tuple[Any, ...]:
    """Sensible heat."""
    return (CARRIED * flow * change * pressure(altitude),)


W, V, A = Input("W", 2000, 20000), Input("V", 200, 260), Input("A", 1, 10)
FLOW, STATIC, METRES = Input("m3/s", 0.2, 1.0), Input("Pa", 50, 300), Input("m", 5, 60)
ALTITUDE = Input("m", 100, 3000)
LOSS, MASS = Input("W/K", 100, 600), Input("J/K", 5e6, 5e7)

CASES = {
    "standard-pressure": Case({"altitude": ALTITUDE}, lambda z: (101325 * pressure(z),), {}),
    # Both sides differentiate by small steps here.
    "air-density": Case(
        {
            "temperature": Input("degC", 5, 40),
            "altitude": ALTITUDE,
            "relative_humidity": Input("", 0.2, 0.8),
        },
        lambda t, z, phi: (wrap(moist_density)(t, z, phi),),
        {},
        1e-4,
    ),
    "sensible-heat": Case(
        {"airflow": FLOW, "temperature_change": Input("K", 2, 30), "altitude": ALTITUDE}, carried, {}
    ),
    "airflow-from-rise": Case(
        {
            "heater_power": W,
            "rise": Input("K", 5, 30),
            "blower_power": Input("W", 50, 700),
            "altitude": ALTITUDE,
        },
        lambda p, dt, b, z: ((p + b) / (CARRIED * dt * pressure(z)),),
        {},
    ),
    "rise-from-airflow": Case(
        {"heater_power": W, "airflow": FLOW, "blower_power": Input("W", 50, 700), "altitude": ALTITUDE},
        lambda p, q, b, z: ((p + b) / (CARRIED * q * pressure(z)),),
        {},
    ),
    "heater-power": Case({"rated_power": W, "rated_voltage": V, "voltage": V}, heater, {"phases": "3"}),
    "heater-current": Case({"power": W, "voltage": V}, lambda p, v: (p / v,), {}),
    "supply-limits": Case(
        {"nominal": Input("V", 235, 250)},
        lambda v: (v * 108 / 120, v * 126 / 120),
        {"measured_at": "terminals", "range": "A"},
    ),
    "voltage-unbalance": Case({"voltages": Input("V", 0, 0, 0.004, 3)}, lambda v: unbalance(v), {}),
    "branch-circuit": Case(
        {"heater_power": Input("W", 3000, 12000), "voltage": V, "blower_current": A}, circuit, {}
    ),
    "voltage-drop": Case({"current": A, "length": METRES, "voltage": V}, drop, {"size": "6 AWG"}),
    "control-load": Case(
        {"rating": Input("VA", 40, 100), "loads": Input("VA", 2, 15, items=3), "voltage": Input("V", 22, 28)},
        lambda rating, loads, volts: (sum(loads) + 0 * volts, sum(loads) / rating),
        {},
    ),
    "friction-rate": Case(
        {
            "external_static": Input("Pa", 150, 300),
            "losses": Input("Pa", 5, 40, items=3),
            "total_effective_length": METRES,
        },
        friction,
        {},
    ),
    "system-curve": Case(
        {"airflow": FLOW, "static": STATIC, "new_airflow": FLOW, "exponent": Input("", 1.5, 2.2)},
        lambda q, p, new, n: (p * umath.pow(new / q, n),),
        {},
    ),
    "fan-law": Case(
        {
            "airflow": FLOW,
            "static": STATIC,
            "power": Input("W", 100, 900),
            "speed_ratio": Input("", 0.5, 1.5),
            "density_ratio": Input("", 0.7, 1.1),
        },
        lambda q, p, w, n, d: (q * n, p * n**2 * d, w * n**3 * d),
        {},
    ),
    # The oracle differentiates by steps through a root finder.
    "operating-point": Case(
        {
            "fan_static": Input("Pa", 0, 0, 0.01, 3),
            "fan_airflow": Input("m3/s", 0, 0, 0.01, 3),
            "airflow": Input("m3/s", 0.4, 0.5),
            "static": Input("Pa", 90, 110),
            "exponent": Input("", 1.8, 2.1),
        },
        meeting,
        {},
        1e-3,
    ),
    "face-velocity": Case(
        {"airflow": FLOW, "width": Input("m", 0.3, 0.8), "height": Input("m", 0.3, 0.8)},
        lambda q, w, h: (q / w / h,),
        {},
    ),
    "fan-efficacy": Case({"power": W, "airflow": FLOW}, lambda p, q: (p / q,), {}),
    "balance-point": Case(
        {
            "capacity_47": Input("W", 9000, 12000),
            "capacity_17": Input("W", 4500, 7000),
            "design_load": Input("W", 10000, 14000),
            "design_temperature": Input("degC", -18, -14),
            "zero_load_temperature": Input("degC", 16, 20),
        },
        balance,
        {},
    ),
    "delay-droop": Case(
        {
            "deficit": Input("W", 500, 8000),
            "heat_loss_coefficient": LOSS,
            "thermal_capacity": MASS,
            "delay": Input("s", 300, 3000),
            "start_droop": Input("K", 0.1, 1),
        },
        droop,
        {},
    ),
    "recovery-time": Case(
        {
            "surplus": Input("W", 4000, 9000),
            "heat_loss_coefficient": Input("W/K", 100, 400),
            "thermal_capacity": MASS,
            "setback": Input("K", 1, 5),
        },
        lambda s, ua, c, dt: (-c / ua * umath.log(1 - dt * ua / s),),
        {},
    ),
    "thermal-capacity": Case(
        {"floor_area": Input("m2", 50, 400)}, lambda a: (165000 * a,), {"construction": "medium"}
    ),
}
ROWS = {
    "voltages": [(448.0, 458.0), (468.0, 470.0), (471.0, 475.0)],
    "fan_static": [(30.0, 40.0), (120.0, 130.0), (240.0, 260.0)],
    "fan_airflow": [(0.60, 0.65), (0.48, 0.52), (0.30, 0.35)],
}
"""Lists whose items are drawn each from its own range."""


def typed(drawn: Sequence[tuple[float, float]], unit: str) -> str:
    """Type the items of an input, each with its ±."""
    return ",".join(f"{value!r} {unit} ± {limit!r} {unit}" for value, limit in drawn)


@st.composite
def stated(draw: st.DrawFn, name: str) -> dict[str, list[tuple[float, float]]]:
    """Draw each uncertain input's items, value and limit."""
    found = {}
    for label, entry in CASES[name].inputs.items():
        ranges = ROWS.get(label, [(entry.low, entry.high)] * max(1, entry.items))
        found[label] = [
            (
                value := draw(st.floats(low, high)),
                value and abs(value) * entry.part * draw(st.floats(0.01, 1)),
            )
            for low, high in ranges
        ]
    return found


def test_every_calculation_that_carries_an_uncertainty_is_here():
    """All of the list but those whose every number goes in steps or is a word, and what states U itself."""
    counted = {
        name
        for name, entry in catalogue().items()
        if any(not result.exact and result.kind not in ("word", "size") for result in entry.results)
    }
    assert counted == set(CASES) | {"total-external-static", "instrument-uncertainty"}
    with pytest.raises(CalcError, match="±"):
        answer("instrument-uncertainty", {"reading": "240 V ± 1 V", "percent": "0.7"})


@pytest.mark.parametrize("name", sorted(CASES))
def test_uncertainty_agrees(name: str) -> None:
    """Values and U of every result, over random inputs and limits."""
    case = CASES[name]

    @settings(max_examples=15, deadline=None)
    @given(stated(name))
    def agrees(drawn: dict[str, list[tuple[float, float]]]) -> None:
        numbers: list[Any] = []
        for label, items in drawn.items():
            made = [ufloat(value, limit / math.sqrt(3)) for value, limit in items]
            numbers.append(made if case.inputs[label].items else made[0])
        written = {label: typed(items, case.inputs[label].unit) for label, items in drawn.items()}
        outcomes = answer(name, {**written, **case.fixed}).outcomes
        for outcome, expected in zip(outcomes, case.formula(*numbers), strict=True):
            if expected is None:
                continue
            assert outcome.value == pytest.approx(expected.nominal_value, rel=1e-9)
            assert outcome.expanded == pytest.approx(
                2 * expected.std_dev, rel=case.close, abs=1e-9 * abs(expected.nominal_value)
            )

    agrees()


LIMITS = st.just(0.0) | st.floats(1e-3, 10)
"""In Pa: none, or one that somebody could type."""


@settings(max_examples=15, deadline=None)
@given(st.floats(20, 200), st.floats(20, 200), LIMITS, LIMITS)
def test_one_manometer_is_one_instrument(supply, back, above, below):
    """Two statics by one manometer are wholly correlated, so a sum carries the sum of their U.

    In the library: one variable of unit deviation moves both.
    """
    gain = ufloat(0.0, 1 / math.sqrt(3))
    expected = (supply + above * gain) + (back + below * gain)
    inputs = {"supply": typed([(supply, above)], "Pa"), "return": typed([(-back, below)], "Pa")}
    outcome = answer("total-external-static", inputs).outcomes[0]
    assert outcome.value == pytest.approx(expected.nominal_value)
    if above or below:
        assert outcome.expanded == pytest.approx(2 * expected.std_dev, rel=1e-6)
    else:
        assert outcome.expanded is None


@settings(max_examples=15, deadline=None)
@given(st.floats(3, 20), st.floats(0.01, 0.5), st.floats(10, 50), st.floats(0.1, 3))
def test_a_limit_is_carried_in_whatever_unit_it_is_typed(kilowatts, off_kw, rise_f, off_f):
    """kW and degF in, m3/s out."""
    outcome = answer(
        "airflow-from-rise",
        {
            "heater_power": f"{kilowatts!r} kW ± {off_kw!r} kW",
            "rise": f"{rise_f!r} degF ± {off_f!r} degF",
        },
    ).outcomes[0]
    watts = 1000 * ufloat(kilowatts, off_kw / math.sqrt(3))
    expected = watts / (CARRIED * ufloat(rise_f, off_f / math.sqrt(3)) * DEGREE_F)
    assert outcome.value == pytest.approx(expected.nominal_value)
    assert outcome.expanded == pytest.approx(2 * expected.std_dev, rel=1e-6)
