"""ABNT NBR 5410, copper in PVC, reference method C, whose figures are those of IEC 60364-5-52.

As an open program holds them: github.com/Marcelotsvaz/nbr-5410-calculator,
share/data/wireTypes/copper-pvc.json5, commit 07057606. Opened.
"""

from __future__ import annotations

import pytest

from asleft.tables import iec_capacities

pytestmark = pytest.mark.published

SECTIONS_MM2 = ("1.5", "2.5", "4", "6", "10", "16", "25")


@pytest.mark.parametrize(
    ("phases", "amperes"),
    [
        pytest.param(1, (19.5, 27.0, 36.0, 46.0, 63.0, 85.0, 112.0), id="two loaded conductors"),
        pytest.param(3, (17.5, 24.0, 32.0, 41.0, 57.0, 76.0, 96.0), id="three loaded conductors"),
    ],
)
def test_every_capacity_of_method_c(phases, amperes):
    """Each section from 1.5 to 25 mm2, and no other."""
    assert iec_capacities(phases) == {
        f"{section} mm2": value for section, value in zip(SECTIONS_MM2, amperes, strict=True)
    }
