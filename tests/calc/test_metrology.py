"""Uncertainty and verdicts."""

from __future__ import annotations

import math
import statistics

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import norm
from uncertainties import ufloat

from asleft.calc import (
    CalcError,
    Measured,
    airflow_from_rise,
    combine,
    conductor_ampacity,
    conformity,
    expanded_from_limit,
    instrument_uncertainty,
    mean_of_readings,
    system_curve,
)

ORDER = ["fail", "conditional fail", "conditional pass", "pass"]


@pytest.mark.parametrize(
    ("value", "expanded", "lower", "upper", "verdict"),
    [
        (238.0, 1.8, 216.0, 252.0, "pass"),
        (250.2, 1.8, 216.0, 252.0, "pass"),
        (250.3, 1.8, 216.0, 252.0, "conditional pass"),
        (252.0, 1.8, 216.0, 252.0, "conditional pass"),
        (252.1, 1.8, 216.0, 252.0, "conditional fail"),
        (253.8, 1.8, 216.0, 252.0, "conditional fail"),
        (253.9, 1.8, 216.0, 252.0, "fail"),
        (216.0, 1.8, 216.0, 252.0, "conditional pass"),
        (214.1, 1.8, 216.0, None, "fail"),
        (238.0, 0.0, 216.0, 252.0, "pass"),
        (252.0, 0.0, None, 252.0, "pass"),
        (216.0, 0.0, 216.0, 252.0, "pass"),
        (252.001, 0.0, None, 252.0, "fail"),
        (0.1 + 0.2, 0.0, None, 0.3, "pass"),
        (0.1 + 0.2, 0.01, None, 0.3, "conditional pass"),
        (0.1 + 0.2, 0.1, None, 0.4, "pass"),
        (0.3, 0.1, 0.1 + 0.1, None, "pass"),
        (0.7, 0.1, None, 0.6, "conditional fail"),
        (234.0, 30.0, 216.0, 252.0, "conditional pass"),
        (0.0, 0.0, 0.0, 0.0, "pass"),
    ],
)
def test_verdict(value, expanded, lower, upper, verdict):
    """Guard band U against each limit, exact edges included."""
    assert conformity(value, expanded, lower, upper).verdict == verdict


@pytest.mark.parametrize(
    ("value", "lower", "upper", "verdict"),
    [
        (1_000_000.3, 0.0, 1_000_000.4, "pass"),
        (-1_000_000.3, -1_000_000.4, None, "pass"),
        (-1_000_000.3, -1_000_000.4, 0.0, "pass"),
        (1_000_000.31, 0.0, 1_000_000.4, "conditional pass"),
        (1_000_000.5, 0.0, 1_000_000.4, "conditional fail"),
        (1_000_000.51, 0.0, 1_000_000.4, "fail"),
    ],
)
def test_rounding_is_forgiven_in_the_measure_of_the_numbers(value, lower, upper, verdict):
    """0.1 inside with U = 0.1 is a pass however large the number; a hundredth nearer or farther is not."""
    assert conformity(value, 0.1, lower, upper).verdict == verdict


@pytest.mark.parametrize(
    ("value", "expanded", "lower", "verdict"),
    [
        (0.3, 0.1 + 0.2, 0.0, "pass"),
        (0.3, 0.3 + 1e-9, 0.0, "conditional pass"),
        (100_000.4, 0.3, 100_000.1, "pass"),
        (1e-13, 0.0, 2e-13, "fail"),
        (-0.1 - 0.2, 0.3, 0.0, "conditional fail"),
        (-0.3 - 1e-9, 0.3, 0.0, "fail"),
        (-1.0 - 1e-12, 1.0, 0.0, "conditional fail"),
        (-1e-13, 1.0, 0.0, "conditional fail"),
    ],
)
def test_rounding_is_that_of_limit_and_uncertainty(value, expanded, lower, verdict):
    """0.1 + 0.2 is 0.3 at a limit of zero too, a hundred thousand loses digits, and a tiny miss is a miss."""
    assert conformity(value, expanded, lower).verdict == verdict
    assert conformity(-value, expanded, upper=-lower).verdict == verdict


