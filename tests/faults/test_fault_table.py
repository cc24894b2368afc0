"""A sample of the table of faults: each is found by what it does, and its healthy twin shows none of it."""

from __future__ import annotations

import pytest

from faults.fault_table import met, twins

UNIT = "tarnfield-lowmoor-36"


@pytest.mark.parametrize(
    ("kind", "finding"),
    [
        ("supply-low", "EL-2 unit"),
        ("one-leg-open", "EL-2 unit"),
        ("ground-open", "EL-13 unit"),
        ("element-open", "EL-15 stage.1"),
        ("relay-welded", "EL-22 circuit.1"),
        ("hoses-swapped", "BL-4 unit"),
        ("code-not-stored", "SQ-2 setting.patience@unit"),
    ],
)
def test_a_full_fault_meets_a_finding_that_its_healthy_twin_lacks(kind: str, finding: str) -> None:
    """And the visit ends, signed as not commissioned."""
    found = met(UNIT, kind, 1.0)
    assert finding in found.findings
    assert not any(finding in healthy.failed for _, healthy in twins(UNIT))
    assert found.end == "not commissioned"
    assert not found.trouble


@pytest.mark.parametrize(
    ("kind", "setting"), [("tier-too-low", "air-letter@unit"), ("lockout-too-high", "frost-gate@unit")]
)
def test_a_setting_found_wrong_is_set_right_where_its_healthy_twin_needs_nothing(
    kind: str, setting: str
) -> None:
    """And the visit ends commissioned."""
    found = met(UNIT, kind, 1.0)
    assert setting in found.set_right
    assert found.end == "commissioned"
    assert not found.trouble
