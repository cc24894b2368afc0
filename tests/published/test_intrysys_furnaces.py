"""intrysys.com, table of electric furnaces. Seen at second hand."""

from __future__ import annotations

import pytest

from published.printed import printed, results

pytestmark = pytest.mark.published


def test_ten_kilowatts_without_a_blower():
    """41.67 A, 52.08 A, 60 A, 6 AWG at 60 degC."""
    found = results("branch-circuit", heater_power="10 kW", voltage="240 V")
    assert found["load_current"] == printed("41.67")
    assert found["minimum_ampacity"] == printed("52.08")
    assert found["overcurrent_device"] == printed("60")
    assert found["conductor"] == "6 AWG"
