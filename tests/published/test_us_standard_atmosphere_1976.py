"""U.S. Standard Atmosphere, 1976, tables 1 (SI) and 1 (US) of Public Domain Aeronautical Software.

github.com/kurtsansom/pdas, docs/source/atmosTable1SI.rst and atmosTable1US.rst, commit ba3b15da; also
www.pdas.com/atmosTable1SI.html. Opened.

The tables go by geometric altitude; our formula takes geopotential altitude, h = Z R / (R + Z) with the
standard's R of 6356.766 km. Taken so, it agrees to every digit printed. Read without the change, as in use,
it lies a little low.
"""

from __future__ import annotations

import pytest

from published.printed import about, printed, result, tolerance

pytestmark = pytest.mark.published

EARTH_M = 6_356_766.0
PRESSURES = [
    (0, "1.013E+5"),
    (2000, "7.950E+4"),
    (4000, "6.166E+4"),
    (6000, "4.722E+4"),
    (8000, "3.565E+4"),
    (10000, "2.650E+4"),
]


def pressure(altitude_m: float) -> float:
    """Give the standard pressure, Pa, of a geopotential altitude."""
    found = result("standard-pressure", "pressure", altitude=f"{altitude_m!r} m")
    assert isinstance(found, float)
    return found


@pytest.mark.parametrize(("altitude_m", "pascals"), PRESSURES)
def test_pressure_by_geopotential_altitude(altitude_m, pascals):
    """To the last digit printed, once geometric altitude is turned into geopotential altitude."""
    assert pressure(altitude_m * EARTH_M / (EARTH_M + altitude_m)) == printed(pascals)


@pytest.mark.parametrize(("altitude_m", "pascals"), PRESSURES)
def test_an_altitude_off_a_map_reads_a_little_low(altitude_m, pascals):
    """What a person types is geometric: the difference is 0.05 % at 4 km, 0.3 % at 10 km, and on one side."""
    assert pressure(altitude_m) == about(pascals, 0.0005 if altitude_m <= 4000 else 0.003)
    assert pressure(altitude_m) <= float(pascals) + tolerance(pascals)


@pytest.mark.parametrize(("feet", "delta"), [(5000, "8.321E-1"), (10000, "6.878E-1")])
def test_pressure_ratio_in_feet(feet, delta):
    """Table 1 in US units prints p/p0."""
    geopotential = feet * 0.3048 * EARTH_M / (EARTH_M + feet * 0.3048)
    assert pressure(geopotential) / 101325.0 == printed(delta)


@pytest.mark.parametrize(
    ("altitude_m", "kelvin", "density"),
    [(0, "288.1", "1.225E+0"), (2000, "275.2", "1.007E+0"), (4000, "262.2", "8.193E-1")],
)
def test_density_at_the_tables_own_temperature(altitude_m, kelvin, density):
    """Density of dry air; its temperature too is printed to a tenth of a kelvin, which widens it."""
    found = result(
        "air-density",
        "density",
        temperature=f"{float(kelvin) - 273.15!r} degC",
        altitude=f"{altitude_m * EARTH_M / (EARTH_M + altitude_m)!r} m",
    )
    open_k = tolerance(kelvin) / float(kelvin) * float(density)
    assert found == pytest.approx(float(density), abs=tolerance(density) + open_k)
