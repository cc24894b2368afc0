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


def test_of_several_meetings_the_warmest_counts():
    """A deep frost dip is met on the way down first."""
    answer = balance_point(10000.0, 9000.0, 8000.0, -15.0, capacity_35_w=3000.0)
    assert answer.temperature_c is not None
    assert FROST_C < answer.temperature_c < HIGH_C


def test_lines_that_do_not_meet_have_no_balance_point():
    """A heat pump larger than any load down to -60 degF has none, nor any auxiliary."""
    answer = balance_point(30000.0, 28000.0, 500.0, -15.0)
    assert (answer.temperature_c, answer.load_w, answer.auxiliary_power_w) == (None, None, 0.0)


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
