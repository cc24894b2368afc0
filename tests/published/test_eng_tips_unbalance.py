"""eng-tips.com, threads on voltage unbalance of motors.

Thread 481112 prints the example and the limits of NEMA MG 1; seen as an excerpt. The derating curve as a
member read it off the figure; seen at second hand.
"""

from __future__ import annotations

import pytest

from published.printed import printed, result

pytestmark = pytest.mark.published


def unbalance_typed(percent: float) -> str:
    """Type three voltages of a mean of 480 V whose unbalance is this, per cent."""
    off = percent / 100
    return f"480 V,{480 * (1 - off)!r} V,{480 * (1 + off)!r} V"


def test_unbalance():
    """462, 463 and 455 V: 5/460, printed 1.1 % on the page and 1.09 % by the calculation that it shows."""
    unbalance = 100 * result("voltage-unbalance", "unbalance", voltages="462 V,463 V,455 V")
    assert unbalance == printed("1.1")
    assert unbalance == printed("1.09")


@pytest.mark.parametrize(
    ("percent", "lowest", "highest"),
    [(1, "1.00", "1.00"), (2, ".95", ".95"), (3, ".88", ".89"), (4, ".82", ".82"), (5, ".75", ".76")],
)
def test_derating_as_read_off_the_curve(percent, lowest, highest):
    """NEMA MG 1's curve is read to 0.02, so the reading binds no closer than that."""
    derating = result("voltage-unbalance", "derating", voltages=unbalance_typed(percent))
    assert float(lowest) - 0.02 <= derating <= float(highest) + 0.02


def test_beyond_five_per_cent_there_is_no_derating():
    """Above 5 % a motor is not to be run, so no factor is given."""
    assert result("voltage-unbalance", "derating", voltages=unbalance_typed(5.1)) is None
