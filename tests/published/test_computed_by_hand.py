"""Answers computed by hand here, from the published rules; and conversions of what common practice offers."""

from __future__ import annotations

import pytest

from asleft.calc import balance_point, delay_droop, thermal_capacity
from asleft.quantity import from_unit, to_unit


def kbtu(value):
    """Give watts for thousands of Btu/h."""
    return from_unit(value, "heat_rate", "kBtu/h")


def fahrenheit(value):
    """Give degC for degF."""
    return from_unit(value, "temperature", "°F")


def test_balance_point():
    """36 k at 47, 22 k at 17, 40 k at 5 °F, zero load at 65 °F."""
    answer = balance_point(kbtu(36), kbtu(22), kbtu(40), fahrenheit(5))
    assert answer.temperature_c is not None
    assert to_unit(answer.temperature_c, "temperature", "°F") == pytest.approx(25.82, abs=0.005)
    assert answer.auxiliary_power_w == pytest.approx(6920, abs=5)


@pytest.mark.parametrize(("minutes", "droop_f"), [(24, 2.3), (11, 1.1)])
def test_droop_of_a_medium_house(minutes, droop_f):
    """2000 ft2 of medium construction, a quarter of its capacity, 23 600 Btu/h short at design."""
    capacity_jk = thermal_capacity(from_unit(2000, "area", "ft2"), "medium")
    assert capacity_jk == pytest.approx(30.7e6, rel=0.002)
    answer = delay_droop(
        from_unit(23600, "heat_rate", "Btu/h"), kbtu(40) / (60 / 1.8), capacity_jk / 4, minutes * 60.0
    )
    assert answer.droop_k * 1.8 == pytest.approx(droop_f, abs=0.05)


@pytest.mark.parametrize(("inches", "pascals"), [(0.3, 75), (0.5, 125), (0.8, 199)])
def test_blower_tiers(inches, pascals):
    """The statics that common practice offers, in pascals."""
    assert from_unit(inches, "static_pressure", "in. w.c.") == pytest.approx(pascals, abs=0.5)
