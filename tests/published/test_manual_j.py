"""ACCA Manual J, table 10A, altitude correction factors, as the open OpenStudio-HPXML of NREL codes it.

github.com/NREL/resstock, HPXMLtoOpenStudio/resources/hvac_sizing.rb. Seen as an excerpt, the row whole.
"""

from __future__ import annotations

import pytest

from published.printed import result

pytestmark = pytest.mark.published

FACTORS = [
    "1.0",
    "0.97",
    "0.93",
    "0.89",
    "0.87",
    "0.84",
    "0.80",
    "0.77",
    "0.75",
    "0.72",
    "0.69",
    "0.66",
    "0.63",
]


@pytest.mark.parametrize(("thousands_ft", "factor"), list(enumerate(FACTORS)))
def test_altitude_factor(thousands_ft, factor):
    """Sensible heat follows the table within 0.01.

    The table prints two digits and steps unevenly, as no smooth atmosphere does, so one unit of
    the last digit is allowed where half would be usual.
    """
    typed = {"airflow": "1000 cfm", "temperature_change": "20 degF"}
    at_site = result("sensible-heat", "heat_rate", **typed, altitude=f"{thousands_ft * 1000} ft")
    ratio = at_site / result("sensible-heat", "heat_rate", **typed)
    assert ratio == pytest.approx(float(factor), abs=0.01)
    pressure = result("standard-pressure", "pressure", altitude=f"{thousands_ft * 1000} ft")
    assert ratio == pytest.approx(pressure / 101325.0)
