"""Ampacity of bundled conductors as worked in public places; each case names its own."""

from __future__ import annotations

import pytest

from asleft.calc import conductor_ampacity


@pytest.mark.parametrize(
    ("conductors", "ampacity_a"),
    [
        pytest.param(9, 21.0, id="EC&M, Code Q&A 84: nine 12 AWG of 90 degC insulation"),
        pytest.param(4, 24.0, id="forums.mikeholt.com thread 111900: four 12 AWG of 90 degC insulation"),
    ],
)
def test_bundled_twelve_gauge(conductors, ampacity_a):
    """The factor applies to the 90 degC column; 75 degC terminals do not bind here, 60 degC ones do."""
    kept = conductor_ampacity("12 AWG", termination_c=75.0, conductors=conductors)
    assert kept == pytest.approx(ampacity_a)
    assert conductor_ampacity("12 AWG", conductors=conductors) == 20.0
