"""University course, Homework 6: Fan Laws (scribd 262289512)."""

from __future__ import annotations

import pytest

from asleft.calc import fan_law
from asleft.quantity import from_unit, to_unit


def test_slower_fan():
    """A fan of 6000 cfm, 4 in. and 6 hp is slowed from 2000 to 1500 r/min."""
    answer = fan_law(
        from_unit(6000, "airflow", "cfm"),
        from_unit(4, "static_pressure", "in. w.c."),
        from_unit(6, "electric_power", "hp"),
        speed_ratio=1500 / 2000,
    )
    assert to_unit(answer.airflow_m3s, "airflow", "cfm") == pytest.approx(4500, abs=0.5)
    assert to_unit(answer.static_pa, "static_pressure", "in. w.c.") == pytest.approx(2.25, abs=0.005)
    assert to_unit(answer.power_w, "electric_power", "hp") == pytest.approx(2.53, abs=0.005)
