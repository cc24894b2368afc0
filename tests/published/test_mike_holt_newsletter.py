"""Mike Holt Enterprises, newsletter 2089, questions and answers on NEC 2017, October 2019, answer 1.

www.mikeholt.com/newsletters.php?action=display&letterID=2089. Seen as an excerpt, the example whole (it
prints "9,600 kW" where its own division shows 9600 VA).
"""

from __future__ import annotations

import pytest

from published.printed import printed, results

pytestmark = pytest.mark.published


def test_heater_and_blower_on_one_circuit():
    """9600 W at 240 V and 3 A with 60 degC terminals: 43 A, 53.75 A, 6 AWG of 55 A, 60 A."""
    found = results(
        "branch-circuit",
        heater_power="9600 W",
        voltage="240 V",
        blower_current="3 A",
        termination="60 degC",
    )
    assert found["load_current"] == printed("43")
    assert found["minimum_ampacity"] == printed("53.75")
    assert found["overcurrent_device"] == printed("60")
    assert found["conductor"] == "6 AWG"
    ampacity = results("conductor-ampacity", size="6 AWG", termination="60 degC")["ampacity"]
    assert ampacity == printed("55")
