"""industrialmonitordirect.com, knowledge base, on the unbalance of industrial voltages.

industrialmonitordirect.com/blogs/knowledgebase/industrial-voltage-unbalance-nema-mg1-limits-causes-and-motor-derating.
Seen as an excerpt, the example whole.
"""

from __future__ import annotations

import pytest

from published.printed import printed, result

pytestmark = pytest.mark.published


def test_unbalance_is_not_largest_minus_smallest():
    """480, 476 and 472 V: 4/476, 0.84 %; largest minus smallest would say 1.68 %, called wrong there."""
    unbalance = 100 * result("voltage-unbalance", "unbalance", voltages="480 V,476 V,472 V")
    assert unbalance == printed("0.84")
    assert unbalance != printed("1.68")
