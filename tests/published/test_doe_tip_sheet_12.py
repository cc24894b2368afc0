"""U.S. Department of Energy, Motor Systems Tip Sheet 12, eddy-current drives, Nov 2012, tables 1 to 3.

DOE/GO-102012-3737; energy.gov/sites/prod/files/2014/04/f15/motor_tip_sheet12.pdf. Opened.
"""

from __future__ import annotations

import pytest

from published.printed import printed, result

pytestmark = pytest.mark.published


@pytest.mark.parametrize(("speed", "horsepower"), [("0.9", "36.45"), ("0.8", "25.6"), ("0.7", "17.2")])
def test_shaft_power_of_a_50_hp_fan(speed, horsepower):
    """Tables 2 and 3: shaft power of a centrifugal load at 90, 80 and 70 % of speed."""
    power = result(
        "fan-law", "power", "hp", airflow="1 m3/s", static="1 Pa", power="50 hp", speed_ratio=speed
    )
    assert power == printed(horsepower)


@pytest.mark.parametrize(
    ("speed", "load"),
    [
        ("0.9", "72.9"),
        ("0.8", "51.2"),
        ("0.7", "34.3"),
        ("0.6", "21.6"),
        ("0.5", "12.5"),
        ("0.4", "6.4"),
        ("0.3", "2.7"),
    ],
)
def test_load_in_per_cent_of_full_load(speed, load):
    """Table 1: load at each speed, per cent of full load."""
    typed = {"airflow": "1 m3/s", "static": "1 Pa", "power": "100 W", "speed_ratio": speed}
    assert result("fan-law", "power", "W", **typed) == printed(load)