def test_rounding_of_a_large_limit_forgives_nothing_at_a_small_one():
    """Outside the small limit without any uncertainty is a fail, wherever the other limit is."""
    assert conformity(0.0, 0.0, 1e-9, 1e6) == ("fail", 0.0, -1e-9)


@pytest.mark.parametrize(
    ("value", "lower", "upper", "probability"),
    [
        (238.0, 216.0, 252.0, 1.0),
        (252.0, 216.0, 252.0, 1.0),
        (216.0, 216.0, None, 1.0),
        (215.9, 216.0, 252.0, 0.0),
        (253.0, 216.0, 252.0, 0.0),
        (216.5, 216.0, None, 1.0),
        (252.5, None, 252.0, 0.0),
    ],
)
def test_without_uncertainty_there_is_no_doubt(value, lower, upper, probability):
    """Inside or on a limit for certain, outside either one for certain not."""
    assert conformity(value, 0.0, lower, upper).probability == probability


@pytest.mark.parametrize(
    ("value", "expanded", "lower", "upper", "probability"),
    [
        (252.0, 2.0, None, 252.0, 0.5),
        (251.0, 2.0, None, 252.0, 0.8413447),
        (250.0, 2.0, None, 252.0, 0.9772499),
        (253.0, 2.0, None, 252.0, 0.1586553),
        (217.0, 2.0, 216.0, None, 0.8413447),
        (217.0, 2.0, 216.0, 218.0, 0.6826895),
        (300.0, 2.0, 216.0, 252.0, 0.0),
    ],
)
def test_probability_by_the_printed_table(value, expanded, lower, upper, probability):
    """A table of the normal distribution has 0.8413 at one standard deviation and 0.9772 at two; u is U/2."""
    assert conformity(value, expanded, lower, upper).probability == pytest.approx(probability, abs=1e-7)


@given(st.floats(-100, 100), st.floats(0.01, 50), st.floats(-100, 0), st.floats(0, 100))
def test_probability_agrees_with_scipy(value, expanded, lower, upper):
    """The normal distribution of scipy with u = U/2 (independent implementation)."""
    u = expanded / 2
    expected = norm.cdf((upper - value) / u) - norm.cdf((lower - value) / u)
    answer = conformity(value, expanded, lower, upper)
    assert answer.probability == pytest.approx(expected, abs=1e-12)
    assert answer.margin == pytest.approx(min(value - lower, upper - value), abs=1e-9)


@given(st.floats(-100, 100), st.floats(0, 50), st.floats(0, 50), st.floats(-50, 50))
def test_a_better_instrument_never_turns_a_pass_into_less(value, small, more, upper):
    """With less uncertainty a pass stays a pass and a fail stays a fail."""
    good, poor = conformity(value, small, upper=upper), conformity(value, small + more, upper=upper)
    if poor.verdict in ("pass", "fail"):
        assert good.verdict == poor.verdict


@given(st.floats(-100, 100), st.floats(0, 20), st.floats(-50, 50), st.floats(0, 10))
def test_a_wider_limit_is_never_harder(value, expanded, upper, wider):
    """Moving a limit outwards never worsens the verdict."""
    tight, loose = conformity(value, expanded, upper=upper), conformity(value, expanded, upper=upper + wider)
    assert ORDER.index(loose.verdict) >= ORDER.index(tight.verdict)


@given(st.floats(-100, 100), st.floats(0, 20), st.floats(-50, 50))
def test_upper_and_lower_mirror_each_other(value, expanded, limit):
    """What holds above holds below."""
    above = conformity(value, expanded, upper=limit)
    below = conformity(-value, expanded, lower=-limit)
    assert above.verdict == below.verdict
    assert above.probability == pytest.approx(below.probability)


