"""T. R. Kuphaldt, Lessons In Electric Circuits, volume I, chapter 2, "Calculating electric power".

Open textbook, ibiblio.org/kuphaldt/electricCircuits/DC; the same text in
github.com/Leeds-Beckett-Engineering/lessons_elec. Opened.
"""

from __future__ import annotations

import pytest

from published.printed import printed, result, results

pytestmark = pytest.mark.published


def test_doubling_the_voltage_on_a_resistor():
    """3 ohm on 18 V takes 6 A and 108 W; on 36 V 12 A and 432 W, four times as much."""
    assert result("heater-current", "current", power="108 W", voltage="18 V") == printed("6")
    found = results("heater-power", rated_power="108 W", rated_voltage="18 V", voltage="36 V")
    assert found["resistance"] == printed("3")
    assert found["current"] == printed("12")
    assert found["power"] == printed("432")
    assert found["fraction"] == printed("4")


def test_a_lamp_of_20_watts():
    """10 V and 2 A are 20 W and 5 ohm."""
    assert result("heater-current", "current", power="20 W", voltage="10 V") == printed("2")
    found = results("heater-power", rated_power="20 W", rated_voltage="10 V", voltage="10 V")
    assert found["resistance"] == printed("5")
