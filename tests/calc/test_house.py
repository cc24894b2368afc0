"""The house: balance point, droop, recovery and capacity."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from asleft.calc import (
    CalcError,
    balance_point,
    delay_droop,
    heating_capacity,
    recovery_time,
    thermal_capacity,
)
from asleft.quantity import from_unit

HIGH_C, FROST_C, LOW_C = 25 / 3, 5 / 3, -25 / 3


@given(st.floats(4000, 20000), st.floats(0.3, 0.95), st.floats(4000, 30000), st.floats(-25, 5))
def test_load_equals_capacity_at_the_balance_point(capacity_47, ratio, load, design_c):
    """Where there is a balance point the house needs just what the heat pump gives, and above it less."""
    answer = balance_point(capacity_47, capacity_47 * ratio, load, design_c)
    capacity = heating_capacity(capacity_47, capacity_47 * ratio)
    assert answer.auxiliary_power_w == pytest.approx(max(0.0, load - capacity(design_c)))
    if answer.temperature_c is None:
        return
    assert answer.load_w == pytest.approx(capacity(answer.temperature_c), rel=1e-6)
    warmer = answer.temperature_c + 0.5
    assert capacity(warmer) > load * (65 / 1.8 - 32 / 1.8 - warmer) / (65 / 1.8 - 32 / 1.8 - design_c)


@given(st.floats(-40, 20))
def test_frosting_bends_the_line_between_17_and_47_only(outdoor_c):
    """A capacity at 35 degF lies on the line of its own, and changes nothing below 17 and above 47."""
    plain, bent = heating_capacity(10000.0, 6000.0), heating_capacity(10000.0, 6000.0, 7000.0)
    assert bent(FROST_C) == pytest.approx(7000.0)
    if LOW_C < outdoor_c < HIGH_C:
        assert bent(outdoor_c) < plain(outdoor_c)
    else:
        assert bent(outdoor_c) == plain(outdoor_c)


def test_a_straight_35_degree_capacity_changes_nothing():
    """A capacity at 35 degF that lies on the 47-17 line gives the same balance point."""
    straight = heating_capacity(10000.0, 6000.0)(FROST_C)
    plain = balance_point(10000.0, 6000.0, 9000.0, -15.0)
    bent = balance_point(10000.0, 6000.0, 9000.0, -15.0, capacity_35_w=straight)
    assert bent.temperature_c == pytest.approx(plain.temperature_c)


def celsius(fahrenheit):
    """Give degC for degF."""
    return (fahrenheit - 32) / 1.8


@pytest.mark.parametrize(
    ("outdoor_f", "frost", "watts"),
    [
        (47, None, 10000),
        (17, None, 7000),
        (32, None, 8500),
        (35, None, 8800),
        (65, None, 11800),
        (5, None, 5800),
        (-60, None, 0),
        (47, 7600, 10000),
        (17, 7600, 7000),
        (35, 7600, 7600),
        (26, 7600, 7300),
        (20, 7600, 7100),
        (41, 7600, 8800),
        (38, 7600, 8200),
        (44, 7600, 9400),
        (65, 7600, 11800),
        (5, 7600, 5800),
    ],
)
def test_capacity_on_its_straight_lines(outdoor_f, frost, watts):
    """10 kW at 47 and 7 kW at 17 degF are 100 W a degF; 7.6 kW at 35 bends that to 33.3 below, 200 above."""
    assert heating_capacity(10000.0, 7000.0, frost)(celsius(outdoor_f)) == pytest.approx(watts, abs=1e-6)


@pytest.mark.parametrize(
    ("high", "low", "frost", "load", "design_f", "zero_f", "met_f", "met_load", "lacking"),
    [
        (36, 22, None, 40, 5, 65, 25.8235, 26.1176, 40 - 16.4),
        (36, 22, None, 40, 5, 60, 24.7665, 25.6244, 40 - 16.4),
        (8, 4, None, 40, 5, 65, 52.0, 26 / 3, 40 - 2.4),
        (8, 4, 5, 40, 5, 65, 52.0, 26 / 3, 40 - 2.4),
        (36, 22, 25, 26, 20, 65, 24.7015, 23.2836, 3.5),
        (40, 20, 21, 54, 5, 65, 37.4161, 24.8255, 54 - 12),
    ],
)
def test_balance_points_by_hand(high, low, frost, load, design_f, zero_f, met_f, met_load, lacking):
    """Two straight lines meet where a pencil says: above 47 degF, on either side of 35, and below.

    Thousands of watts. 8 + (T - 47) 4/30 = 40 (65 - T)/60 at T = 52. 22 + (T - 17) 3/18 = 26 (65 - T)/45 at
    24.70. 21 + (T - 35) 19/12 = 54 (65 - T)/60 at 37.42 degF. The load there is that of either side.
    """
    answer = balance_point(
        high * 1000.0,
        low * 1000.0,
        load * 1000.0,
        celsius(design_f),
        celsius(zero_f),
        None if frost is None else frost * 1000.0,
    )
    assert answer.temperature_c == pytest.approx(celsius(met_f), abs=1e-4)
    assert answer.load_w == pytest.approx(met_load * 1000, rel=1e-4)
    assert answer.auxiliary_power_w == pytest.approx(lacking * 1000)
    assert answer.design_capacity_w == pytest.approx((load - lacking) * 1000)


@pytest.mark.parametrize("scale", [1e-5, 1e-3, 1e3])
def test_a_balance_point_does_not_mind_the_size_of_the_house(scale):
    """A doll's house and a palace of the same proportions balance at the same temperature."""
    answer = balance_point(8000 * scale, 4000 * scale, 40000 * scale, celsius(5))
    assert answer.temperature_c == pytest.approx(celsius(52))
    deeper = balance_point(
        36000 * scale, 22000 * scale, 26000 * scale, celsius(20), celsius(65), 25000 * scale
    )
    assert deeper.temperature_c == pytest.approx(celsius(24.7015), abs=1e-4)


