"""SANS 10142-1:2019, table 6.3(a), page 99: multicore PVC cables clipped direct, ambient 30 degC.

As copied in github.com/nic0michael/YouTube-Project-Docs, Standard-electrical-wire-sizes.md. Opened. South
Africa takes these columns over from IEC 60364-5-52, method C, as far as 16 mm2.
"""

from __future__ import annotations

import pytest

from asleft.tables import iec_capacities

pytestmark = pytest.mark.published


@pytest.mark.parametrize(
    ("size", "single_phase", "three_phase"),
    [
        ("1.5 mm2", 19.5, 17.5),
        ("2.5 mm2", 27.0, 24.0),
        ("4 mm2", 36.0, 32.0),
        ("6 mm2", 46.0, 41.0),
        ("10 mm2", 63.0, 57.0),
        ("16 mm2", 85.0, 76.0),
    ],
)
def test_capacity_of_a_cable_clipped_direct(size, single_phase, three_phase):
    """Its single-phase column is that of two loaded conductors, its three-phase that of three."""
    assert (iec_capacities(1)[size], iec_capacities(3)[size]) == (single_phase, three_phase)
