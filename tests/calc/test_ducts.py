"""Ducts and fans: inverses, exact rows and refusals."""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from asleft.calc import (
    CalcError,
    face_velocity,
    fan_efficacy,
    fan_law,
    friction_rate,
    meet_system,
    operating_point,
    system_curve,
    total_external_static,
)

STATICS = [50.0, 100.0, 150.0, 200.0]
FLOWS = [0.62, 0.60, 0.55, 0.40]


@given(st.floats(0, 500), st.floats(-500, 500))
def test_total_takes_the_return_with_or_without_its_sign(supply_pa, return_pa):
    """A minus sign left off the return makes no difference."""
    assert total_external_static(supply_pa, return_pa) == total_external_static(supply_pa, -return_pa)


@pytest.mark.parametrize(
    ("supply_pa", "return_pa", "total_pa"),
    [(75.0, -50.0, 125.0), (75.0, 50.0, 125.0), (0.0, -50.0, 50.0), (75.0, 0.0, 75.0), (-5.0, -50.0, 45.0)],
)
def test_total_is_what_the_blower_works_against(supply_pa, return_pa, total_pa):
    """Pushed and pulled: 75 Pa on one side and 50 on the other are 125 together."""
    assert total_external_static(supply_pa, return_pa) == total_pa


@pytest.mark.parametrize(
    ("airflow_m3s", "static_pa", "new_airflow_m3s", "keywords", "answer_pa"),
    [
        (0.5, 100.0, 1.0, {}, 400.0),
        (0.5, 100.0, 0.25, {}, 25.0),
        (0.5, -60.0, 1.5, {}, -540.0),
        (0.5, 100.0, 1.0, {"exponent": 1.0}, 200.0),
        (0.5, 100.0, 1.0, {"exponent": 3.0}, 800.0),
        (0.5, 100.0, 1.0, {"exponent": 0.0}, 100.0),
        (0.5, 100.0, 0.0, {}, 0.0),
    ],
)
def test_a_system_curve_by_hand(airflow_m3s, static_pa, new_airflow_m3s, keywords, answer_pa):
    """Twice the airflow takes four times the static, half a quarter; other exponents likewise."""
    assert system_curve(airflow_m3s, static_pa, new_airflow_m3s, **keywords) == pytest.approx(answer_pa)


@pytest.mark.parametrize(
    ("keywords", "answer"),
    [
        ({}, (0.6, 100.0, 400.0)),
        ({"speed_ratio": 0.5}, (0.3, 25.0, 50.0)),
        ({"speed_ratio": 2.0}, (1.2, 400.0, 3200.0)),
        ({"density_ratio": 0.8}, (0.6, 80.0, 320.0)),
        ({"speed_ratio": 0.5, "density_ratio": 0.8}, (0.3, 20.0, 40.0)),
        ({"speed_ratio": 0.0}, (0.0, 0.0, 0.0)),
    ],
)
def test_fan_laws_by_hand(keywords, answer):
    """Half the speed: half the air, a quarter of the static, an eighth of the power; thin air weighs less."""
    assert fan_law(0.6, 100.0, 400.0, **keywords) == pytest.approx(answer)


@given(st.floats(0.1, 3), st.floats(-500, 500), st.floats(0.1, 3), st.floats(1, 2.5))
def test_a_system_curve_goes_there_and_back(airflow_m3s, static_pa, other_m3s, exponent):
    """From one airflow to another and back gives the static again."""
    there = system_curve(airflow_m3s, static_pa, other_m3s, exponent)
    assert system_curve(other_m3s, there, airflow_m3s, exponent) == pytest.approx(static_pa, abs=1e-6)


@given(st.floats(0.2, 3), st.floats(0.5, 1.5))
def test_fan_laws_undo_themselves(speed, density):
    """Sped up and slowed down again, the fan does what it did; fan efficacy follows power over airflow."""
    there = fan_law(0.5, 100.0, 400.0, speed, density)
    back = fan_law(*there, 1 / speed, 1 / density)
    assert back == pytest.approx((0.5, 100.0, 400.0))
    assert fan_efficacy(there.power_w, there.airflow_m3s) == pytest.approx(800 * speed**2 * density)


