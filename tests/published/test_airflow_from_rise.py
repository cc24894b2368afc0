"""Measuring airflow by the rise of electric heat, as worked on iheatcool.com."""

from __future__ import annotations

import pytest

from asleft.calc import airflow_from_rise
from asleft.quantity import from_unit, to_unit


def test_a_heater_read_by_volts_and_amperes():
    """235 V and 75 A raise the air from 74 to 110 °F: 60 171 Btu/h (at 3.414 a watt) and 1548 cfm.

    With the source's own rounded 3.414 put in, the figures hold to the digits printed.
    """
    watts = 235.0 * 75.0 * 3.414 / to_unit(1.0, "heat_rate", "Btu/h")
    assert to_unit(watts, "heat_rate", "Btu/h") == pytest.approx(60171, abs=1)
    rise_k = from_unit(110.0, "temperature", "°F") - from_unit(74.0, "temperature", "°F")
    assert to_unit(airflow_from_rise(watts, rise_k), "airflow", "cfm") == pytest.approx(1548, abs=0.5)
