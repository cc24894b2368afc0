"""What must hold of the calculations whatever is put in: what undoes what, and which way results go."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from asleft.calc import (
    air_density,
    airflow_from_rise,
    balance_point,
    conductor_ampacity,
    delay_droop,
    divided_parts,
    fan_efficacy,
    fan_law,
    friction_rate,
    heater_current,
    heater_power,
    overcurrent_device,
    recovery_time,
    rise_from_airflow,
    sensible_heat,
    standard_pressure,
    system_curve,
    voltage_drop,
    voltage_unbalance,
)
from asleft.quantity import KINDS, from_unit, to_unit
from asleft.tables import conductors

RELAXED = settings(deadline=None)

POWER, FLOW, RISE = st.floats(500, 30000), st.floats(0.1, 3), st.floats(1, 60)
ALTITUDE, PHASES, MORE = st.floats(-500, 5000), st.sampled_from([1, 3]), st.floats(1.001, 3)


@RELAXED
@given(POWER, RISE, st.floats(0, 1000), ALTITUDE)
def test_rise_airflow_and_heat_undo_each_other(power_w, rise_k, blower_w, altitude_m):
    """Airflow from a rise gives the rise back, and carries just the heat that went in."""
    airflow = airflow_from_rise(power_w, rise_k, blower_w, altitude_m)
    assert rise_from_airflow(power_w, airflow, blower_w, altitude_m) == pytest.approx(rise_k)
    assert sensible_heat(airflow, rise_k, altitude_m) == pytest.approx(power_w + blower_w)


@RELAXED
@given(FLOW, st.floats(-500, 500), POWER, st.floats(0.2, 3), st.floats(0.5, 1.5))
def test_a_fan_brought_there_and_back_is_as_it_was(airflow, static, power, speed, density):
    """The fan laws with the inverse ratios undo themselves."""
    there = fan_law(airflow, static, power, speed, density)
    assert fan_law(*there, 1 / speed, 1 / density) == pytest.approx((airflow, static, power))


@RELAXED
@given(FLOW, st.floats(-500, 500), FLOW, FLOW, st.floats(0, 3))
def test_a_system_curve_is_one_curve_from_any_of_its_points(airflow, static, halfway, other, exponent):
    """By way of another point, and back, the static is the same."""
    between = system_curve(airflow, static, halfway, exponent)
    assert system_curve(halfway, between, other, exponent) == pytest.approx(
        system_curve(airflow, static, other, exponent)
    )
    assert system_curve(halfway, between, airflow, exponent) == pytest.approx(static)


@RELAXED
@given(POWER, st.floats(100, 600), st.floats(100, 600), PHASES)
def test_a_heater_rated_at_what_it_does_is_the_same_heater(rated_w, rated_v, volts, phases):
    """At V and back: rated power, resistance, and the current by Joule's law."""
    found = heater_power(rated_w, rated_v, volts, phases)
    back = heater_power(found.power_w, volts, rated_v, phases)
    assert back.power_w == pytest.approx(rated_w)
    assert back.resistance_ohm == pytest.approx(found.resistance_ohm)
    assert back.fraction * found.fraction == pytest.approx(1.0)
    assert heater_current(found.power_w, volts, phases) == pytest.approx(found.current_a)


@RELAXED
@given(st.floats(50, 1000), st.floats(1e6, 1e8), st.floats(0.1, 8), st.floats(1.01, 20))
def test_a_recovery_takes_as_long_as_the_droop_that_mirrors_it(loss_wk, capacity_jk, setback_k, times):
    """A surplus warms as an equal deficit cools: after the recovery time the droop is the set-back."""
    surplus_w = times * setback_k * loss_wk
    time_s = recovery_time(surplus_w, loss_wk, capacity_jk, setback_k)
    assert time_s is not None
    assert delay_droop(surplus_w, loss_wk, capacity_jk, time_s).droop_k == pytest.approx(setback_k)


@RELAXED
@given(st.floats(0, 20000), st.floats(50, 1000), st.floats(1e6, 1e8), st.floats(0, 7200), st.floats(0, 7200))
def test_two_delays_end_to_end_are_one(deficit_w, loss_wk, capacity_jk, first_s, second_s):
    """A droop that starts where the first ended reaches what one delay of both lengths does."""
    first = delay_droop(deficit_w, loss_wk, capacity_jk, first_s).droop_k
    second = delay_droop(deficit_w, loss_wk, capacity_jk, second_s, first).droop_k
    whole = delay_droop(deficit_w, loss_wk, capacity_jk, first_s + second_s).droop_k
    assert second == pytest.approx(whole, abs=1e-12)


