"""Fan tables met by systems, every point worked by hand."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from asleft.calc import CalcError, meet_system, operating_point

FALLING = ((50.0, 150.0, 250.0), (0.6, 0.5, 0.3))
"""Airflow is 0.65 - static/1000 in the first piece and 0.8 - static/500 in the second."""
SHUT_OFF = ((0.0, 100.0), (0.6, 0.0))
"""From free delivery to no air at all: airflow is 0.6 - 0.006 static."""
STEADY = ((50.0, 150.0), (0.5, 0.5))
"""Half a cubic metre a second whatever the static."""
RISING = ((100.0, 200.0, 300.0), (0.50, 0.60, 0.55))
"""More air as static grows, then less: 0.4 + static/1000, then 0.7 - static/2000."""
SUCTION = ((-100.0, 100.0), (0.7, 0.5))
"""A static below the room's at one end: airflow is 0.6 - static/1000."""


@pytest.mark.parametrize("exponent", [0.5, 1.0, 1.7, 1.9, 2.0, 2.02, 2.3, 3.0])
@pytest.mark.parametrize(
    ("table", "airflow_m3s", "static_pa"),
    [
        (FALLING, 0.6, 50.0),
        (FALLING, 0.59, 60.0),
        (FALLING, 0.55, 100.0),
        (FALLING, 0.501, 149.0),
        (FALLING, 0.5, 150.0),
        (FALLING, 0.4, 200.0),
        (FALLING, 0.31, 245.0),
        (FALLING, 0.3, 250.0),
        (SHUT_OFF, 0.6, 0.0),
        (SHUT_OFF, 0.57, 5.0),
        (SHUT_OFF, 0.3, 50.0),
        (SHUT_OFF, 0.03, 95.0),
        (STEADY, 0.5, 50.0),
        (STEADY, 0.5, 80.0),
        (STEADY, 0.5, 150.0),
        (RISING, 0.59, 220.0),
        (RISING, 0.57, 260.0),
        (RISING, 0.55, 300.0),
        (SUCTION, 0.6, 0.0),
        (SUCTION, 0.55, 50.0),
        (SUCTION, 0.5, 100.0),
    ],
)
def test_a_system_through_a_point_of_the_table_meets_it_there(table, airflow_m3s, static_pa, exponent):
    """Any point on the table's straight lines is where a system measured at that point meets the table."""
    answer = operating_point(*table, airflow_m3s, static_pa, exponent)
    assert answer.airflow_m3s == pytest.approx(airflow_m3s, rel=1e-9)
    assert answer.static_pa == pytest.approx(static_pa, rel=1e-9, abs=1e-9)


@pytest.mark.parametrize(
    ("table", "coefficient", "exponent", "airflow_m3s", "static_pa"),
    [
        (FALLING, 200.0, 1.0, 0.65 / 1.2, 130 / 1.2),
        (FALLING, 600.0, 1.0, 0.8 / 2.2, 480 / 2.2),
        (FALLING, 120.0, 0.0, 0.53, 120.0),
        (FALLING, 220.0, 0.0, 0.36, 220.0),
        (FALLING, 100 / 0.55**2, 2.0, 0.55, 100.0),
        (FALLING, 200 / 0.4**2, 2.0, 0.4, 200.0),
        (FALLING, 200 / 0.4**3, 3.0, 0.4, 200.0),
        (SHUT_OFF, 100.0, 1.0, 0.6 / 1.6, 60 / 1.6),
        (SHUT_OFF, 0.0, 2.0, 0.6, 0.0),
        (STEADY, 200.0, 1.0, 0.5, 100.0),
        (STEADY, 400.0, 2.0, 0.5, 100.0),
        (RISING, 250.0, 1.0, 0.4 / 0.75, 100 / 0.75),
        (RISING, 400.0, 1.0, 0.7 / 1.2, 280 / 1.2),
        (SUCTION, 100.0, 1.0, 0.6 / 1.1, 60 / 1.1),
        (SUCTION, -100.0, 1.0, 0.6 / 0.9, -60 / 0.9),
        (SUCTION, -50 / 0.65**2, 2.0, 0.65, -50.0),
        (SUCTION, -50 / 0.65**3, 3.0, 0.65, -50.0),
    ],
)
def test_where_a_straight_piece_meets_a_system(table, coefficient, exponent, airflow_m3s, static_pa):
    """Static is coefficient x airflow^n and airflow a - b static: for n = 1 both follow by one division."""
    answer = meet_system(*table, coefficient, exponent)
    assert answer == pytest.approx((airflow_m3s, static_pa), rel=1e-9)