@pytest.mark.parametrize("row", range(4))
@pytest.mark.parametrize("exponent", [1.5, 2.0, 2.2])
def test_a_system_through_a_row_meets_it_there(row, exponent):
    """A measured point that is a row of the table is its own operating point, first and last included."""
    answer = operating_point(STATICS, FLOWS, FLOWS[row], STATICS[row], exponent)
    assert answer == pytest.approx((FLOWS[row], STATICS[row]), rel=1e-12)


@given(st.floats(0.3, 0.9), st.floats(20, 300), st.floats(1.2, 2.5))
def test_an_operating_point_lies_on_both_curves(airflow_m3s, static_pa, exponent):
    """The answer is on the system curve and on the table's straight lines, or there is none."""
    try:
        answer = operating_point(STATICS, FLOWS, airflow_m3s, static_pa, exponent)
    except CalcError:
        gaps = [
            static - system_curve(airflow_m3s, static_pa, flow, exponent)
            for static, flow in zip(STATICS, FLOWS, strict=True)
        ]
        assert min(gaps) > 0 or max(gaps) < 0
        return
    assert system_curve(airflow_m3s, static_pa, answer.airflow_m3s, exponent) == pytest.approx(
        answer.static_pa, rel=1e-9
    )
    row = next(place for place in range(3) if answer.static_pa <= STATICS[place + 1])
    part = (answer.static_pa - STATICS[row]) / (STATICS[row + 1] - STATICS[row])
    assert answer.airflow_m3s == pytest.approx(FLOWS[row] + part * (FLOWS[row + 1] - FLOWS[row]), rel=1e-9)


@given(st.floats(0.4, 0.6), st.floats(60, 190), st.floats(1.01, 1.5))
def test_a_tighter_duct_never_moves_more_air(airflow_m3s, static_pa, tighter):
    """More resistance means no more air where airflow falls with static."""
    loose = meet_system(STATICS, FLOWS, static_pa / airflow_m3s**2)
    tight = meet_system(STATICS, FLOWS, tighter * static_pa / airflow_m3s**2)
    assume(loose is not None and tight is not None)
    assert tight.airflow_m3s <= loose.airflow_m3s * (1 + 1e-12)
    assert tight.static_pa >= loose.static_pa * (1 - 1e-12)


def test_airflow_may_rise_with_static():
    """A constant-airflow blower's table may rise; the point is still on it."""
    answer = operating_point([100.0, 200.0, 300.0], [0.55, 0.57, 0.56], 0.56, 180.0)
    assert answer.static_pa == pytest.approx(180.0 * (answer.airflow_m3s / 0.56) ** 2)
    assert 100.0 < answer.static_pa < 200.0


def test_of_several_points_the_stable_one_is_given():
    """Where airflow leaps with static the curve is crossed thrice; the first that holds is given."""
    answer = operating_point([10.0, 100.0, 110.0, 500.0], [0.4, 0.4, 1.0, 1.0], 1.0, 300.0)
    assert answer == pytest.approx((0.4, 48.0))


def test_friction_rate_can_have_nothing_left():
    """No static left for the ducts is bad news, not a refusal."""
    answer = friction_rate(100.0, [80.0, 40.0], 50.0)
    assert answer == pytest.approx((-20.0, -0.4))


@pytest.mark.parametrize(
    ("static", "losses", "length", "left", "rate"),
    [(0.50, [0.20, 0.10], 250.0, 0.20, 0.08), (0.80, [0.25, 0.10, 0.05], 400.0, 0.40, 0.10)],
)
def test_friction_rate_in_the_units_of_the_trade(static, losses, length, left, rate):
    """Static left, in. w.c., times 100 over feet of effective length, is in. w.c. for each 100 ft."""
    inch_pa, foot_m = 249.08891, 0.3048
    answer = friction_rate(static * inch_pa, [loss * inch_pa for loss in losses], length * foot_m)
    assert answer.available_static_pa / inch_pa == pytest.approx(left)
    assert answer.friction_rate_pam / inch_pa * 100 * foot_m == pytest.approx(rate)


