"""Checks of what the blower draws, and of the clamp that reads it."""

from __future__ import annotations

import pytest

from checks.visits import Row, found, never, say, use, with_part

AMPS, TRUE = "electrical.blower.current", "electrical.clamp.true_rms"

# The clamp is good for 0.5 % + 0.01 A: at 4.3 A U is 0.036 A.
ROWS = (
    Row("below full load", "EL-16 unit", "pass", severity="correct"),
    Row("at full load", "EL-16 unit", "conditional pass", (say(AMPS, "4.30 A"),)),
    Row("above it by less than U", "EL-16 unit", "conditional fail", (say(AMPS, "4.32 A"),)),
    Row("above it", "EL-16 unit", "fail", (say(AMPS, "4.40 A"),)),
    Row("not read", "EL-16 unit", "not measured", (never(AMPS),), fields=(AMPS,)),
    Row(
        "full load not on file",
        "EL-16 unit",
        "not applicable",
        equipment=with_part("blower", full_load_current=None),
    ),
    Row("true r.m.s.", "EL-24 unit", "pass", severity="advise", says="The clamp"),
    Row("an average", "EL-24 unit", "fail", (say(TRUE, "no"),), says="no true r.m.s."),
    Row("not said", "EL-24 unit", "not measured", (never(TRUE),), fields=(TRUE,)),
    Row(
        "another clamp, not said of it",
        "EL-24 unit",
        "not measured",
        (use("clamp", "clamp-2", ("current 1 %",)),),
        fields=(TRUE,),
    ),
    Row(
        "another motor",
        "EL-24 unit",
        "not applicable",
        equipment=with_part("blower", motor="permanent-split-capacitor"),
    ),
    Row("motor not on file", "EL-24 unit", "not applicable", equipment=with_part("blower", motor=None)),
)


@pytest.mark.parametrize("row", ROWS, ids=lambda r: f"{r.key}: {r.behaviour}")
def test_currents(row: Row) -> None:
    """Each row is one behaviour."""
    row.prove()


def test_another_meter_does_not_ask_for_the_clamp_again() -> None:
    """Only another clamp makes what was said of the clamp stale."""
    assert found(use("meter", "meter-2", ("voltage 1 %",)))["EL-24 unit"].verdict == "pass"
