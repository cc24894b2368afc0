"""MetPy (Unidata, UCAR), tests/calc/test_basic.py, test_heights_to_pressure_basic.

github.com/Unidata/MetPy. Seen as an excerpt: both arrays whole.
"""

from __future__ import annotations

import pytest

from published.printed import printed, result

pytestmark = pytest.mark.published


@pytest.mark.parametrize(
    ("height", "millibars"), [("321.5", "975.2"), ("216.5", "987.5"), ("487.6", "956."), ("601.7", "943.")]
)
def test_pressure_at_a_height(height, millibars):
    """Heights in metres to pressures in mbar, as printed; a bare point means no decimal."""
    assert result("standard-pressure", "pressure", "mbar", altitude=f"{height} m") == printed(millibars)