@pytest.mark.parametrize("exponent", [0.0, 1.0, 1.9, 2.0])
@pytest.mark.parametrize(
    ("table", "airflow_m3s", "static_pa"),
    [
        (FALLING, 0.6, 49.9),
        (FALLING, 0.3, 250.1),
        (STEADY, 0.5, 49.9),
        (STEADY, 0.5, 150.1),
        (RISING, 0.5, 99.9),
        (RISING, 0.55, 300.1),
        (SUCTION, 0.7, -100.1),
        (SUCTION, 0.5, 100.1),
        (SHUT_OFF, 0.6, -0.1),
    ],
)
def test_nothing_is_met_beyond_the_rows(table, airflow_m3s, static_pa, exponent):
    """A tenth of a pascal below the first row or above the last the table says nothing."""
    assert meet_system(*table, static_pa / airflow_m3s**exponent, exponent) is None
    with pytest.raises(CalcError) as caught:
        operating_point(*table, airflow_m3s, static_pa, exponent)
    assert caught.value.input == "static"


@pytest.mark.parametrize("exponent", [1.0, 1.9, 2.0])
@pytest.mark.parametrize("table", [FALLING, STEADY, RISING])
@pytest.mark.parametrize("row", [0, -1])
def test_an_end_is_met_whatever_binary_rounding_does(table, row, exponent):
    """A system through the first or last row, one last binary digit aside, still meets it."""
    static_pa, airflow_m3s = table[0][row], table[1][row]
    coefficient = static_pa / airflow_m3s**exponent
    for near in (math.nextafter(coefficient, 0.0), coefficient, math.nextafter(coefficient, math.inf)):
        answer = meet_system(*table, near, exponent)
        assert answer == pytest.approx((airflow_m3s, static_pa), rel=1e-12)
    for far in (coefficient * (1 - 1e-9), coefficient * (1 + 1e-9)):
        answer = meet_system(*table, far, exponent)
        outside = (far < coefficient) == (row == 0)
        assert (answer is None) == outside


@pytest.mark.parametrize("exponent", [1.0, 1.9, 2.0, 2.3])
@pytest.mark.parametrize("nudge", [0.0, -math.inf])
def test_an_end_below_the_rooms_static_is_met_too(nudge, exponent):
    """A first row of -100 Pa is met by the system through it, binary rounding notwithstanding."""
    coefficient = -100.0 / 0.7**exponent
    for near in (coefficient, math.nextafter(coefficient, nudge), coefficient * (1 + 4e-16)):
        assert meet_system(*SUCTION, near, exponent) == pytest.approx((0.7, -100.0), rel=1e-12)


@pytest.mark.parametrize("exponent", [1.0, 1.5, 1.9, 2.0, 2.3])
@pytest.mark.parametrize("scale", [1e-6, 1e-3, 1e3])
@pytest.mark.parametrize(
    ("table", "airflow_m3s", "static_pa"), [(FALLING, 0.4, 200.0), (RISING, 0.57, 260.0)]
)
def test_a_point_does_not_mind_the_size_of_its_statics(table, airflow_m3s, static_pa, scale, exponent):
    """Statics a thousand times larger or a million times smaller leave every airflow where it is."""
    statics = tuple(static * scale for static in table[0])
    answer = operating_point(statics, table[1], airflow_m3s, static_pa * scale, exponent)
    assert answer == pytest.approx((airflow_m3s, static_pa * scale), rel=1e-9)


def test_a_system_is_of_exponent_2_unless_told():
    """100 Pa at 0.55 m3/s, said without an exponent, is a square law."""
    assert meet_system(*FALLING, 100 / 0.55**2) == pytest.approx((0.55, 100.0))
    assert operating_point(*FALLING, 1.1, 400.0) == pytest.approx((0.55, 100.0))


