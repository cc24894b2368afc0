"""Stallcup's electrical training, "Applying Correction Factors", NEC 310.15(B)(1) and table 310.16.

stallcupeducation.learnworlds.com/blog/applying-correction-factors-article. Seen as an excerpt, the example
whole.
"""

from __future__ import annotations

import pytest

from published.printed import printed, result

pytestmark = pytest.mark.published


def ampacity(conductors: str) -> float:
    """Give the ampacity of 10 AWG copper of 90 degC insulation at 120 degF."""
    found = result(
        "conductor-ampacity",
        "ampacity",
        size="10 AWG",
        termination="75 degC",
        ambient="120 degF",
        conductors=conductors,
    )
    assert isinstance(found, float)
    return found


def test_ambient_correction_alone():
    """40 A x 82 % = 32.8 A."""
    assert ampacity("3") == printed("32.8")


def test_four_conductors_are_also_bundled():
    """The example names four conductors and leaves table 310.15(C)(1) out, being about ambient alone.

    We take its 80 % as well, so for four we differ by just that.
    """
    assert ampacity("4") == pytest.approx(32.8 * 0.80)
