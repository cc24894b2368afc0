"""University course ECE 333, homework 1, spring 2010, problem 1.6, with its solutions.

coursehero.com/file/6165046. Seen as an excerpt, the problem whole.
"""

from __future__ import annotations

import pytest

from published.printed import printed, results

pytestmark = pytest.mark.published


def test_an_element_of_4800_watts_on_208_volts():
    """4800 W at 240 V is 12 ohm, and on 208 V 3605.33 W."""
    found = results("heater-power", rated_power="4800 W", rated_voltage="240 V", voltage="208 V")
    assert found["resistance"] == printed("12")
    assert found["power"] == printed("3605.33")