LEAPS = [
    (((10.0, 100.0, 110.0, 500.0), (0.4, 0.4, 1.0, 1.0)), 0.4, 50.0),
    (((10.0, 100.0, 110.0, 120.0, 500.0), (0.42, 0.40, 1.0, 0.99, 0.98)), 0.41, 55.0),
    (((10.0, 100.0, 110.0, 120.0, 500.0), (0.39, 0.40, 1.0, 1.01, 1.02)), 0.395, 55.0),
    (((10.0, 100.0, 110.0, 120.0, 500.0), (1.0, 0.4, 0.99, 0.39, 0.98)), 0.7, 55.0),
    (((10.0, 100.0, 110.0, 500.0), (0.4, 0.58, 1.0, 1.0)), 0.49, 55.0),
]


@pytest.mark.parametrize("exponent", [1.0, 1.5, 2.0, 2.5])
@pytest.mark.parametrize(("table", "airflow_m3s", "static_pa"), LEAPS)
def test_where_air_leaps_the_first_stable_point_is_given(table, airflow_m3s, static_pa, exponent):
    """Of several points the one of least static holds: just above it the system asks less than the fan has.

    Each point lies midway, or anywhere where airflow is steady, in the first piece of a table that leaps.
    """
    coefficient = static_pa / airflow_m3s**exponent
    asked = [coefficient * flow**exponent for flow in table[1]]
    assert asked[0] > table[0][0]
    assert asked[1] < table[0][1]
    assert meet_system(*table, coefficient, exponent) == pytest.approx((airflow_m3s, static_pa))


def test_a_system_that_always_asks_more_meets_nothing():
    """1, 2 and 3 Pa at 10, 20 and 40 m3/s are far from a system that asks 15 kPa of the first."""
    assert meet_system((1.0, 2.0, 3.0), (10.0, 20.0, 40.0), 150.0) is None


@pytest.mark.parametrize(("airflow_m3s", "static_pa"), [(1.0, 1.7e308), (1e-160, 100.0), (1e-155, 100.0)])
@pytest.mark.parametrize("table", [((1.0, 2.0), (5.0, 4.0)), FALLING, RISING])
def test_a_system_steeper_than_a_float_holds_meets_nothing(table, airflow_m3s, static_pa):
    """What it asks is infinite, or far above every row."""
    with pytest.raises(CalcError):
        operating_point(*table, airflow_m3s, static_pa)


@pytest.mark.parametrize("exponent", [1.5, 2.0])
def test_a_system_steeper_than_a_float_holds_shuts_a_fan_off(exponent):
    """A fan that holds 100 Pa without air meets it there: 0 m3/s at 100 Pa."""
    assert meet_system(*SHUT_OFF, 1.7e308, exponent) == pytest.approx((0.0, 100.0))


@pytest.mark.parametrize("exponent", [1.0, 2.0, 3.0, 7.0])
@pytest.mark.parametrize("part", [1e-9, 0.3, 1 - 1e-6])
def test_between_rows_far_apart_the_point_is_as_good(exponent, part):
    """From 2 m3/s at 10 Pa to a thousandth of it at 11 Pa on one straight line."""
    airflow_m3s, static_pa = 2.0 - 1.998 * part, 10.0 + part
    answer = operating_point([10.0, 11.0], [2.0, 0.002], airflow_m3s, static_pa, exponent)
    assert answer == pytest.approx((airflow_m3s, static_pa), rel=1e-9)


@given(st.integers(2, 30), st.floats(0.05, 0.95), st.sampled_from([1.0, 1.6, 2.0, 2.4]), st.data())
def test_of_many_rows_the_right_two_are_taken(rows, part, exponent, data):
    """A point picked on any piece of a falling table is found again."""
    statics = tuple(20.0 + 15.0 * row for row in range(rows))
    flows = tuple(0.9 - 0.004 * row - 0.0006 * row * row for row in range(rows))
    row = data.draw(st.integers(0, rows - 2))
    static_pa = statics[row] + part * (statics[row + 1] - statics[row])
    airflow_m3s = flows[row] + part * (flows[row + 1] - flows[row])
    answer = meet_system(statics, flows, static_pa / airflow_m3s**exponent, exponent)
    assert answer == pytest.approx((airflow_m3s, static_pa), rel=1e-9)