@pytest.mark.parametrize(
    ("airflow_m3s", "width_m", "height_m", "velocity_ms"),
    [(0.6, 0.5, 0.8, 1.5), (0.6, 0.8, 0.5, 1.5), (0.6, 0.25, 0.8, 3.0), (0.0, 0.5, 0.8, 0.0)],
)
def test_face_velocity_is_airflow_over_area(airflow_m3s, width_m, height_m, velocity_ms):
    """0.6 m3/s through half a metre by 0.8 m moves at 1.5 m/s, lying or standing; half the width, twice."""
    assert face_velocity(airflow_m3s, width_m, height_m) == pytest.approx(velocity_ms)


def test_efficacy_is_power_over_airflow():
    """400 W for 800 cfm is half a watt for each cfm."""
    cfm_m3s = 4.719474432e-4
    assert fan_efficacy(400.0, 800 * cfm_m3s) * cfm_m3s == pytest.approx(0.5)
    assert fan_efficacy(0.0, 0.5) == 0.0


@pytest.mark.parametrize(
    ("function", "arguments", "name"),
    [
        (operating_point, ([50.0], [0.6], 0.5, 100.0), "fan_static"),
        (operating_point, ([], [], 0.5, 100.0), "fan_static"),
        (operating_point, ([50.0, 50.0], [0.6, 0.5], 0.5, 100.0), "fan_static"),
        (operating_point, ([100.0, 50.0], [0.5, 0.6], 0.5, 100.0), "fan_static"),
        (operating_point, ([50.0, 100.0], [0.6], 0.5, 100.0), "fan_airflow"),
        (operating_point, ([50.0, 100.0], [0.6, -0.1], 0.5, 100.0), "fan_airflow"),
        (operating_point, (STATICS, FLOWS, 0.0, 100.0), "airflow"),
        (operating_point, (STATICS, FLOWS, 0.5, 500.0), "static"),
        (operating_point, (STATICS, FLOWS, 0.5, float("nan")), "static"),
        (operating_point, (STATICS, FLOWS, 1e-200, 100.0), "airflow"),
        (operating_point, (STATICS, FLOWS, 0.5, 100.0, 1e300), "airflow"),
        (operating_point, ([50.0, 100.0], [0.6, float("inf")], 0.5, 100.0), "fan_airflow"),
        (operating_point, (STATICS, FLOWS, 0.5, 5.0), "static"),
        (operating_point, (STATICS, FLOWS, 0.5, -100.0), "static"),
        (operating_point, (STATICS, FLOWS, 0.5, 100.0, -1.0), "exponent"),
        (system_curve, (0.0, 100.0, 0.5), "airflow"),
        (system_curve, (0.5, 100.0, -0.5), "new_airflow"),
        (system_curve, (0.5, 100.0, 0.5, -2.0), "exponent"),
        (fan_law, (0.5, 100.0, 400.0, -1.0), "speed_ratio"),
        (fan_law, (0.5, 100.0, -400.0), "power"),
        (friction_rate, (100.0, [], 50.0), "losses"),
        (friction_rate, (100.0, [10.0], 0.0), "total_effective_length"),
        (face_velocity, (0.5, 0.0, 1.0), "width"),
        (face_velocity, (0.5, 1.0, 0.0), "height"),
        (fan_efficacy, (400.0, 0.0), "airflow"),
    ],
)
def test_refuses(function, arguments, name):
    """Each is refused, and the input at fault is named."""
    with pytest.raises(CalcError) as caught:
        function(*arguments)
    assert caught.value.input == name
