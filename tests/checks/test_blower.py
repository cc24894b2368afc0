"""Checks of the tier: which one it is, what it gives, and what that costs."""

from __future__ import annotations

import pytest

from asleft.equipment.model import Equipment
from checks.air import CFM, DESIGN, NO_TOPIC, RETURN, SUPPLY, statics
from checks.visits import Change, Row, choose, found, happens, never, say, undone, use, with_part
from support import demo_unit

WIDTH, HEIGHT = "blower.filter.width", "blower.filter.height"


def watts(typed: str) -> tuple[Change, ...]:
    """The blower's power by a clamp that measures power to 2 %."""
    clamp = use("clamp", "clamp-2", ("current 0.5 % + 1 x 0.01 A", "electric_power 2 %"))
    return (clamp, say("blower.power", typed))


def powerless() -> Equipment:
    """The demo unit, its fan tables without a column of power."""
    blower = demo_unit().blower
    tiers = tuple(
        t.model_copy(
            update={
                "speed": tuple(
                    s.model_copy(update={"rows": tuple(r._replace(power_w=None) for r in s.rows)})
                    for s in t.speed
                )
            }
        )
        for t in blower.tier
    )
    return demo_unit().model_copy(update={"blower": blower.model_copy(update={"tier": tiers})})


# Firm in force: 0.60 in. w.c. at 300 ft gives 1185 cfm by its table, 4 % of it U, 48 cfm; design 1200 cfm.
# It takes some 452 W: 0.38 W/cfm. The filter has 32 x 25 in., 5.56 ft2: 213 ft/min.
ROWS = (
    Row("the tier chosen will do", "BL-7 unit", "pass", severity="correct", fields=("choose:tier",)),
    Row("just inside", "BL-7 unit", "conditional pass", (choose("tier", "hush"),), says="Hush"),
    Row(
        "a tier too low",
        "BL-7 unit",
        "fail",
        (say(DESIGN, "1300 cfm"), choose("tier", "hush")),
        fields=("choose:tier",),
    ),
    Row("not chosen", "BL-7 unit", "not measured", (undone("chose", topic="tier"),), fields=("choose:tier",)),
    Row("statics not taken", "BL-7 unit", "not measured", (never(SUPPLY),), fields=("choose:tier", SUPPLY)),
    Row("no choice of tier", "BL-7 unit", "not applicable", equipment=NO_TOPIC),
    Row("the tier recommended", "BL-8 unit", "pass", severity="advise", says="Hush"),
    Row("another", "BL-8 unit", "fail", (choose("tier", "mild"),), says="Firm is recommended"),
    Row("another, as near within U", "BL-8 unit", "pass", (choose("tier", "full"),), says="as near"),
    Row(
        "statics stale",
        "BL-8 unit",
        "not measured",
        (happens("wrote", setting="air-letter", address="unit", shown="f"),),
    ),
    Row("no choice of tier", "BL-8 unit", "not applicable", equipment=NO_TOPIC),
    Row("airflow as designed", "BL-9 unit", "pass", severity="correct"),
    Row("a little less", "BL-9 unit", "conditional pass", statics("0.50", "-0.35")),
    Row("less by less than U", "BL-9 unit", "conditional fail", statics("0.53", "-0.37")),
    Row("too little", "BL-9 unit", "fail", statics("0.56", "-0.40")),
    Row(
        "the unit's range binds",
        "BL-9 unit",
        "fail",
        equipment=with_part("blower", highest_airflow=1100 * CFM),
    ),
    Row("a design outside it", "BL-9 unit", "fail", (say(DESIGN, "2000 cfm"),), says="may move"),
    Row("another tier chosen", "BL-9 unit", "not measured", (choose("tier", "full"),), says="not in force"),
    Row(
        "no tier chosen",
        "BL-9 unit",
        "not measured",
        (undone("chose", topic="tier"),),
        fields=("choose:tier",),
    ),
    Row(
        "statics stale",
        "BL-9 unit",
        "not measured",
        (happens("wrote", setting="air-letter", address="unit", shown="f"),),
        fields=(SUPPLY, RETURN),
    ),
    Row(
        "off the fan table at both speeds",
        "BL-9 unit",
        "conditional pass",
        (
            *statics("0.01", "-0.01"),
            say("heat.static.supply", "0.01 inH2O"),
            say("heat.static.return", "-0.01 inH2O"),
        ),
        says="rise",
    ),
    # The rise was taken at the heating speed; sqrt(0.02 / 0.6) of that is no design airflow.
    Row("off the fan table in cooling alone", "BL-9 unit", "fail", statics("0.01", "-0.01"), says="rise"),
    Row("a filter large enough", "BL-12 unit", "pass", severity="advise", says="213 ft/min"),
    Row("nearly too small", "BL-12 unit", "conditional pass", (say(WIDTH, "23.1 in"),)),
    Row("a little too small", "BL-12 unit", "conditional fail", (say(WIDTH, "22.4 in"),)),
    Row("too small", "BL-12 unit", "fail", (say(WIDTH, "20 in"), say(HEIGHT, "20 in")), says="427 ft/min"),
    Row(
        "the unit's own filter may take less",
        "BL-12 unit",
        "fail",
        equipment=with_part("blower", filter_velocity=1.0),
        says="maker allows",
    ),
    Row("width not taken", "BL-12 unit", "not measured", (never(WIDTH),), fields=(WIDTH,)),
    Row("another tier chosen", "BL-12 unit", "not measured", (choose("tier", "full"),), says="not in force"),
    Row("good", "BL-13 unit", "pass", severity="advise", says="is good"),
    Row("measured, and no more than allowed", "BL-13 unit", "pass", watts("600 W"), says="A good one takes"),
    Row("measured, near the most", "BL-13 unit", "conditional pass", watts("680 W")),
    Row("measured, a little more", "BL-13 unit", "conditional fail", watts("700 W")),
    Row("measured, too much", "BL-13 unit", "fail", watts("800 W"), fields=("blower.power",)),
    Row(
        "measured by a clamp that says nothing of power",
        "BL-13 unit",
        "conditional pass",
        (say("blower.power", "450 W"),),
    ),
    Row("statics not taken", "BL-13 unit", "not measured", (never(SUPPLY),), fields=(SUPPLY,)),
    Row("no power in the tables", "BL-13 unit", "not applicable", equipment=powerless()),
    Row("none there, and measured", "BL-13 unit", "pass", watts("450 W"), powerless()),
)


