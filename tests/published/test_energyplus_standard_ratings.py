"""EnergyPlus (U.S. Department of Energy, NREL), StandardRatings.cc, constants of AHRI 210/240.

src/EnergyPlus/StandardRatings.cc. Opened. The 2017 and 2023 editions' default fans,
and the standard design heating requirements in W.
"""

from __future__ import annotations

import pytest

from asleft.quantity import from_unit
from published.printed import printed, result

pytestmark = pytest.mark.published


def test_default_fan_of_2017():
    """365 W for 1000 cfm is printed as 773.3 W/(m3/s): cut, not rounded, so a whole unit is left open."""
    found = result("fan-efficacy", "efficacy", "W/(m3/s)", power="365 W", airflow="1000 cfm")
    assert found == printed("773.3", units=1)


def test_default_fan_of_2023():
    """441 W for 1000 cfm is 934.4 W/(m3/s)."""
    found = result("fan-efficacy", "efficacy", "W/(m3/s)", power="441 W", airflow="1000 cfm")
    assert found == printed("934.4")


@pytest.mark.parametrize(
    ("btu_h", "watts", "units"),
    [
        (5000, "1465.36", 0.5),
        (10000, "2930.71", 0.5),
        (15000, "4396.07", 0.5),
        (35000, "10257.49", 0.5),
        # 0.02 W above 130 times the printed thousand: two units of the last digit, by their own rounding.
        (130000, "38099.26", 2.5),
    ],
)
def test_design_heating_requirements_in_watts(btu_h, watts, units):
    """Btu/h turned into W."""
    assert from_unit(btu_h, "heat_rate", "Btu/h") == printed(watts, units)
