"""U.S. Department of Energy, Motor Systems Tip Sheet 7, "Eliminate Voltage Unbalance", Nov 2012, page 1.

DOE/GO-102012-3733; energy.gov/sites/prod/files/2014/04/f15/eliminate_voltage_unbalanced_motor_systemts7.pdf.
Opened.
"""

from __future__ import annotations

import pytest

from published.printed import printed, result

pytestmark = pytest.mark.published


def test_unbalance_of_three_voltages():
    """462, 463 and 455 V have a mean of 460 V and an unbalance of 1.1 %."""
    unbalance = result("voltage-unbalance", "unbalance", voltages="462 V,463 V,455 V")
    assert 100 * unbalance == printed("1.1")
    assert pytest.approx(unbalance) == (460.0 - 455.0) / 460.0


def test_above_one_per_cent_a_motor_is_derated():
    """The sheet asks for a derating above 1 %, and for none up to it."""
    assert result("voltage-unbalance", "derating", voltages="462 V,463 V,455 V") < 1.0
    assert result("voltage-unbalance", "derating", voltages="460 V,464.6 V,455.4 V") == pytest.approx(1.0)
