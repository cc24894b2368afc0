"""NIST Special Publication 811, appendix B.9, as the R package NISTunits (CRAN) codes it.

github.com/TypeFox/R-Examples, NISTunits/R/NISTfactors.R. Opened.
"""

from __future__ import annotations

import pytest

from asleft.quantity import from_unit
from published.printed import printed

pytestmark = pytest.mark.published


@pytest.mark.parametrize(
    ("kind", "unit", "factor"),
    [
        pytest.param("static_pressure", "inH2O", "249.0889", id="inch of water, conventional, in Pa"),
        pytest.param("airflow", "ft3/min", "0.0004719474", id="cubic foot per minute in m3/s"),
        pytest.param("heat_rate", "ton", "3516.853", id="ton of refrigeration in W"),
    ],
)
def test_a_factor(kind, unit, factor):
    """One of the unit, in the base unit, agrees to the last digit printed."""
    assert from_unit(1.0, kind, unit) == printed(factor)


@pytest.mark.parametrize(("at", "factor"), [("39.2 degF", "249.082"), ("60 degF", "248.84")])
def test_our_inch_of_water_is_the_conventional_one(at, factor):
    """Water at a real temperature is lighter: its inch, printed beside ours, is another unit."""
    assert from_unit(1.0, "static_pressure", "inH2O") != printed(factor), at
    assert from_unit(1.0, "static_pressure", "inH2O") > float(factor)
