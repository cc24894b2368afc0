"""electrician2.com, training page 135, voltage drop of a control circuit.

electrician2.com/weltrain05/lpage135.html. Seen as an excerpt, the example whole.
"""

from __future__ import annotations

import pytest

from published.printed import printed, results

pytestmark = pytest.mark.published


def test_control_circuit():
    """16 AWG copper, uncoated and stranded, 100 ft, 4 A on 24 V: 4.0 V.

    It prints 16.7 %, of the 4.0 V already rounded; unrounded, 3.99 V are 16.6 %, and ours is that.
    """
    found = results("voltage-drop", current="4 A", length="100 ft", size="16 AWG", voltage="24 V")
    assert found["drop"] == printed("4.0")
    assert found["drop"] == printed("3.99")
    assert 100 * round(found["drop"], 1) / 24.0 == printed("16.7")
    assert 100 * found["fraction"] == printed("16.6")
