"""forums.mikeholt.com, threads 89927, 78707, 63217 and 111900.

Threads 89927, 63217 and 111900 seen as excerpts; 78707 at second hand.
"""

from __future__ import annotations

import pytest

from published.printed import printed, result, results

pytestmark = pytest.mark.published


def test_thread_89927_fifteen_kilowatts():
    """62.5 A, times 1.25 78.1 A, an 80 A breaker; and above 48 A the elements must be divided."""
    found = results("branch-circuit", heater_power="15 kW", voltage="240 V")
    assert found["load_current"] == printed("62.5")
    assert found["minimum_ampacity"] == printed("78.1")
    assert found["overcurrent_device"] == printed("80")
    assert found["parts"] > 1


def test_thread_78707_five_kilowatts():
    """20.83 A, 26.04 A, 30 A, 10 AWG."""
    found = results("branch-circuit", heater_power="5 kW", voltage="240 V")
    assert found["load_current"] == printed("20.83")
    assert found["minimum_ampacity"] == printed("26.04")
    assert found["overcurrent_device"] == printed("30")
    assert found["conductor"] == "10 AWG"
    assert found["parts"] == printed("1")


def test_thread_63217_five_kilowatts_and_a_blower():
    """5000 W at 240 V and 3 A: 29.79 A, for which the unit's paper says at least 29 A and a 30 A fuse."""
    found = results("branch-circuit", heater_power="5000 W", voltage="240 V", blower_current="3 A")
    assert found["load_current"] == printed("23.833333")
    assert found["minimum_ampacity"] == printed("29.79")
    assert found["overcurrent_device"] == printed("30")


def test_thread_111900_four_conductors():
    """Four 12 AWG of 90 degC insulation: 30 A x .8 = 24 A from the insulation's column, which is right.

    Terminals of 60 degC still allow no more than 20 A.
    """
    found = result("conductor-ampacity", "ampacity", size="12 AWG", termination="90 degC", conductors="4")
    assert found == printed("24")
    capped = result("conductor-ampacity", "ampacity", size="12 AWG", termination="60 degC", conductors="4")
    assert capped == printed("20")
