"""AHRI 210/240-2017, building load of region IV: 0.77 DHR (65 - T) / (65 - 5).

studylib.net/doc/26309145; its front seen as an excerpt, the building load at second hand. EnergyPlus's
StandardRatings.cc (opened) has the same 0.77 and the same 5 degF for region IV.
"""

from __future__ import annotations

import pytest

from published.printed import printed, result

pytestmark = pytest.mark.published


@pytest.mark.parametrize(("outdoor", "load"), [("47", "8085"), ("17", "21560"), ("5", "26950")])
def test_building_load_line(outdoor, load):
    """For a DHR of 35 kBtu/h: a heat pump that just carries that load has its balance point there."""
    typed = {
        "capacity_47": f"{load} Btu/h",
        "capacity_17": f"{load} Btu/h",
        "design_load": f"{0.77 * 35000!r} Btu/h",
        "design_temperature": "5 degF",
        "zero_load_temperature": "65 degF",
    }
    assert result("balance-point", "temperature", "degF", **typed) == printed(f"{outdoor}.000")
    assert result("balance-point", "load", "Btu/h", **typed) == printed(load)
