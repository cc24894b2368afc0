"""A fan table's slope by hand, at its ends too."""

from __future__ import annotations

from math import inf, nextafter

import pytest

from asleft.installation.fans import FanTable

TABLE = FanTable((100.0, 200.0, 300.0), (0.5, 0.3, 0.2), (), (), 1.0, 1.0)
"""Airflow falls 0.2 m3/s over the first 100 Pa, 0.1 m3/s over the next."""


@pytest.mark.parametrize(
    ("static_pa", "expected"),
    [
        (nextafter(100.0, 0.0), -0.002),
        (100.0, -0.002),
        (150.0, -0.002),
        (200.0, -0.0015),
        (250.0, -0.001),
        (300.0, -0.001),
        (nextafter(300.0, inf), -0.001),
    ],
)
def test_the_slope_is_that_of_the_piece_and_at_an_end_that_of_the_outermost(
    static_pa: float, expected: float
) -> None:
    """In a row between two pieces it is their mean; rounding past an end changes nothing."""
    assert TABLE.slope_at(static_pa) == pytest.approx(expected, rel=1e-12)
