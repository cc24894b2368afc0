"""NIST Technical Note 1297 (1994), appendix D.2, table D.1: the GUM's end-gauge example H.1.

nist.gov/pml/nist-technical-note-1297/nist-tn-1297-appendix-d2-identification-uncertainty-components, opened
(the section whole); inputs as in the documentation of GTC (Measurement Standards Laboratory of New Zealand),
github.com/MSLNZ/GTC, docs/API/GUM_H1.rst, commit 6d606b14, opened.

Two of its components are rectangular, as an instrument's limit is: the standard uncertainty of each, times
how far the gauge's length follows it, is the printed contribution in nanometres.
"""

from __future__ import annotations

import pytest

from published.printed import printed, result

pytestmark = pytest.mark.published

LENGTH_NM = 50_000_623.0


def test_difference_in_temperature_of_the_gauges():
    """Within 0.05 degC either way: 16.6 nm, and 16.599 by GTC, at 11.5e-6 /K."""
    standard = result(
        "instrument-uncertainty", "standard", reading="20 degC", percent="0", absolute="0.05 degC"
    )
    assert standard * LENGTH_NM * 11.5e-6 == printed("16.6")
    assert standard * LENGTH_NM * 11.5e-6 == printed("16.599")


def test_difference_in_expansion_of_the_gauges():
    """Within 1e-6 /K either way: 2.9 nm, and 2.88679 by GTC, at 0.1 K from 20 degC."""
    standard = result("instrument-uncertainty", "standard", reading="1 V", percent="0", absolute="1e-6 V")
    assert standard * LENGTH_NM * 0.1 == printed("2.9")
    assert standard * LENGTH_NM * 0.1 == printed("2.88679")