class Counted(float):
    """An exponent that counts how often a system's static is worked out."""

    times = 0

    def __rpow__(self, airflow: float) -> float:
        self.times += 1
        return airflow ** float(self)


THOUSAND = tuple(float(row) for row in range(1, 1024))
"""As many statics as ten halvings leave one gap of: 2^10 - 1."""


@pytest.mark.parametrize(
    "flows",
    [
        tuple(1.0 - 0.0004 * row for row in range(1023)),
        tuple(1.0 - row / 1022 for row in range(1023)),
        (0.8,) * 1023,
    ],
)
@pytest.mark.parametrize(("exponent", "steps"), [(1.0, 1), (1.5, 2), (1.8, 2), (2.0, 0), (3.0, 3)])
@pytest.mark.parametrize("row", [100, 350, 700, 900])
def test_a_falling_table_is_halved_and_its_pair_of_rows_solved_in_few_steps(flows, exponent, steps, row):
    """Ten halvings find the pair of a thousand rows, steadily falling, to a shut damper, or not falling;
    a square needs no more, a straight line one step to see that it is there, a curve two or three."""
    airflow_m3s, static_pa = 0.75 * flows[row] + 0.25 * flows[row + 1], THOUSAND[row] + 0.25
    counted = Counted(exponent)
    answer = meet_system(THOUSAND, flows, static_pa / airflow_m3s**exponent, counted)
    assert answer == pytest.approx((airflow_m3s, static_pa), rel=1e-9)
    assert counted.times <= 10 + steps


def test_a_pair_that_keeps_just_more_than_half_its_air_is_no_wide_one():
    """From 1 m3/s at 100 Pa to 0.503 at 200, half way: six steps at most."""
    counted = Counted(1.5)
    answer = meet_system((100.0, 200.0), (1.0, 0.503), 150 / 0.7515**1.5, counted)
    assert answer == pytest.approx((0.7515, 150.0), rel=1e-12)
    assert counted.times <= 2 + 6


@pytest.mark.parametrize(("exponent", "steps"), [(1.0, 1), (1.2, 3), (1.5, 3), (1.8, 3), (2.0, 0), (3.0, 3)])
@pytest.mark.parametrize("part", [0.5, 0.995])
def test_a_wide_pair_of_rows_takes_few_steps_too(exponent, steps, part):
    """Between 1 m3/s at 100 Pa and 0.7 at 200: besides a look at each row, three or four steps."""
    counted = Counted(exponent)
    airflow_m3s, static_pa = 1.0 - 0.3 * part, 100.0 + 100.0 * part
    answer = meet_system((100.0, 200.0), (1.0, 0.7), static_pa / airflow_m3s**exponent, counted)
    assert answer == pytest.approx((airflow_m3s, static_pa), rel=1e-12)
    assert counted.times <= 2 + steps + (part > 0.5 and steps > 1)


def test_without_ducts_the_air_is_that_of_no_static():
    """A system that asks nothing meets the table where static is nothing: 500.25 rows up, by ten halvings."""
    counted = Counted(2.0)
    flows = tuple(1.0 - 0.0004 * row for row in range(1023))
    answer = meet_system(tuple(static - 501.25 for static in THOUSAND), flows, 0.0, counted)
    assert answer == pytest.approx((1.0 - 0.0004 * 500.25, 0.0), abs=1e-9)
    assert counted.times <= 10


@pytest.mark.parametrize("exponent", [1.0, 1.5, 2.0, 7.0])
@pytest.mark.parametrize("coefficient", [1e100, 1e306, 1.7e308])
@pytest.mark.parametrize("last_m3s", [0.0, 1e-310])
def test_a_system_far_too_steep_takes_the_last_of_the_air(exponent, coefficient, last_m3s):
    """At 11 Pa a system that asks 1e100 Pa of one m3/s and more lets through less than 1e-13 m3/s."""
    answer = meet_system((10.0, 11.0), (2.0, last_m3s), coefficient, exponent)
    assert answer == pytest.approx((0.0, 11.0), abs=1e-13)


