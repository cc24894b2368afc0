"""Worked examples of pages that name no author or publisher, kept because they are worked to the end.

jiskha.com/questions/2409670 (a forum); fatskills.com, Trades Math Basics, Wire Sizing and Voltage Drop (a
study guide); open notes on the NEC and open course notes, both without an address. All seen as excerpts;
none of them is counted as a source of its own.
"""

from __future__ import annotations

import pytest

from asleft.quantity import to_unit
from published.printed import printed, result, results

pytestmark = pytest.mark.published


def test_friction_rate():
    """0.18 in. over 285 ft: 0.0632 in. for each 100 ft."""
    found = result(
        "friction-rate",
        "friction_rate",
        "iwc/100ft",
        external_static="0.18 in wc",
        losses="0 in wc",
        total_effective_length="285 ft",
    )
    assert found == printed("0.0632")


def test_voltage_drop():
    """20 A over 100 ft of 12 AWG, 1.98 ohm/kft, on 240 V: 7.92 V, 3.3 %."""
    found = results("voltage-drop", current="20 A", length="100 ft", size="12 AWG", voltage="240 V")
    assert found["drop"] == printed("7.92")
    assert 100 * found["fraction"] == printed("3.3")


def test_next_standard_size():
    """4 AWG of 75 degC carries 85 A, for which a 90 A device is allowed."""
    ampacity = result(
        "conductor-ampacity", "ampacity", size="4 AWG", termination="75 degC", insulation="75 degC"
    )
    assert ampacity == printed("85")
    assert result("overcurrent-device", "size", ampacity="85 A") == printed("90")


def test_twenty_kilowatts_on_208_volts():
    """20 kW takes 83.3 A at 240 V; on 208 V 0.751 of it, 15.0 kW."""
    assert result("heater-current", "current", power="20 kW", voltage="240 V") == printed("83.3")
    found = results("heater-power", rated_power="20 kW", rated_voltage="240 V", voltage="208 V")
    assert found["fraction"] == printed("0.751")
    assert found["power"] / 1000 == printed("15.0")
    # 51,250 Btu/h is printed, from the 15.02 kW already rounded and 3412 a kilowatt.
    assert to_unit(found["power"], "heat_rate", "Btu/h") == pytest.approx(51250, rel=0.005 / 15.02)


def test_150_amperes_is_a_standard_size():
    """An exam bank steps from 150 to 175 A against its own list: not ours."""
    assert result("overcurrent-device", "size", ampacity="150 A") == printed("150")