@pytest.mark.parametrize(
    ("kind", "unit"), [(kind.id, unit.name) for kind in KINDS.values() for unit in kind.units.values()]
)
def test_every_unit_goes_there_and_back(kind, unit):
    """To a unit and from it, or from it and to it, nothing is lost but rounding."""
    for value in (-40.0, 0.0, 1e-3, 1.0, 123.456, 9e6):
        assert to_unit(from_unit(value, kind, unit), kind, unit) == pytest.approx(value, rel=1e-12, abs=1e-11)


def rising(values: list[float]) -> bool:
    """Say whether each is above the one before."""
    return all(low < high for low, high in pairwise(values))


@RELAXED
@given(POWER, RISE, ALTITUDE, MORE)
def test_more_heat_or_less_rise_is_more_air(power_w, rise_k, altitude_m, more):
    """And thinner air needs more of its volume for the same heat."""
    here = airflow_from_rise(power_w, rise_k, 0.0, altitude_m)
    assert airflow_from_rise(power_w * more, rise_k, 0.0, altitude_m) > here
    assert airflow_from_rise(power_w, rise_k, 100.0 * more, altitude_m) > here
    assert airflow_from_rise(power_w, rise_k * more, 0.0, altitude_m) < here
    assert airflow_from_rise(power_w, rise_k, 0.0, altitude_m + 100 * more) > here


@RELAXED
@given(st.floats(-30, 45), ALTITUDE, st.floats(0.05, 0.9), st.floats(0.5, 5))
def test_warm_high_or_damp_air_is_lighter(temperature_c, altitude_m, humidity, step):
    """Density falls with temperature, altitude and humidity; pressure with altitude."""
    here = air_density(temperature_c, altitude_m, humidity)
    assert air_density(temperature_c + step, altitude_m, humidity) < here
    assert air_density(temperature_c, altitude_m + 10 * step, humidity) < here
    assert air_density(temperature_c, altitude_m, humidity + step / 50) < here
    assert standard_pressure(altitude_m + step) < standard_pressure(altitude_m)


@RELAXED
@given(POWER, st.floats(100, 600), st.floats(100, 600), PHASES, MORE)
def test_more_volts_are_more_heat(rated_w, rated_v, volts, phases, more):
    """Power and current of a resistance rise with voltage; the current of a given power falls."""
    low, high = (heater_power(rated_w, rated_v, v, phases) for v in (volts, volts * more))
    assert high.power_w > low.power_w
    assert high.current_a > low.current_a
    assert high.resistance_ohm == low.resistance_ohm
    assert heater_current(rated_w, volts * more, phases) < heater_current(rated_w, volts, phases)


@RELAXED
@given(st.floats(1, 100), st.floats(1, 100), MORE, PHASES, st.sampled_from(["copper", "aluminium"]))
def test_a_longer_thinner_busier_wire_drops_more(amperes, metres, more, phases, material):
    """Drop rises with current and length, falls with each thicker size, and is more in aluminium."""

    def drop(current: float, length: float, size: str = "6 AWG", metal: str = material) -> float:
        return voltage_drop(current, length, size, 240.0, metal, phases).drop_v

    assert drop(amperes * more, metres) > drop(amperes, metres)
    assert drop(amperes, metres * more) > drop(amperes, metres)
    sizes = [name for name, entry in conductors(material).items() if entry.ampacity_a]
    assert rising([drop(amperes, metres, size) for size in reversed(sizes)])
    assert drop(amperes, metres, metal="aluminium") > drop(amperes, metres, metal="copper")


@RELAXED
@given(
    st.sampled_from([name for name, entry in conductors("copper").items() if entry.ampacity_a]),
    st.sampled_from([60.0, 75.0, 90.0]),
    st.sampled_from([60.0, 75.0, 90.0]),
    st.floats(-10, 50),
    st.integers(1, 50),
    st.floats(0, 5),
    st.integers(0, 20),
)
def test_a_hotter_fuller_raceway_carries_no_more(size, ends, cover, ambient_c, count, hotter, fuller):
    """Nor do cooler terminals or insulation; a thicker conductor carries more, copper more than aluminium."""
    here = conductor_ampacity(size, "copper", ends, cover, ambient_c, count)
    assert conductor_ampacity(size, "copper", ends, cover, ambient_c + hotter, count) <= here
    assert conductor_ampacity(size, "copper", ends, cover, ambient_c, count + fuller) <= here
    assert conductor_ampacity(size, "copper", 90.0, cover, ambient_c, count) >= here
    assert conductor_ampacity(size, "copper", 60.0, cover, ambient_c, count) <= here
    sizes = [name for name, entry in conductors("copper").items() if entry.ampacity_a]
    assert rising([conductor_ampacity(s, "copper", ends, cover, ambient_c, count) for s in sizes])
    if size != "14 AWG":
        assert conductor_ampacity(size, "aluminium", ends, cover, ambient_c, count) < here


