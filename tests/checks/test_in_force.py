"""A setting does what it says: its effect is seen, not only its value read back."""

from __future__ import annotations

import pytest

from checks.visits import (
    CLOSING,
    Row,
    all_of,
    choose,
    found,
    happens,
    judged,
    never,
    say,
    undone,
    visit,
)
from support import demo_unit

BAND, STEP = (f"setting.{id}@unit" for id in ("trail", "air-letter"))
USE, THAW = (f"setting.{id}@system" for id in ("bank-use", "thaw-warmth"))
UNIT = demo_unit()
UNSEEN = UNIT.model_copy(
    update={"setting": tuple(s.model_copy(update={"effect": None}) for s in UNIT.setting)}
)
AS_FOUND = (say("blower.static.supply", "0.315 inH2O"), say("blower.static.return", "-0.210 inH2O"))
"""What the blower did before the tier was written: 0.32 in. w.c. of supply, 0.36 foretold."""

ROWS = (
    Row(
        "a tier that moved the static",
        f"SQ-6 {STEP}",
        "pass",
        severity="correct",
        says="0.36 in. w.c. foretold",
    ),
    Row("a tier that moved nothing", f"SQ-6 {STEP}", "fail", AS_FOUND, fields=("blower.static.supply",)),
    Row(
        "half way, one cannot tell",
        f"SQ-6 {STEP}",
        "conditional fail",
        (say("blower.static.supply", "0.337 inH2O"),),
    ),
    Row(
        "half way and a little more",
        f"SQ-6 {STEP}",
        "conditional pass",
        (say("blower.static.supply", "0.340 inH2O"),),
    ),
    Row(
        "not looked for since it was written",
        f"SQ-6 {STEP}",
        "not measured",
        (happens("wrote", setting="air-letter", address="unit", shown="2"),),
        fields=("blower.static.supply",),
    ),
    Row("heat that came on", f"SQ-6 {USE}", "pass", says="seen to act"),
    Row(
        "heat that stayed away",
        f"SQ-6 {USE}",
        "fail",
        (say("heat.path.normal", "no"),),
        fields=("heat.path.normal",),
    ),
    Row("heat not tried", f"SQ-6 {USE}", "not measured", (never("heat.path.normal"),)),
    Row(
        "nothing is to come on",
        f"SQ-6 {THAW}",
        "not applicable",
        (choose("defrost", "no"),),
        says="could be seen",
    ),
    Row("as found unknown", f"SQ-6 {STEP}", "not applicable", (undone("found", setting="air-letter"),)),
    Row(
        "ducts mended since",
        f"SQ-6 {STEP}",
        "not applicable",
        (
            happens(
                "noted",
                text="filter",
                mends="BL-5 unit",
                affects=["blower.static.supply", "blower.static.return"],
            ),
            say("blower.static.supply", "0.30 inH2O"),
            say("blower.static.return", "-0.15 inH2O"),
        ),
    ),
    Row("the maker names no effect", "SQ-6 unit", "not applicable", equipment=UNSEEN, says="maker"),
    Row(
        "nothing written", "SQ-6 unit", "not applicable", (undone("wrote"),), says="Nothing has been written"
    ),
)


@pytest.mark.parametrize("row", ROWS, ids=lambda r: f"{r.key}: {r.behaviour}")
def test_in_force(row: Row) -> None:
    """Each row is one behaviour."""
    row.prove()


def test_what_the_static_is_foretold_by() -> None:
    """Ducts as found, 0.525 in. w.c. at the airflow of the tier found; the tier chosen meets them higher."""
    finding = found()[f"SQ-6 {STEP}"]
    assert finding.value == pytest.approx(0.360 * 249.089, rel=1e-4)
    assert finding.lower is not None
    assert 0.315 * 249.089 < finding.lower < 0.360 * 249.089


def test_a_value_that_waits_for_power_makes_readings_stale_when_power_has_been_off_and_on() -> None:
    """A reading between the write and the power cycle shows what was in force before."""
    waits = next(s for s in UNIT.setting if s.waits)
    topic = next(t for t in UNIT.topic if t.sets(waits.id))
    job = visit()
    changed = [
        id for id, f in job.ledger.fields.items() if topic.role in f.changed_by and job.state.latest(id)
    ]
    job.event("wrote", setting=waits.id, address=waits.address[0], shown=waits.values[0])
    for id in changed[:1]:
        job.enter(id, 1.0)
        assert not job.ledger.stale(id)
    job.event("powered", state="off")
    job.event("powered", state="on")
    assert all(job.ledger.stale(id) for id in changed)
    assert changed or topic.role not in ("blower-tier", "auxiliary-heat")


def test_a_setting_seen_to_do_nothing_keeps_the_record_from_being_signed() -> None:
    """It is a correct: SO-2 names it."""
    findings = judged(visit(*AS_FOUND, all_of(CLOSING)))
    assert not findings["SO-2 unit"].releases
    assert findings[f"SQ-6 {STEP}"].open
