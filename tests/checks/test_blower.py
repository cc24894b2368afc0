"""Checks of airflow."""

from __future__ import annotations

import pytest

from checks.visits import Change, Row, choose, found, happens, never, say, undone, use, with_kit, with_part
from support import demo_unit

SUPPLY, RETURN = "blower.static.supply", "blower.static.return"
HEAT_SUPPLY, HEAT_RETURN = "heat.static.supply", "heat.static.return"
DESIGN = "blower.design_airflow"
CFM = 4.719474432e-4


def least(cfm: float | None) -> dict[str, float]:
    return {} if cfm is None else {"upflow": cfm * CFM}


def statics(supply: str, back: str) -> tuple[Change, ...]:
    return (say(SUPPLY, f"{supply} inH2O"), say(RETURN, f"{back} inH2O"))


UNLIMITED = demo_unit().model_copy(
    update={
        "blower": demo_unit().blower.model_copy(
            update={
                "highest_static": None,
                "tier": tuple(t.model_copy(update={"highest_static": None}) for t in demo_unit().blower.tier),
            }
        )
    }
)
NO_TOPIC = demo_unit().model_copy(
    update={"topic": tuple(t for t in demo_unit().topic if t.role != "blower-tier")}
)

# Firm in force: 0.60 in. w.c. at 300 ft gives 1185 cfm by its table, 4 % of it U, 48 cfm; design 1200 cfm.
ROWS = (
    Row("a design that the unit can move", "BL-1 unit", "pass", severity="correct"),
    Row("exactly its highest", "BL-1 unit", "pass", (say(DESIGN, "1450 cfm"),)),
    Row("near its highest", "BL-1 unit", "conditional pass", (say(DESIGN, "1440 ± 30 cfm"),)),
    Row("over it by less than U", "BL-1 unit", "conditional fail", (say(DESIGN, "1460 ± 30 cfm"),)),
    Row("over it", "BL-1 unit", "fail", (say(DESIGN, "1460 cfm"),)),
    Row("not entered", "BL-1 unit", "not measured", (never(DESIGN),), fields=(DESIGN,)),
    Row(
        "a maker who does not say",
        "BL-1 unit",
        "not applicable",
        equipment=with_part("blower", lowest_airflow=None, highest_airflow=None),
    ),
    Row("400 cfm per ton", "BL-2 unit", "pass", severity="advise", says="400 cfm per ton"),
    Row("350 exactly", "BL-2 unit", "pass", (say(DESIGN, "1050 cfm"),)),
    Row("347", "BL-2 unit", "fail", (say(DESIGN, "1041 cfm"),)),
    Row("450 exactly", "BL-2 unit", "pass", (say(DESIGN, "1350 cfm"),)),
    Row("453", "BL-2 unit", "fail", (say(DESIGN, "1359 cfm"),)),
    Row(
        "of the outdoor unit's tons", "BL-2 unit", "fail", (say("identity.outdoor_capacity", "29000 Btu/h"),)
    ),
    Row("outdoor plate not read", "BL-2 unit", "not measured", (never("identity.outdoor_capacity"),)),
    Row("of the unit's own tons", "BL-2 unit", "pass", (say("identity.outdoor", "none"),)),
    Row(
        "no tons on file",
        "BL-2 unit",
        "not applicable",
        (say("identity.outdoor", "none"),),
        with_part("unit", cooling_capacity=None),
    ),
    Row("right signs", "BL-4 unit", "pass", says="0.60 in. w.c."),
    Row("swapped hoses", "BL-4 unit", "fail", statics("-0.24", "0.36"), says="swapped"),
    Row("no minus sign", "BL-4 unit", "fail", statics("0.36", "0.24"), says="minus sign"),
    Row("supply below the room", "BL-4 unit", "fail", statics("-0.10", "-0.24"), says="supply side below"),
    Row("within its uncertainty of nothing", "BL-4 unit", "pass", statics("-0.001", "-0.24")),
    Row("not taken", "BL-4 unit", "not measured", (never(RETURN),), fields=(SUPPLY, RETURN)),
    Row("total within the tier", "BL-5 tier.firm.measured", "pass", severity="correct"),
    Row(
        "total on the tier's highest", "BL-5 tier.firm.measured", "conditional pass", statics("0.50", "-0.40")
    ),
    Row("over it by less than U", "BL-5 tier.firm.measured", "conditional fail", statics("0.505", "-0.40")),
    Row("over it", "BL-5 tier.firm.measured", "fail", statics("0.60", "-0.40")),
    Row(
        "statics older than the tier",
        "BL-5 tier.firm.measured",
        "not measured",
        (happens("wrote", setting="air-band", address="unit", shown="2"),),
        fields=(SUPPLY, RETURN),
    ),
    Row(
        "tier not known",
        "BL-5 unit.measured",
        "not measured",
        (
            undone("found", setting="air-step"),
            undone("wrote", setting="air-step"),
            undone("read_back", setting="air-step"),
        ),
    ),
    Row("a maker who does not say", "BL-5 tier.firm.measured", "not applicable", equipment=UNLIMITED),
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
    Row("another", "BL-8 unit", "fail", (choose("tier", "full"),), says="Firm is recommended"),
    Row(
        "statics stale",
        "BL-8 unit",
        "not measured",
        (happens("wrote", setting="air-band", address="unit", shown="2"),),
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
        (happens("wrote", setting="air-band", address="unit", shown="2"),),
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
    Row("enough air for the kit", "BL-11 unit.predicted", "pass", severity="hold"),
    Row(
        "barely enough",
        "BL-11 unit.predicted",
        "conditional pass",
        equipment=with_kit(least_airflow_in=least(1160)),
    ),
    Row(
        "barely too little",
        "BL-11 unit.predicted",
        "conditional fail",
        equipment=with_kit(least_airflow_in=least(1210)),
    ),
    Row("too little", "BL-11 unit.predicted", "fail", equipment=with_kit(least_airflow_in=least(1300))),
    Row(
        "a maker who does not say",
        "BL-11 unit.predicted",
        "not measured",
        equipment=with_kit(least_airflow_in={}),
        says="maker",
    ),
    Row(
        "orientation not said",
        "BL-11 unit.predicted",
        "not measured",
        (never("identity.orientation"),),
        fields=("identity.orientation",),
    ),
    Row(
        "statics stale",
        "BL-11 unit.predicted",
        "not measured",
        (happens("wrote", setting="air-band", address="unit", shown="2"),),
        fields=(SUPPLY, RETURN),
    ),
    Row(
        "the tier in force where none is chosen",
        "BL-11 unit.predicted",
        "pass",
        (undone("chose", topic="tier"),),
        says="Firm",
    ),
    Row(
        "the tier chosen where it is not in force",
        "BL-11 unit.predicted",
        "pass",
        (choose("tier", "full"),),
        says="Full",
    ),
    Row("no kit", "BL-11 unit.predicted", "not applicable", (say("identity.kit", "none"),)),
    Row(
        "kit not said",
        "BL-11 unit.predicted",
        "not measured",
        (never("identity.kit"),),
        fields=("identity.kit",),
    ),
    Row("measured, enough", "BL-11 unit.measured", "pass", severity="hold"),
    Row(
        "measured, barely enough",
        "BL-11 unit.measured",
        "conditional pass",
        equipment=with_kit(least_airflow_in=least(1160)),
    ),
    Row(
        "measured, too little",
        "BL-11 unit.measured",
        "fail",
        equipment=with_kit(least_airflow_in=least(1300)),
    ),
    Row(
        "measured, maker silent",
        "BL-11 unit.measured",
        "not measured",
        equipment=with_kit(least_airflow_in={}),
    ),
    Row(
        "by rise where statics were not taken",
        "BL-11 unit.measured",
        "pass",
        (never(HEAT_SUPPLY),),
        says="rise",
    ),
    Row(
        "neither",
        "BL-11 unit.measured",
        "not measured",
        (never(HEAT_SUPPLY, "heat.stage.2.leaving_air"),),
        fields=(HEAT_SUPPLY, HEAT_RETURN),
    ),
    Row("another tier chosen", "BL-11 unit.measured", "not measured", (choose("tier", "full"),)),
    Row("no kit", "BL-11 unit.measured", "not applicable", (say("identity.kit", "none"),)),
    Row("statics taken as they should be", "BL-15 unit", "pass", severity="correct", says="coil dry"),
    Row(
        "a panel off",
        "BL-15 unit",
        "fail",
        (say("blower.ready.panels_on", "no"),),
        says="Panels on",
        fields=(SUPPLY, RETURN),
    ),
    Row(
        "coil not noted",
        "BL-15 unit",
        "not measured",
        (never("blower.ready.coil"),),
        fields=("blower.ready.coil",),
    ),
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


def test_thin_air_counts_as_standard_air_for_the_kit() -> None:
    """At 5000 ft pressure is 0.832 of the standard one (ASHRAE Fundamentals ch. 1, table 1)."""
    for subject in ("unit.predicted", "unit.measured"):
        finding = found(say("identity.altitude", "5000 ft"))[f"BL-11 {subject}"]
        assert " x 0.832 = " in finding.working


def test_a_manometer_without_papers_gives_conditional_passes_to_what_rests_on_it() -> None:
    """Predicted and measured alike."""
    again = (use("manometer", "bare", ()), *statics("0.36", "-0.24"))
    findings = found(*again)
    for key in ("BL-4 unit", "BL-5 tier.firm.measured", "BL-7 unit", "BL-9 unit", "BL-11 unit.predicted"):
        assert findings[key].verdict == "conditional pass", key


def test_a_total_adds_both_sides_uncertainties() -> None:
    """One manometer, one gain: 1 % + 0.002 each side; U = 2 a / root 3, added linearly."""
    finding = found()["BL-5 tier.firm.measured"]
    limit = (0.01 * 0.36 + 0.002) + (0.01 * 0.24 + 0.002)
    assert finding.uncertainty == pytest.approx(249.08891 * 2 * limit / 3**0.5, rel=1e-6)
