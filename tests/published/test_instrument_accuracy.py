"""electrical-contractor.net, a meter of 0.7 % and 2 counts on 120 V.

www.electrical-contractor.net/forums/ubbthreads.php/posts/31601.html. Seen as an excerpt, the example whole.
"""

from __future__ import annotations

import pytest

from published.printed import printed, results

pytestmark = pytest.mark.published


def test_limit_of_a_voltmeter():
    """120 V read to 0.1 V lies between 118.96 and 121.04 V."""
    typed = {"reading": "120.0 V", "percent": "0.7", "counts": "2", "resolution": "0.1 V"}
    found = results("instrument-uncertainty", typed)
    assert 120.0 - found["limit"] == printed("118.96")
    assert 120.0 + found["limit"] == printed("121.04")
    assert found["limit"] == printed("1.04")
    assert found["expanded"] == pytest.approx(2 * 1.04 / 3**0.5)
