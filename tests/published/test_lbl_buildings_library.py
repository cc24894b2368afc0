"""Lawrence Berkeley National Laboratory, Buildings library, data of ISO 13790 table 12.

github.com/lbl-srg/modelica-buildings, Buildings/ThermalZones/ISO13790/Data, commit 3682042c: Heavy.mo
opened, Light.mo and Medium.mo seen as excerpts. Very light and very heavy: open-source JavaScript after page
68 of the standard, seen as an excerpt.
"""

from __future__ import annotations

import pytest

from published.printed import printed, result

pytestmark = pytest.mark.published


@pytest.mark.parametrize(
    ("construction", "joules"),
    [
        ("very light", "80000"),
        ("light", "110000"),
        ("medium", "165000"),
        ("heavy", "260000"),
        ("very heavy", "370000"),
    ],
)
def test_heat_capacity_of_a_square_metre(construction, joules):
    """J/K for each square metre of floor."""
    found = result("thermal-capacity", "thermal_capacity", floor_area="1 m2", construction=construction)
    assert found == printed(joules)
