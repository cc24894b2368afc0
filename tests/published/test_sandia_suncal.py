"""Sandia National Laboratories, Suncal, test/test_risk.py, test_cpk.

github.com/sandialabs/suncal, commit 0826754d; its comment says that the numbers were compared with a risk
spreadsheet. Opened. It prints the risk r of a normal value lying outside its limits: 1 - r is the
probability of conformity, k = 2 the coverage of our expanded uncertainty.
"""

from __future__ import annotations

import pytest

from published.printed import printed, results

pytestmark = pytest.mark.published


@pytest.mark.parametrize(
    ("value", "risk", "verdict"),
    [
        ("10", ".01242", "pass"),
        ("10.5", ".10574", "conditional pass"),
        ("12.0", ".99379", "fail"),
    ],
)
def test_risk_of_a_process_between_9_and_11(value, risk, verdict):
    """Standard deviation 0.4, so U = 0.8; the verdict follows from the distances to the limits by hand."""
    found = results("conformity", value=value, expanded="0.8", lower="9", upper="11")
    assert 1.0 - found["probability"] == printed(risk)
    assert found["verdict"] == verdict


def test_each_side_carries_half_the_risk_of_a_centred_process():
    """The source prints .00621 for each side."""
    above = results("conformity", value="10", expanded="0.8", upper="11")
    assert 1.0 - above["probability"] == printed(".00621")
