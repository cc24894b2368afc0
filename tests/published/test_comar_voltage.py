"""State of Maryland, COMAR 20.50.07.02, "Voltage Limits", secondary voltages at the service terminals.

www.dsd.state.md.us/comar/comarhtml/20/20.50.07.02.htm. Opened (the whole page). A government's rule that
prints range A of ANSI C84.1 at the service.
"""

from __future__ import annotations

import pytest

from published.printed import printed, results

pytestmark = pytest.mark.published


def limits(nominal: str) -> dict[str, float]:
    """Give range A at the service."""
    return results("supply-limits", nominal=nominal, measured_at="service", range="A")


@pytest.mark.parametrize(
    ("nominal", "lowest", "highest"),
    [
        pytest.param("120 V", "114", "126", id="120"),
        pytest.param("240 V", "228", "252", id="120/240"),
        pytest.param("480 V", "456", "504", id="240/480"),
    ],
)
def test_range_a_at_the_service(nominal, lowest, highest):
    """Whole volts, as printed."""
    found = limits(nominal)
    assert found["lowest"] == printed(lowest)
    assert found["highest"] == printed(highest)


def test_208_volts_is_kept_at_the_exact_ratio():
    """197 and 219 V are printed, rounded outward; 0.95 and 1.05 of 208 lie inside, by less than a volt."""
    found = limits("208 V")
    assert found["lowest"] == pytest.approx(0.95 * 208.0)
    assert found["highest"] == pytest.approx(1.05 * 208.0)
    assert 0.0 <= found["lowest"] - 197.0 < 1.0
    assert 0.0 <= 219.0 - found["highest"] < 1.0


def test_a_states_wider_rule_for_power_services_is_not_ours():
    """For a service without a 120 V leg the state allows 216 to 252 V on 240; C84.1 range A begins at 228."""
    assert limits("240 V")["lowest"] - 216.0 == pytest.approx(12.0)
    assert limits("240 V")["highest"] == printed("252")
