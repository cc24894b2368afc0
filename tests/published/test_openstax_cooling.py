"""OpenStax, College Algebra with Corequisite Support, section 6.7, Newton's law of cooling.

github.com/Stefan-Coetzee/osbooks-college-algebra-bundle, md_algebra/modules/m49367/index.md, commit
0cbe8c10 (openstax.org; Precalculus 4.7 is the same text). Example 16 and Try It 17. Opened.

A body cooling towards its surroundings is a house whose heat is off: with any UA, the deficit at the start is
UA times the difference from the surroundings.
"""

from __future__ import annotations

import math

import pytest

from published.printed import printed, result

pytestmark = pytest.mark.published

UA_W_PER_K = 1000.0


def droop_f(minutes: float) -> float:
    """Give how far example 16's body, of 165 degF in 35 degF, has cooled, degF.

    Its time constant comes of the reading that the example states: 150 degF after 10 minutes.
    """
    tau_s = 600.0 / math.log((165.0 - 35.0) / (150.0 - 35.0))
    found = result(
        "delay-droop",
        "droop",
        "degF",
        deficit=f"{UA_W_PER_K * 130.0 / 1.8!r} W",
        heat_loss_coefficient=f"{UA_W_PER_K} W/K",
        thermal_capacity=f"{UA_W_PER_K * tau_s!r} J/K",
        delay=f"{minutes} min",
    )
    assert isinstance(found, float)
    return found


def test_example_16_cools_as_the_reading_says():
    """150 degF after 10 minutes is given, and found again."""
    assert 165.0 - droop_f(10) == printed("150")


def test_example_16_reaches_70_degrees_after_107_minutes():
    """About 107 minutes is printed: the temperature passes 70 degF within half a minute of that."""
    assert 165.0 - droop_f(106.5) > 70.0 > 165.0 - droop_f(107.5)


def test_example_16_prints_its_rounded_rate_too():
    """106.68 comes of k rounded to 0.0123; with the k as it is the time is 107.03, and ours follows that."""
    assert math.log((70.0 - 35.0) / (165.0 - 35.0)) / -0.0123 == printed("106.68")
    assert 165.0 - droop_f(106.68) > 70.0 + 0.1


def test_try_it_17_takes_six_hours():
    """A pitcher of 40 degF in 70 degF, at 45 degF after an hour, is at 60 degF after 6.026 hours."""
    tau_s = 3600.0 / math.log(30.0 / 25.0)
    hours = result(
        "recovery-time",
        "time",
        "h",
        surplus=f"{UA_W_PER_K * 30.0 / 1.8!r} W",
        heat_loss_coefficient=f"{UA_W_PER_K} W/K",
        thermal_capacity=f"{UA_W_PER_K * tau_s!r} J/K",
        setback="20 degF",
    )
    assert hours == printed("6.026")