@pytest.mark.parametrize(("share", "met_f"), [(2.07, -59.2), (2.08, -59.8), (2.084, None), (2.09, None)])
def test_no_balance_point_is_sought_below_60_below(share, met_f):
    """A flat capacity of so many times the load at 5 degF meets it at 65 - 60 share degF, down to -60."""
    answer = balance_point(1000 * share, 1000 * share, 1000.0, celsius(5))
    assert answer.temperature_c == (None if met_f is None else pytest.approx(celsius(met_f)))


def test_lines_that_touch_meet():
    """A frost dip that just touches the load at 35 degF balances there; a watt above, at 5 degF."""
    zero_c, frost_c = from_unit(65.0, "temperature", "°F"), from_unit(35.0, "temperature", "°F")
    touching = 100 * (zero_c - frost_c)
    answer = balance_point(2 * touching, 2 * touching, touching, frost_c, zero_c, touching)
    assert answer.temperature_c == pytest.approx(FROST_C)
    assert answer.load_w == pytest.approx(touching)
    above = balance_point(2 * touching, 2 * touching, touching, frost_c, zero_c, touching + 1)
    assert above.temperature_c == pytest.approx(celsius(5))


def test_a_balance_at_the_very_coldest_counts():
    """At -60 degF capacity is the load, above it more than that, or less: 3000 x 107/30 = 10700."""
    coldest, zero_c = from_unit(-60.0, "temperature", "°F"), from_unit(65.0, "temperature", "°F")
    flat = 1000 * (zero_c - coldest)
    assert balance_point(flat, flat, flat, coldest).temperature_c == pytest.approx(coldest)
    answer = balance_point(0.0, 3000.0, 10700.0, coldest)
    assert answer == pytest.approx((coldest, 10700.0, 10700.0, 0.0))


def test_no_heat_pump_balances_where_no_heat_is_needed():
    """Without capacity the balance point is the zero-load temperature, up to the very coldest of those."""
    answer = balance_point(0.0, 0.0, 1000.0, celsius(5))
    assert answer == pytest.approx((celsius(65), 0.0, 0.0, 1000.0), abs=1e-9)
    assert balance_point(0.0, 0.0, 0.0, celsius(5)).temperature_c == pytest.approx(celsius(65))
    coldest = from_unit(-60.0, "temperature", "°F")
    assert balance_point(0.0, 0.0, 1000.0, celsius(-70), coldest).temperature_c == coldest
    assert balance_point(0.0, 0.0, 1000.0, celsius(-70), coldest - 0.1)[:2] == (None, None)


def test_of_several_meetings_the_warmest_counts():
    """A deep frost dip is met on the way down first."""
    answer = balance_point(10000.0, 9000.0, 8000.0, -15.0, capacity_35_w=3000.0)
    assert answer.temperature_c is not None
    assert FROST_C < answer.temperature_c < HIGH_C


def test_lines_that_do_not_meet_have_no_balance_point():
    """A heat pump larger than any load down to -60 degF has none, nor any auxiliary."""
    answer = balance_point(30000.0, 28000.0, 500.0, -15.0)
    assert (answer.temperature_c, answer.load_w, answer.auxiliary_power_w) == (None, None, 0.0)


def test_a_shortfall_of_half_a_watt_is_one():
    """A line from 5/6 W at 17 degF to 0 at 47 lies half a watt below a house without load: nowhere enough."""
    assert balance_point(0.0, 5 / 6, 10000.0, -20.0).temperature_c is None


def test_capacity_is_never_below_zero():
    """A line that falls below zero at design gives nothing, not cooling."""
    answer = balance_point(10000.0, 1000.0, 9000.0, -30.0)
    assert answer.design_capacity_w == 0.0
    assert answer.auxiliary_power_w == 9000.0


