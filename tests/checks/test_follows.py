"""One cause, one finding: what follows from too little current or too few volts waits for that."""

from __future__ import annotations

from asleft.checks import Finding
from checks.visits import Change, found, happens, say

DEAD_STAGE = say("electrical.stage.2.current", "24 A")
"""The blower's and hardly more: stage 2 gives nothing."""
CAUSE = "EL-15 stage.2"


def told(key: str, *changes: Change) -> Finding:
    """The finding, the cause being what it should be."""
    findings = found(*changes)
    assert findings[CAUSE].too_little is (DEAD_STAGE in changes)
    assert findings[key].failed
    return findings[key]


def test_too_little_heat_follows_from_a_dead_stage() -> None:
    """Recorded, with the cause named; without advice and without a repair of its own."""
    finding = told("HS-3 unit", DEAD_STAGE)
    assert finding.follows == CAUSE
    assert finding.text.endswith(f"Follows from {CAUSE}.")
    assert finding.do == ""
    assert not finding.mendable
    assert finding.open


def test_air_that_is_too_hot_follows_from_no_dead_stage() -> None:
    """Less heat makes no hotter air: the hold keeps its own advice and its guard."""
    hot = say("heat.stage.1.leaving_air", "230 degF")
    finding = told("HS-5 stage.1.measured", DEAD_STAGE, hot)
    assert finding.too_much
    assert finding.follows == ""
    assert finding.do
    assert finding.guards == ("signing as commissioned",)
    assert told("HS-5 stage.1.measured", hot).do == finding.do


def test_a_cause_that_was_waived_explains_no_more() -> None:
    """What nobody is going to mend leaves the rest to be dealt with."""
    waived = happens("waived", id="EL-15", subject="stage.2", why="on order")
    finding = told("HS-3 unit", DEAD_STAGE, waived)
    assert finding.follows == ""
    assert finding.do
