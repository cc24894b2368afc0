"""BS EN 60898-1, preferred rated currents, as an open program's test writes them down from the standard.

github.com/beckykyomugisha/STINGTOOLS, BreakerRatingDataTests. Opened; the standard itself was not.
"""

from __future__ import annotations

import pytest

from asleft.tables import iec_device_sizes

pytestmark = pytest.mark.published


def test_every_preferred_rating():
    """Fourteen, from 6 to 125 A."""
    assert iec_device_sizes() == (6, 8, 10, 13, 16, 20, 25, 32, 40, 50, 63, 80, 100, 125)