@given(st.floats(0, 10000), st.floats(50, 1000), st.floats(1e6, 1e8), st.floats(0, 36000), st.floats(-2, 5))
def test_droop_solves_its_heat_balance(deficit_w, loss_wk, capacity_jk, delay_s, start_k):
    """Two delays one after the other droop as far as one of both."""
    whole = delay_droop(deficit_w, loss_wk, capacity_jk, delay_s, start_k).droop_k
    half = delay_droop(deficit_w, loss_wk, capacity_jk, delay_s / 2, start_k).droop_k
    assert delay_droop(deficit_w, loss_wk, capacity_jk, delay_s / 2, half).droop_k == pytest.approx(whole)


def test_droop_agrees_with_an_integrator():
    """scipy's integrator on C dd/dt = D - UA d (independent implementation)."""
    solved = solve_ivp(lambda _, d: (7000 - 350 * d) / 8e6, (0, 5400), [0.5], rtol=1e-10, atol=1e-12)
    assert delay_droop(7000.0, 350.0, 8e6, 5400.0, 0.5).droop_k == pytest.approx(solved.y[0, -1], rel=1e-7)


def test_droop_starts_where_it_is_and_ends_at_the_steady_state():
    """No delay, no droop; a long one comes to D/UA."""
    assert delay_droop(7000.0, 350.0, 8e6, 0.0, 0.7).droop_k == pytest.approx(0.7)
    assert delay_droop(7000.0, 350.0, 8e6, 1e9).droop_k == pytest.approx(20.0)


@given(st.floats(1, 20000), st.floats(50, 1000), st.floats(1e6, 1e8), st.floats(0.1, 10))
def test_recovery_undoes_the_set_back(surplus_w, loss_wk, capacity_jk, setback_k):
    """After the recovery time the house has risen by the set-back; never, where the surplus cannot."""
    time_s = recovery_time(surplus_w, loss_wk, capacity_jk, setback_k)
    if surplus_w <= setback_k * loss_wk:
        assert time_s is None
        return
    if time_s is None:
        assert surplus_w == pytest.approx(setback_k * loss_wk)
        return
    risen = surplus_w / loss_wk * -math.expm1(-time_s * loss_wk / capacity_jk)
    assert risen == pytest.approx(setback_k, rel=1e-6)


def test_recovery_exactly_at_the_limit_is_never():
    """S = dT UA comes close for ever."""
    assert recovery_time(3 * 0.1 * 1000, 1000.0, 1e7, 0.3) is None
    assert recovery_time(1 + 1e-12, 1.0, 1.0, 1.0) is None


def test_recovery_a_billionth_above_the_limit_ends():
    """With 1 W/K, 1 J/K and 1 K, S = 1 + e W takes ln((1 + e) / e) s."""
    surplus_w = 1 + 1e-9
    assert recovery_time(surplus_w, 1.0, 1.0, 1.0) == pytest.approx(math.log(surplus_w / 1e-9), rel=1e-6)


@pytest.mark.parametrize(
    ("construction", "per_m2"),
    [("very light", 80e3), ("light", 110e3), ("medium", 165e3), ("heavy", 260e3), ("very-heavy", 370e3)],
)
def test_thermal_capacity_by_construction(construction, per_m2):
    """Each class of construction has its own capacity a square metre."""
    assert thermal_capacity(10.0, construction) == pytest.approx(10 * per_m2)


@pytest.mark.parametrize(
    ("function", "arguments", "name"),
    [
        (balance_point, (1.0, 1.0, 1.0, 20.0), "design_temperature"),
        (balance_point, (1.0, 1.0, 1.0, 18.0, 18.0), "design_temperature"),
        (balance_point, (1.0, 1.0, 1.0, -300.0), "design_temperature"),
        (balance_point, (-1.0, 1.0, 1.0, 0.0), "capacity_47"),
        (balance_point, (1.0, -1.0, 1.0, 0.0), "capacity_17"),
        (balance_point, (1.0, 1.0, -1.0, 0.0), "design_load"),
        (balance_point, (1.0, 1.0, 1.0, 0.0, 18.0, -1.0), "capacity_35"),
        (delay_droop, (-1.0, 1.0, 1.0, 1.0), "deficit"),
        (delay_droop, (1.0, 0.0, 1.0, 1.0), "heat_loss_coefficient"),
        (delay_droop, (1.0, 1.0, 0.0, 1.0), "thermal_capacity"),
        (delay_droop, (1.0, 1.0, 1.0, -1.0), "delay"),
        (recovery_time, (1.0, 0.0, 1.0, 1.0), "heat_loss_coefficient"),
        (recovery_time, (-1.0, 1.0, 1.0, 1.0), "surplus"),
        (recovery_time, (1.0, 1.0, 1.0, -1.0), "setback"),
        (thermal_capacity, (-1.0, "medium"), "floor_area"),
        (thermal_capacity, (1.0, "straw"), "construction"),
    ],
)
def test_refuses(function, arguments, name):
    """Each is refused, and the input at fault is named."""
    with pytest.raises(CalcError) as caught:
        function(*arguments)
    assert caught.value.input == name
