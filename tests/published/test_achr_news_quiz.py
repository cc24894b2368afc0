"""ACHR News, a quiz on electric heaters, article 91057.

achrnews.com/articles/91057-pop-quiz-electric-heaters. Seen as an excerpt: the questions and what they offer;
7511 W and 75.11 % at second hand, from its answers.
"""

from __future__ import annotations

import pytest

from published.printed import printed, result, results

pytestmark = pytest.mark.published


def test_ten_kilowatts_on_208_volts():
    """41.66 A is offered for 240 V, cut from 41.667; on 208 V 5.76 ohm, 36.11 A, 7.5 kW, 7511 W, 75.11 %."""
    assert result("heater-current", "current", power="10 kW", voltage="240 V") == printed("41.66", units=1)
    found = results("heater-power", rated_power="10 kW", rated_voltage="240 V", voltage="208 V")
    assert found["resistance"] == printed("5.76")
    assert found["current"] == printed("36.11")
    assert found["power"] / 1000 == printed("7.5")
    assert found["power"] == printed("7511")
    assert 100 * found["fraction"] == printed("75.11")
