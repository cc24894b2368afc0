"""AHRI 210/240 (2017): building load of region IV, 0.77 DHR (65 - T) / (65 - 5), for a DHR of 35 kBtu/h."""

from __future__ import annotations

import pytest

from asleft.calc import balance_point
from asleft.quantity import from_unit, to_unit


@pytest.mark.parametrize(("outdoor_f", "load"), [(47, 8085), (17, 21560), (5, 26950)])
def test_building_load_line(outdoor_f, load):
    """A heat pump that just carries that load at this temperature has its balance point there."""
    watts = from_unit(load, "heat_rate", "Btu/h")
    answer = balance_point(
        watts,
        watts,
        from_unit(0.77 * 35000, "heat_rate", "Btu/h"),
        from_unit(5, "temperature", "°F"),
    )
    assert answer.temperature_c is not None
    assert answer.load_w is not None
    assert to_unit(answer.temperature_c, "temperature", "°F") == pytest.approx(outdoor_f, abs=1e-6)
    assert to_unit(answer.load_w, "heat_rate", "Btu/h") == pytest.approx(load, rel=1e-9)