@given(st.floats(0.1, 10), st.floats(0.1, 10), st.floats(0.001, 0.05), st.floats(0.001, 0.05))
def test_combine_agrees_with_uncertainties(x, y, u_x, u_y):
    """First-order propagation as the uncertainties library does it (independent implementation)."""
    answer = combine(lambda a, b: a**2 / b + a, Measured(x, 2 * u_x), Measured(y, 2 * u_y))
    a, b = ufloat(x, u_x), ufloat(y, u_y)
    expected = a**2 / b + a
    assert answer.value == pytest.approx(expected.nominal_value)
    assert answer.expanded == pytest.approx(2 * expected.std_dev, rel=1e-6)


@given(st.floats(2000, 20000), st.floats(5, 40), st.floats(1, 200), st.floats(0.05, 1))
def test_airflow_from_rise_propagates(power_w, rise_k, u_power, u_rise):
    """Airflow from rise carries the uncertainty of power and rise (independent implementation)."""
    answer = combine(airflow_from_rise, Measured(power_w, 2 * u_power), Measured(rise_k, 2 * u_rise))
    expected = ufloat(power_w, u_power) / ufloat(rise_k, u_rise)
    scale = answer.value / expected.nominal_value
    assert answer.expanded == pytest.approx(2 * expected.std_dev * scale, rel=1e-6)


def test_combine_at_the_edge_of_validity_uses_one_side():
    """At zero airflow, below which nothing is valid, the slope is taken from above."""
    answer = combine(lambda flow: system_curve(1.0, 100.0, flow, 1.0), Measured(0.0, 0.02))
    assert answer == pytest.approx((0.0, 2.0), abs=1e-6)


@pytest.mark.parametrize("hundredths", range(1, 100))
def test_limits_that_coincide_leave_no_probability(hundredths):
    """Never less than none, although 1 - Q(z) - Q(-z) is in binary often a hair below zero."""
    probability = conformity(hundredths / 100, 2.0, 0.0, 0.0).probability
    assert 0.0 <= probability <= 1e-15


@pytest.mark.parametrize("value", [1e6, -1e6, 1e-6, -1e-6, 0.0, 240.0])
@pytest.mark.parametrize("expanded", [1e-6, 0.01, 1e3])
def test_combine_sees_a_slope_at_any_size(value, expanded):
    """Twice a value is known twice as badly, whether the value or its uncertainty is the larger by far."""
    answer = combine(lambda x: 2.0 * x, Measured(value, expanded))
    assert answer.value == 2.0 * value
    assert answer.expanded == pytest.approx(2.0 * expanded, rel=1e-3)


def test_combine_at_a_lower_and_at_an_upper_edge():
    """Where the one or the other side is refused, the slope is that of the side which is not."""

    def up_to_one(x):
        if x > 1.0:
            raise CalcError("x", "beyond the edge", "at most 1")
        return 3.0 * x

    assert combine(up_to_one, Measured(1.0, 0.1)) == pytest.approx((3.0, 0.3), rel=1e-6)
    assert combine(lambda x: -up_to_one(-x), Measured(-1.0, 0.1)) == pytest.approx((-3.0, 0.3), rel=1e-6)


def test_combine_leaves_an_exact_input_where_it_is():
    """What has no uncertainty is never varied: the function is asked once for it, twice for each other."""
    asked = []

    def product(a, b):
        asked.append((a, b))
        return a * b

    assert combine(product, Measured(2.0, 0.0), Measured(3.0, 0.1)) == pytest.approx((6.0, 0.2), rel=1e-6)
    assert [a for a, _ in asked] == [2.0, 2.0, 2.0]


def test_combine_carries_nothing_from_a_class():
    """A terminal's rating of 75 degC stands for itself, refused on either side: it adds no uncertainty."""
    answer = combine(
        lambda rating_c: conductor_ampacity("6 AWG", termination_c=rating_c), Measured(75.0, 2.0)
    )
    assert answer == Measured(65.0, 0.0)


