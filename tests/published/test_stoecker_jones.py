"""W. F. Stoecker and J. W. Jones, Refrigeration and Air Conditioning, 2nd edition, chapter 6, a problem.

"Fan and Duct Systems", at numerade.com/books/chapter/fan-and-duct-systems. Seen as an excerpt: the problem
and its printed answer.
"""

from __future__ import annotations

import pytest

from published.printed import printed, result

pytestmark = pytest.mark.published


def test_a_fan_in_warmer_air():
    """20 r/s, 2.4 m3/s, 340 Pa, 1.8 kW at 20 degC: at 40 degC and the same speed 1.685 kW."""
    density = (20.0 + 273.15) / (40.0 + 273.15)
    typed = {"airflow": "2.4 m3/s", "static": "340 Pa", "power": "1.8 kW", "density_ratio": repr(density)}
    assert result("fan-law", "power", "kW", **typed) == printed("1.685")
    assert result("fan-law", "airflow", "m3/s", **typed) == printed("2.4")
