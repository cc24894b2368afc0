"""scipy and numpy as live oracles for curves, roots, heat balances and probabilities, over random inputs."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp
from scipy.optimize import brentq
from scipy.stats import norm, uniform

from asleft.calc import (
    CalcError,
    balance_point,
    conformity,
    delay_droop,
    expanded_from_limit,
    heating_capacity,
    meet_system,
    operating_point,
    recovery_time,
    voltage_unbalance,
)

pytestmark = pytest.mark.independent_library


def celsius(fahrenheit: float) -> float:
    """Give degC."""
    return (fahrenheit - 32.0) / 1.8


FALLING = st.lists(st.tuples(st.floats(1, 60), st.floats(1e-4, 0.08)), min_size=2, max_size=20).map(
    lambda steps: (
        [20.0 + sum(p for p, _ in steps[: n + 1]) for n in range(len(steps))],
        [2.0 - sum(q for _, q in steps[: n + 1]) for n in range(len(steps))],
    )
)
"""Fan tables of 2 to 20 rows, static rising and airflow falling by random steps, never to nothing."""


@settings(deadline=None)
@given(FALLING, st.floats(0.3, 2.5), st.floats(10, 800), st.floats(1, 2.5))
def test_operating_point(table, airflow, static, exponent):
    """brentq on numpy's interpolation finds the same point, or no sign changes and we refuse."""
    statics, flows = table

    def gap(x: float) -> float:
        return x - static * (float(np.interp(x, statics, flows)) / airflow) ** exponent

    ends = gap(statics[0]), gap(statics[-1])
    assume(min(map(abs, ends)) > 1e-6)
    if ends[0] * ends[1] > 0:
        with pytest.raises(CalcError):
            operating_point(statics, flows, airflow, static, exponent)
        return
    met = brentq(gap, statics[0], statics[-1], xtol=1e-12, rtol=1e-14)
    answer = operating_point(statics, flows, airflow, static, exponent)
    assert answer.static_pa == pytest.approx(met, rel=1e-7)
    assert answer.airflow_m3s == pytest.approx(np.interp(met, statics, flows), rel=1e-7)
    through = meet_system(statics, flows, static / airflow**exponent, exponent)
    assert through == answer


CAPACITIES = st.floats(1000, 20000)


@settings(deadline=None)
@given(CAPACITIES, CAPACITIES, CAPACITIES, st.floats(-10, 80))
def test_capacity_at_the_test_points_and_between(high, low, frost, outdoor_f):
    """numpy's interpolation between 17, 35 and 47 degF, the line of 17 and 47 beyond; never below zero."""
    beyond = np.polynomial.Polynomial.fit([17.0, 47.0], [low, high], 1)
    if 17 < outdoor_f < 47:
        expected = float(np.interp(outdoor_f, [17, 35, 47], [low, frost, high]))
    else:
        expected = float(beyond(outdoor_f))
    found = heating_capacity(high, low, frost)(celsius(outdoor_f))
    assert found == pytest.approx(max(0.0, expected), rel=1e-9, abs=1e-6)


@settings(deadline=None)
@given(
    st.floats(6000, 18000),
    st.floats(0.35, 0.95),
    st.one_of(st.none(), st.floats(0.5, 1.0)),
    st.floats(3000, 30000),
    st.floats(-20, 40),
    st.floats(50, 70),
)
def test_balance_point(high, low, frost, load, design_f, zero_f):
    """brentq on each straight piece finds the same points, of which the warmest counts."""
    low_w, frost_w = high * low, None if frost is None else high * frost

    def capacity(outdoor_f: float) -> float:
        if frost_w is not None and 17 < outdoor_f < 47:
            return float(np.interp(outdoor_f, [17, 35, 47], [low_w, frost_w, high]))
        return low_w + (high - low_w) * (outdoor_f - 17) / 30

    def spare(outdoor_f: float) -> float:
        return capacity(outdoor_f) - load * (zero_f - outdoor_f) / (zero_f - design_f)

    pieces = sorted({-60.0, 17.0, 35.0, 47.0, zero_f} - ({f for f in (17.0, 35.0, 47.0) if f >= zero_f}))
    assume(min(abs(spare(f)) for f in pieces) > 1e-3)
    roots = [
        brentq(spare, low_f, high_f, xtol=1e-12)
        for low_f, high_f in pairwise(pieces)
        if spare(low_f) * spare(high_f) < 0
    ]
    answer = balance_point(high, low_w, load, celsius(design_f), celsius(zero_f), frost_w)
    if roots:
        assert answer.temperature_c == pytest.approx(celsius(max(roots)), abs=1e-7)
        assert answer.load_w == pytest.approx(max(0.0, capacity(max(roots))), rel=1e-6, abs=1e-6)
    else:
        assert answer.temperature_c is None
    at_design = max(0.0, capacity(design_f))
    assert answer.design_capacity_w == pytest.approx(at_design, rel=1e-9, abs=1e-6)
    assert answer.auxiliary_power_w == pytest.approx(max(0.0, load - at_design), rel=1e-9, abs=1e-5)


