"""EURACHEM/CITAC Guide CG 4, QUAM 2012, appendix A1, preparation of a calibration standard.

As worked in the documentation of GTC (Measurement Standards Laboratory of New Zealand),
github.com/MSLNZ/GTC, docs/API/CITAC_A1.rst, commit 0295f3ed. Opened.
"""

from __future__ import annotations

import pytest

from published.printed import printed, result

pytestmark = pytest.mark.published

CONCENTRATION_MG_PER_L = 1002.69972
"""As that page computes it, before rounding to 1002.7."""


def test_purity_within_a_limit():
    """0.9999 within 0.0001 either way contributes 0.0578967 mg/L."""
    standard = result(
        "instrument-uncertainty", "standard", reading="0.9999 V", percent="0", absolute="0.0001 V"
    )
    assert standard * CONCENTRATION_MG_PER_L / 0.9999 == printed("0.0578967")


def test_a_flasks_temperature_within_a_limit():
    """100 mL within 0.084 mL either way contributes 0.486284 mg/L."""
    standard = result("instrument-uncertainty", "standard", reading="100 V", percent="0", absolute="0.084 V")
    assert standard * CONCENTRATION_MG_PER_L / 100.0 == printed("0.486284")