def test_combine_without_uncertainty_has_none():
    """Exact inputs give an exact result."""
    assert combine(lambda a, b: a * b, Measured(2.0, 0.0), Measured(3.0, 0.0)) == Measured(6.0, 0.0)


@given(st.lists(st.floats(200, 260), min_size=2, max_size=20), st.floats(0, 3))
def test_mean_of_readings_joins_scatter_and_instrument(readings, standard):
    """The standard deviation of the mean joins the instrument's part in quadrature."""
    answer = mean_of_readings(readings, standard)
    scatter = statistics.stdev(readings) / math.sqrt(len(readings))
    assert answer.value == pytest.approx(statistics.fmean(readings))
    assert answer.expanded == pytest.approx(2 * math.hypot(standard, scatter), abs=1e-9)


def test_one_reading_has_no_scatter():
    """A single reading has the instrument's uncertainty alone."""
    assert mean_of_readings([238.0], 0.5) == Measured(238.0, 1.0)


def test_readings_of_a_perfect_instrument_have_their_scatter_alone():
    """1, 2 and 3 have a standard deviation of 1, their mean one of 1/sqrt3."""
    assert mean_of_readings([1.0, 2.0, 3.0]) == pytest.approx((2.0, 2 / math.sqrt(3)))
    assert mean_of_readings([7.0]) == (7.0, 0.0)


@pytest.mark.parametrize(
    ("arguments", "limit"),
    [
        ((200.0, 1.5), 3.0),
        ((200.0, 1.5, 4), 3.0),
        ((200.0, 1.5, 4, 0.5), 5.0),
        ((-200.0, 1.5, 4, 0.5, 2.0), 7.0),
        ((200.0, 0.0, 3, 0.1), 0.3),
        ((200.0, 0.0, 0, 0.1, 0.25), 0.25),
    ],
)
def test_accuracy_statements_by_hand(arguments, limit):
    """1.5 % of 200 is 3, four counts of 0.5 are 2, and a fixed part of 2 makes 7; U is 2/sqrt3 of it."""
    answer = instrument_uncertainty(*arguments)
    assert answer == pytest.approx((limit, limit / math.sqrt(3), 2 * limit / math.sqrt(3)))


def test_percent_is_of_the_magnitude():
    """A negative reading has the same uncertainty as a positive one."""
    assert instrument_uncertainty(-120.0, 0.7, 2, 0.1) == instrument_uncertainty(120.0, 0.7, 2, 0.1)
    assert instrument_uncertainty(0.0, 0.0, absolute=3.0).expanded == pytest.approx(expanded_from_limit(3.0))


@pytest.mark.parametrize(
    ("function", "arguments", "name"),
    [
        (conformity, (1.0, 1.0), "lower"),
        (conformity, (1.0, 1.0, 3.0, 2.0), "lower"),
        (conformity, (1.0, -1.0, 0.0), "expanded"),
        (conformity, (math.nan, 1.0, 0.0), "value"),
        (conformity, (1.0, 1.0, None, math.inf), "upper"),
        (instrument_uncertainty, (120.0, -1.0), "percent"),
        (instrument_uncertainty, (120.0, 1.0, 1.5, 0.1), "counts"),
        (instrument_uncertainty, (120.0, 1.0, 1, -0.1), "resolution"),
        (instrument_uncertainty, (120.0, 1.0, 0, 0.0, -1.0), "absolute"),
        (mean_of_readings, ([],), "readings"),
        (mean_of_readings, ([1.0], -0.1), "instrument_standard"),
        (mean_of_readings, ([1.0], math.nan), "instrument_standard"),
        (expanded_from_limit, (-0.1,), "limit"),
        (mean_of_readings, ([math.nan],), "readings"),
    ],
)
def test_refuses(function, arguments, name):
    """Each is refused, and the input at fault is named."""
    with pytest.raises(CalcError) as caught:
        function(*arguments)
    assert caught.value.input == name