HOUSES = (st.floats(0, 10000), st.floats(50, 800), st.floats(1e6, 6e7))


@settings(max_examples=20, deadline=None)
@given(*HOUSES, st.floats(60, 7200), st.floats(0, 3))
def test_droop(deficit, loss, capacity, seconds, start):
    """scipy integrates C dx/dt = D - UA x to the same droop."""
    found = solve_ivp(
        lambda _, x: (deficit - loss * x) / capacity, (0, seconds), [start], rtol=1e-9, atol=1e-12
    )
    assert delay_droop(deficit, loss, capacity, seconds, start).droop_k == pytest.approx(
        found.y[0, -1], rel=1e-6, abs=1e-9
    )


@settings(max_examples=20, deadline=None)
@given(st.floats(1.05, 10), st.floats(50, 800), st.floats(1e6, 6e7), st.floats(0.5, 8))
def test_recovery(times, loss, capacity, setback):
    """scipy integrates C dx/dt = S - UA x and stops where x has made up the set-back, at the same time."""
    surplus = times * setback * loss

    def there(_: float, x: np.ndarray) -> float:
        return float(x[0]) - setback

    there.terminal = True  # type: ignore[attr-defined]
    span = 20 * capacity / loss
    found = solve_ivp(
        lambda _, x: (surplus - loss * x) / capacity, (0, span), [0.0], events=there, rtol=1e-10, atol=1e-12
    )
    assert recovery_time(surplus, loss, capacity, setback) == pytest.approx(found.t_events[0][0], rel=1e-5)


@settings(deadline=None)
@given(st.floats(440, 480), st.floats(440, 480), st.floats(440, 480))
def test_unbalance_and_derating(first, second, third):
    """numpy's mean and interpolation of the printed curve."""
    volts = np.array([first, second, third])
    unbalance = np.abs(volts - volts.mean()).max() / volts.mean()
    answer = voltage_unbalance([first, second, third])
    assert answer.unbalance == pytest.approx(unbalance, rel=1e-9, abs=1e-12)
    if unbalance < 0.05 - 1e-9:
        curve = np.interp(unbalance, [0, 0.01, 0.02, 0.03, 0.04, 0.05], [1, 1, 0.95, 0.88, 0.82, 0.75])
        assert answer.derating == pytest.approx(curve, abs=1e-9)
    elif unbalance > 0.05 + 1e-9:
        assert answer.derating is None


@settings(deadline=None)
@given(st.floats(-50, 50), st.floats(0.1, 20), st.floats(-40, 0), st.floats(0, 40))
def test_probability_of_conformity(value, expanded, lower, upper):
    """scipy's normal distribution with u = U/2, between both limits and against one."""
    law = norm(value, expanded / 2)
    both = conformity(value, expanded, lower, upper).probability
    assert both == pytest.approx(law.cdf(upper) - law.cdf(lower), abs=1e-12)
    assert conformity(value, expanded, None, upper).probability == pytest.approx(law.cdf(upper), abs=1e-12)
    assert conformity(value, expanded, lower).probability == pytest.approx(law.sf(lower), abs=1e-12)


@settings(deadline=None)
@given(st.floats(1e-3, 1e3))
def test_a_limit_as_a_rectangular_distribution(limit):
    """Twice the standard deviation of scipy's uniform distribution over plus or minus the limit."""
    assert expanded_from_limit(limit) == pytest.approx(2 * uniform(-limit, 2 * limit).std())
    assert math.isclose(uniform(-limit, 2 * limit).mean(), 0.0, abs_tol=1e-9 * limit)
