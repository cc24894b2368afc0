"""electrical-contractor.net thread 31601: a meter of 0.7 % and 2 counts."""

from __future__ import annotations

import pytest

from asleft.calc import instrument_uncertainty


def test_limit_of_a_voltmeter():
    """120.0 V read to 0.1 V by 0.7 % + 2 counts lies within 1.04 V."""
    answer = instrument_uncertainty(120.0, 0.7, 2, 0.1)
    assert answer.limit == pytest.approx(1.04)
    assert answer.expanded == pytest.approx(2 * 1.04 / 3**0.5)
