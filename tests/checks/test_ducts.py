"""Checks of the ducts: what was asked of them, and what the statics say of them."""

from __future__ import annotations

import pytest

from checks.air import DESIGN, RETURN, SUPPLY, statics
from checks.visits import Row, choose, found, happens, never, say, undone, use, with_part
from support import demo_unit

NEW, DESIGNED = "blower.ducts.new", "blower.ducts.design"
DESIGN_STATIC, LOSSES = "blower.ducts.static", "blower.ducts.losses"
LENGTH = "blower.ducts.effective_length"

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

# Papers: 0.55 in. w.c., 0.20 of it lost in parts, 350 ft: 0.35 x 100 / 350 = 0.100 in. w.c. per 100 ft.
# Total 0.60 in. w.c. with the tier chosen; new ducts may ask for 0.55 + 0.1375.
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
        (happens("wrote", setting="air-letter", address="unit", shown="d"),),
        fields=(SUPPLY, RETURN),
    ),
    Row(
        "tier not known",
        "BL-5 unit.measured",
        "not measured",
        (
            undone("found", setting="air-letter"),
            undone("wrote", setting="air-letter"),
            undone("read_back", setting="air-letter"),
        ),
    ),
    Row("a maker who does not say", "BL-5 tier.firm.measured", "not applicable", equipment=UNLIMITED),
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
        "a manometer that nobody zeroed",
        "BL-15 unit",
        "fail",
        (say("blower.open_port", "-0.05 inH2O"),),
        says="-0.05 in. w.c. ± 0.00 in. w.c., outside -0.02 in. w.c. to 0.02 in. w.c.",
        fields=("blower.open_port", SUPPLY, RETURN),
    ),
    Row(
        "off by all that it may be",
        "BL-15 unit",
        "conditional pass",
        (say("blower.open_port", "0.02 inH2O"),),
    ),
    Row(
        "another manometer, not read with its ports open",
        "BL-15 unit",
        "not measured",
        (use("manometer", "other", ()),),
        fields=("blower.open_port",),
    ),
    Row(
        "coil not noted",
        "BL-15 unit",
        "not measured",
        (never("blower.ready.coil"),),
        fields=("blower.ready.coil",),
    ),
    Row("a third of an inch for 350 ft", "BL-3 unit", "pass", severity="advise", says="0.100 in. w.c. per"),
    Row("the most there should be", "BL-3 unit", "pass", (say(DESIGN_STATIC, "0.83 inH2O"),)),
    Row(
        "near the most, the papers doubtful",
        "BL-3 unit",
        "conditional pass",
        (say(DESIGN_STATIC, "0.82 ± 0.03 inH2O"),),
    ),
    Row(
        "over it within that doubt",
        "BL-3 unit",
        "conditional fail",
        (say(DESIGN_STATIC, "0.84 ± 0.03 inH2O"),),
    ),
    Row("ducts so small that they whistle", "BL-3 unit", "fail", (say(LENGTH, "150 ft"),), says="outside"),
    Row("ducts too long for the blower", "BL-3 unit", "fail", (say(LENGTH, "600 ft"),), says="outside"),
    Row("more lost in parts than there is", "BL-3 unit", "fail", (say(LOSSES, "0.60 inH2O"),)),
    Row("length left out", "BL-3 unit", "not measured", (never(LENGTH),), fields=(LENGTH,)),
    Row(
        "nobody said whether there is a design",
        "BL-3 unit",
        "not measured",
        (never(DESIGNED),),
        fields=(DESIGNED,),
    ),
    Row("no design at hand", "BL-3 unit", "not applicable", (say(DESIGNED, "no"),)),
    Row("new ducts as designed", "BL-6 unit", "pass", severity="correct", says="at most 0.69 in. w.c."),
    Row("on the most allowed", "BL-6 unit", "conditional pass", statics("0.4275", "-0.26")),
    Row("over it by less than U", "BL-6 unit", "conditional fail", statics("0.435", "-0.26")),
    Row("over it", "BL-6 unit", "fail", statics("0.46", "-0.26"), fields=(SUPPLY, RETURN)),
    Row(
        "a tenth of an inch where that is more than a quarter",
        "BL-6 unit",
        "conditional pass",
        (say(DESIGN_STATIC, "0.30 inH2O"), *statics("0.20", "-0.20")),
        says="at most 0.40 in. w.c.",
    ),
    Row(
        "not with the tier chosen",
        "BL-6 unit",
        "not measured",
        (choose("tier", "full"),),
        says="not in force",
    ),
    Row("statics not taken", "BL-6 unit", "not measured", (never(SUPPLY),), fields=(SUPPLY, RETURN)),
    Row("nobody said whether they are new", "BL-6 unit", "not measured", (never(NEW),), fields=(NEW,)),
    Row("old ducts", "BL-6 unit", "not applicable", (say(NEW, "no"),)),
    Row("new ducts without papers", "BL-6 unit", "not applicable", (say(DESIGNED, "no"),)),
)


@pytest.mark.parametrize("row", ROWS, ids=lambda r: f"{r.key}: {r.behaviour}")
def test_ducts(row: Row) -> None:
    """Each row is one behaviour."""
    row.prove()


def test_a_total_adds_both_sides_uncertainties() -> None:
    """One manometer, one gain: 1 % + 0.002 each side; U = 2 a / root 3, added linearly."""
    finding = found()["BL-5 tier.firm.measured"]
    limit = (0.01 * 0.36 + 0.002) + (0.01 * 0.24 + 0.002)
    assert finding.uncertainty == pytest.approx(249.08891 * 2 * limit / 3**0.5, rel=1e-6)