@pytest.mark.parametrize("exponent", [1.0, 1.5, 2.0, 3.0])
@pytest.mark.parametrize(("coefficient", "scale"), [(1.0, 1e200), (1.0, 1.4e154), (1.6e308, 1e2)])
def test_figures_near_the_ends_of_what_a_float_holds_are_met_too(coefficient, scale, exponent):
    """A system through the middle of two rows, 0.8 and 0.6 of the airflow at which it asks `scale`."""
    unit_m3s = (scale / coefficient) ** (1 / exponent)
    statics = (0.3 * 0.7**exponent * scale, 1.7 * 0.7**exponent * scale)
    answer = meet_system(statics, (0.8 * unit_m3s, 0.6 * unit_m3s), coefficient, exponent)
    assert answer == pytest.approx((0.7 * unit_m3s, 0.7**exponent * scale), rel=1e-9, abs=0.0)


def test_a_curve_that_is_all_but_a_wall_is_met_too():
    """1e308 q^1100 asks more of 1.01 m3/s than a float holds, of 0.51 next to nothing: s is on both lines."""
    airflow_m3s, static_pa = meet_system((10.0, 11.0), (1.01, 0.51), 1e308, 1100.0)
    assert static_pa == pytest.approx(10.0 + (1.01 - airflow_m3s) / 0.5, rel=1e-12)
    assert math.log(static_pa) == pytest.approx(308 * math.log(10) + 1100 * math.log(airflow_m3s), rel=1e-9)


def test_a_system_may_meet_a_rising_table_at_a_row():
    """200 Pa at 1 m3/s is a row between one that holds less than 200 q asks and one that holds more."""
    assert meet_system((100.0, 200.0, 300.0), (0.75, 1.0, 0.75), 200.0, 1.0) == (1.0, 200.0)


@pytest.mark.parametrize("scale", [0.01, 1.0])
def test_below_the_rooms_static_the_first_stable_point_is_given_too(scale):
    """s = -99.9 q on q = 1 - (s + 100) / 200 gives s = -49.95 / 0.5005; another point lies above -97 Pa."""
    statics, flows = (-100.0, -99.0, -98.0, -97.0, 50.0), (1.0, 0.995, 0.5, 0.4, 0.3)
    static_pa = -49.95 / 0.5005
    answer = meet_system([scale * static for static in statics], flows, -99.9 * scale, 1.0)
    assert answer == pytest.approx((-static_pa / 99.9, scale * static_pa), rel=1e-12)


@pytest.mark.parametrize(
    ("statics", "flows", "name"),
    [
        ((), (), "fan_static"),
        ((50.0,), (0.5,), "fan_static"),
        ((50.0, 100.0), (0.5,), "fan_airflow"),
        ((50.0, 100.0), (0.5, 0.4, 0.3), "fan_airflow"),
        ((50.0, 100.0, 100.0), (0.5, 0.4, 0.3), "fan_static"),
        ((50.0, 100.0, 90.0), (0.5, 0.4, 0.3), "fan_static"),
        ((50.0, math.nan), (0.5, 0.4), "fan_static"),
        ((50.0, math.inf), (0.5, 0.4), "fan_static"),
        ((-math.inf, 50.0), (0.5, 0.4), "fan_static"),
        ((50.0, 100.0), (-0.001, 0.4), "fan_airflow"),
        ((50.0, 100.0), (0.5, math.nan), "fan_airflow"),
        ((50.0, 100.0), (math.inf, 0.5), "fan_airflow"),
    ],
)
def test_a_bad_table_is_refused(statics, flows, name):
    """Too short, out of order, of unequal columns, not finite, or of air that goes backwards."""
    with pytest.raises(CalcError) as caught:
        meet_system(statics, flows, 100.0)
    assert caught.value.input == name


def test_a_row_without_air_is_no_bad_row():
    """A fan may hold its last static against a shut damper."""
    assert meet_system(*SHUT_OFF, 100 / 0.6, 1.0) == pytest.approx((0.3, 50.0))