@RELAXED
@given(st.floats(0, 590), st.floats(0, 10))
def test_more_amperes_never_need_a_smaller_device_or_fewer_parts(amperes, more):
    """And a device is never below its amperes."""
    assert amperes <= overcurrent_device(amperes) * (1 + 1e-9)
    assert overcurrent_device(amperes) <= overcurrent_device(amperes + more)
    assert divided_parts(amperes) <= divided_parts(amperes + more)
    assert amperes <= 48.0 * divided_parts(amperes) * (1 + 1e-9)


@RELAXED
@given(
    st.floats(0, 10000), st.floats(50, 1000), st.floats(1e6, 1e8), st.floats(60, 7200), st.floats(1.01, 1.5)
)
def test_a_longer_delay_in_a_lighter_house_cools_further(deficit_w, loss_wk, capacity_jk, delay_s, more):
    """Droop rises with delay and deficit, falls with thermal capacity, and stays below its steady state."""
    here = delay_droop(deficit_w, loss_wk, capacity_jk, delay_s).droop_k
    assert delay_droop(deficit_w, loss_wk, capacity_jk, delay_s * more).droop_k >= here
    assert delay_droop(deficit_w * more, loss_wk, capacity_jk, delay_s).droop_k >= here
    assert delay_droop(deficit_w, loss_wk, capacity_jk * more, delay_s).droop_k <= here
    assert 0.0 <= here <= deficit_w / loss_wk


@RELAXED
@given(st.floats(1.2, 10), st.floats(50, 1000), st.floats(1e6, 1e8), st.floats(0.5, 8), st.floats(1.01, 1.15))
def test_more_surplus_recovers_sooner(times, loss_wk, capacity_jk, setback_k, more):
    """A deeper set-back or a heavier house takes longer."""
    surplus_w = times * setback_k * loss_wk
    here = recovery_time(surplus_w, loss_wk, capacity_jk, setback_k)
    assert here is not None
    assert (recovery_time(surplus_w * more, loss_wk, capacity_jk, setback_k) or 0.0) < here
    assert (recovery_time(surplus_w, loss_wk, capacity_jk, setback_k * more) or 0.0) > here
    assert (recovery_time(surplus_w, loss_wk, capacity_jk * more, setback_k) or 0.0) > here


@RELAXED
@given(
    st.floats(6000, 15000),
    st.floats(0.4, 0.9),
    st.floats(5000, 20000),
    st.floats(-25, -5),
    st.floats(1.01, 1.5),
)
def test_a_larger_house_is_left_alone_at_a_milder_temperature(high_w, low, load_w, design_c, more):
    """More load raises the balance point and the auxiliary heat, a larger heat pump lowers both."""
    here = balance_point(high_w, high_w * low, load_w, design_c)
    larger = balance_point(high_w, high_w * low, load_w * more, design_c)
    pump = balance_point(high_w * more, high_w * more * low, load_w, design_c)
    assert larger.auxiliary_power_w >= here.auxiliary_power_w - 1e-6
    assert here.auxiliary_power_w >= pump.auxiliary_power_w - 1e-6
    if here.temperature_c is not None and larger.temperature_c is not None:
        assert larger.temperature_c > here.temperature_c
    if here.temperature_c is not None and pump.temperature_c is not None:
        assert pump.temperature_c < here.temperature_c


@RELAXED
@given(st.floats(0, 0.06), st.floats(0, 0.02))
def test_a_worse_supply_never_spares_the_motor(unbalance, worse):
    """The derating never rises with unbalance, and beyond 5 % there is none."""

    def derating(part: float) -> float:
        found = voltage_unbalance([480.0, 480.0 * (1 - part), 480.0 * (1 + part)]).derating
        return -1.0 if found is None else found

    assert derating(unbalance + worse) <= derating(unbalance)


@RELAXED
@given(st.floats(50, 400), st.lists(st.floats(0, 60), min_size=1, max_size=5), st.floats(10, 200), MORE)
def test_a_longer_run_or_another_loss_leaves_less(static_pa, losses_pa, metres, more):
    """Friction rate falls with losses, and in size with length; efficacy with airflow."""
    here = friction_rate(static_pa, losses_pa, metres)
    assert friction_rate(static_pa, [*losses_pa, more], metres).friction_rate_pam < here.friction_rate_pam
    longer = friction_rate(static_pa, losses_pa, metres * more)
    assert abs(longer.friction_rate_pam) <= abs(here.friction_rate_pam)
    assert fan_efficacy(static_pa, metres * more) < fan_efficacy(static_pa, metres)