@pytest.mark.parametrize("row", ROWS, ids=lambda r: f"{r.key}: {r.behaviour}")
def test_blower(row: Row) -> None:
    """Each row is one behaviour."""
    row.prove()


def test_where_even_the_best_tier_fails_the_ducts_are_to_be_mended_and_nothing_chosen_anew() -> None:
    """Then the finding rests on the statics alone."""
    finding = found(say(DESIGN, "1700 cfm"), choose("tier", "full"))["BL-7 unit"]
    assert finding.verdict == "fail"
    assert finding.fields == (SUPPLY, RETURN)
    assert finding.mendable


def test_a_manometer_without_papers_gives_conditional_passes_to_what_rests_on_it() -> None:
    """Predicted and measured alike."""
    again = (use("manometer", "bare", ()), *statics("0.36", "-0.24"))
    findings = found(*again)
    for key in ("BL-4 unit", "BL-5 tier.firm.measured", "BL-7 unit", "BL-9 unit", "BL-11 unit.predicted"):
        assert findings[key].verdict == "conditional pass", key


def test_efficacy_by_the_table_knows_power_and_airflow_each_to_its_accuracy() -> None:
    """Both columns are known to 4 %, and one static gave both: root 2 x 4 %, and a little for the static."""
    finding = found()["BL-13 unit"]
    assert finding.value is not None
    assert finding.uncertainty is not None
    assert 0.04 * 2**0.5 < finding.uncertainty / finding.value < 0.0575
