"""tools.gera.services, AC voltage imbalance calculator, its worked example.

tools.gera.services/ac-voltage-imbalance-calculator. Seen as an excerpt, the example whole.
"""

from __future__ import annotations

import pytest

from published.printed import about, printed, result

pytestmark = pytest.mark.published


def test_unbalance_and_derating():
    """460, 467 and 450 V: 9/459, 1.96 %; "near 0.95" is a reading of NEMA MG 1's curve, good to 0.02."""
    assert 100 * result("voltage-unbalance", "unbalance", voltages="460 V,467 V,450 V") == printed("1.96")
    assert result("voltage-unbalance", "derating", voltages="460 V,467 V,450 V") == about("0.95", 0.02)
