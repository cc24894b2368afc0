"""Answers worked out here from the published rules; and conversions of what common practice offers."""

from __future__ import annotations

import pytest

from published.printed import printed, result, results

pytestmark = pytest.mark.own_arithmetic


def test_balance_point():
    """36 k at 47, 22 k at 17, 40 k at 5 degF, zero load at 65 degF.

    Load 2/3 k a degree below 65, capacity 22 k + 7/15 k a degree above 17: 43.333 - 22 + 7.9333 = 34/30 T, so
    25.82 degF. Capacity at 5 degF is 16.4 k, the rest 23.6 k, which is 6.92 kW.
    """
    found = {
        "capacity_47": "36 kBtu/h",
        "capacity_17": "22 kBtu/h",
        "design_load": "40 kBtu/h",
        "design_temperature": "5 degF",
        "zero_load_temperature": "65 degF",
    }
    assert result("balance-point", "temperature", "degF", **found) == printed("25.82")
    assert result("balance-point", "load", "Btu/h", **found) == pytest.approx(40000 * (65 - 439 / 17) / 60)
    assert result("balance-point", "design_capacity", "Btu/h", **found) == printed("16400")
    assert result("balance-point", "auxiliary_power", "kW", **found) == printed("6.92")


@pytest.mark.parametrize(("minutes", "droop", "inside"), [("24", "2.3", False), ("11", "1.1", True)])
def test_droop_of_a_medium_house(minutes, droop, inside):
    """2000 ft2 of medium construction, a quarter of its 30.7 MJ/K, 23 600 Btu/h short at design.

    Common practice shortens a 24-minute delay to 11 minutes in such a house: over and inside 2 degF.
    """
    capacity_jk = result("thermal-capacity", "thermal_capacity", floor_area="2000 ft2", construction="medium")
    assert capacity_jk / 1e6 == printed("30.7")
    found = result(
        "delay-droop",
        "droop",
        "degF",
        deficit="23600 Btu/h",
        heat_loss_coefficient=f"{40000 / 60!r} Btu/h/delta_degF",
        thermal_capacity=f"{capacity_jk / 4!r} J/K",
        delay=f"{minutes} min",
    )
    assert found == printed(droop)
    assert (found <= 2.0) is inside


@pytest.mark.parametrize(("inches", "pascals"), [("0.3", "75"), ("0.5", "125"), ("0.8", "199")])
def test_blower_tiers(inches, pascals):
    """The statics that common practice offers, in pascals."""
    found = result("total-external-static", "total", "Pa", **{"supply": f"{inches} in wc", "return": "0 Pa"})
    assert found == printed(pascals)


def test_exactly_48_amperes_is_not_divided():
    """11.52 kW at 240 V is 48.0 A, its circuit 60.0 A, and neither is stepped over; a watt more is."""
    found = results("branch-circuit", heater_power="11.52 kW", voltage="240 V")
    assert found["load_current"] == printed("48.0")
    assert found["minimum_ampacity"] == printed("60.0")
    assert found["overcurrent_device"] == 60.0
    assert found["parts"] == 1
    more = results("branch-circuit", heater_power="11521 W", voltage="240 V")
    assert (more["overcurrent_device"], more["conductor"], more["parts"]) == (70.0, "4 AWG", 2)
