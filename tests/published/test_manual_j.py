"""ACCA Manual J table 10A, altitude correction, as coded in the open OpenStudio-HPXML of NREL."""

from __future__ import annotations

import pytest

from asleft.calc import pressure_ratio, sensible_heat

FACTORS = [1.00, 0.97, 0.93, 0.89, 0.87, 0.84, 0.80, 0.77, 0.75, 0.72, 0.69, 0.66, 0.63]


@pytest.mark.parametrize(("thousands_ft", "factor"), list(enumerate(FACTORS)))
def test_altitude_factor(thousands_ft, factor):
    """The table lies within 0.01 of p/p0, and sensible heat follows it."""
    altitude_m = thousands_ft * 304.8
    assert pressure_ratio(altitude_m) == pytest.approx(factor, abs=0.01)
    at_site = sensible_heat(0.5, 10.0, altitude_m)
    assert at_site / sensible_heat(0.5, 10.0) == pytest.approx(factor, abs=0.01)
