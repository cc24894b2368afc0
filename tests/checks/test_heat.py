"""Checks of auxiliary heat and of how long it is held back."""

from __future__ import annotations

import pytest

from asleft.equipment.model import Equipment, When
from checks.visits import Row, choose, found, happens, never, say, undone, with_part
from support import demo_unit

STAGE_1_AMPS, STAGE_2_AMPS = "electrical.stage.1.current", "electrical.stage.2.current"
RETURN, LEAVING = "heat.stage.2.return_air", "heat.stage.2.leaving_air"
LOAD, LOADED = "heat.design_load", "electrical.loaded.l1_l2"
NO_KIT = say("identity.kit", "none")
NO_PUMP = say("identity.outdoor", "none")


def leaving_limit(degf: float) -> Equipment:
    return with_part("limits", leaving_air=(degf - 32) / 1.8)


def heat_for_anyone(*stages: str) -> Equipment:
    """A unit that offers heat whatever kit is fitted, of these stages."""
    unit = demo_unit()
    topic = unit.role("auxiliary-heat")
    assert topic is not None
    both = next(o for o in topic.option if o.id == "both").model_copy(
        update={"when": When(), "value": stages or ("1", "2")}
    )
    open_topic = topic.model_copy(update={"option": (topic.option[0], both)})
    return unit.model_copy(update={"topic": tuple(open_topic if t is topic else t for t in unit.topic)})


def lockout_at(degf: float) -> Equipment:
    """A unit whose option f-35 means another temperature."""
    unit = demo_unit()
    topic = unit.role("outdoor-lockout")
    assert topic is not None
    options = tuple(
        o.model_copy(update={"value": (degf - 32) / 1.8}) if o.id == "f-35" else o for o in topic.option
    )
    changed = topic.model_copy(update={"option": options})
    return unit.model_copy(update={"topic": tuple(changed if t is topic else t for t in unit.topic)})


def only_kit(id: str) -> Equipment:
    """A unit that takes one kit alone."""
    unit = demo_unit()
    return unit.model_copy(update={"heater": tuple(k for k in unit.heater if k.id == id)})


def small_kit_elsewhere() -> Equipment:
    """A unit whose smaller kits are for another supply."""
    unit = demo_unit()
    kits = tuple(k.model_copy(update={"supplies": ("208",)}) if k.power < 9000.0 else k for k in unit.heater)
    return unit.model_copy(update={"heater": kits})


ROWS = (
    Row("a kit and heat", "HS-1 unit", "pass", severity="correct", fields=("choose:auxiliary",)),
    Row("a kit kept off", "HS-1 unit", "fail", (choose("auxiliary", "off"),)),
    Row("no kit, off", "HS-1 unit", "pass", (NO_KIT, choose("auxiliary", "off"))),
    Row("no kit, heat", "HS-1 unit", "fail", (NO_KIT,), heat_for_anyone()),
    Row(
        "not chosen",
        "HS-1 unit",
        "not measured",
        (undone("chose", topic="auxiliary"),),
        fields=("choose:auxiliary",),
    ),
    Row(
        "no such choice",
        "HS-1 unit",
        "not applicable",
        equipment=demo_unit().model_copy(update={"topic": ()}),
    ),
    # 40 000 Btu/h at 5 degF against 26 400 at 35 and 20 600 at 17: they meet at 28.5 degF.
    Row("the lowest above the balance point", "HS-2 unit", "pass", severity="correct", says="30.0"),
    Row("below it", "HS-2 unit", "fail", (choose("lockout", "f-25"),), severity="correct", says="cold"),
    Row("far above it is told", "HS-2 unit", "fail", (choose("lockout", "f-35"),), severity="advise"),
    Row(
        "within 5 degF, but a lower one is offered",
        "HS-2 unit",
        "fail",
        (choose("lockout", "f-35"),),
        lockout_at(32),
        "advise",
    ),
    Row(
        "not chosen",
        "HS-2 unit",
        "not measured",
        (undone("chose", topic="lockout"),),
        fields=("choose:lockout",),
    ),
    Row("load not entered", "HS-2 unit", "not measured", (never(LOAD),), fields=("choose:lockout", LOAD)),
    Row("no heat pump", "HS-2 unit", "not applicable", (NO_PUMP,)),
    Row("no kit", "HS-2 unit", "not applicable", (NO_KIT,)),
    # Design 5 degF: heat pump 14 920 Btu/h, short of 7.35 kW; 9.4 kW at 238 V gives 9.24 kW.
    Row("kit covers what is short", "HS-3 unit", "pass", severity="correct"),
    Row("just covers it", "HS-3 unit", "conditional pass", (say(LOADED, "211 V"),)),
    Row("just does not", "HS-3 unit", "conditional fail", (say(LOADED, "209 V"),)),
    Row(
        "a kit too small",
        "HS-3 unit",
        "fail",
        (say("identity.kit", "ash"), say(STAGE_1_AMPS, "13.0 A"), say(STAGE_2_AMPS, "23.0 A")),
    ),
    # Its own amps count, not its label: 41.0 - 3.3 at 238 V is 8.97 kW, 30.0 - 3.3 is 6.35 kW.
    Row("as much as its amps say", "HS-3 unit", "pass", (say(STAGE_2_AMPS, "41.0 A"),)),
    Row("less than its label by its amps", "HS-3 unit", "fail", (say(STAGE_2_AMPS, "30.0 A"),)),
    Row("one stage alone", "HS-3 unit", "fail", (choose("auxiliary", "first"),)),
    Row("heat off", "HS-3 unit", "fail", (choose("auxiliary", "off"),)),
    Row(
        "nothing from the heat pump below its cut-out",
        "HS-3 unit",
        "fail",
        (say("heat.design_temperature", "-10 F"),),
    ),
    Row("without heat pump the whole load", "HS-3 unit", "fail", (NO_PUMP,)),
    Row("a small load without heat pump", "HS-3 unit", "pass", (NO_PUMP, say(LOAD, "30000 Btu/h"))),
    Row(
        "volts with heat on not read",
        "HS-3 unit",
        "not measured",
        (never(LOADED),),
        fields=("choose:auxiliary", LOADED),
    ),
    Row("no kit", "HS-3 unit", "not applicable", (NO_KIT,)),
    Row("no heat on lost communication", "HS-4 unit", "not applicable", severity="advise"),
    Row("a kit that covers 80 %", "HS-4 unit", "fail", (choose("lost-line", "warm"),)),
    Row(
        "a kit that covers 89 %", "HS-4 unit", "pass", (choose("lost-line", "warm"), say(LOAD, "36000 Btu/h"))
    ),
    Row(
        "not chosen",
        "HS-4 unit",
        "not measured",
        (undone("chose", topic="lost-line"),),
        fields=("choose:lost-line",),
    ),
    Row("no kit", "HS-4 unit", "not applicable", (NO_KIT,)),
    Row("leaving air as predicted", "HS-5 unit.predicted", "pass", severity="hold"),
    Row("too hot as predicted", "HS-5 unit.predicted", "fail", equipment=leaving_limit(105)),
    Row(
        "a maker who does not say",
        "HS-5 unit.predicted",
        "not measured",
        equipment=with_part("limits", leaving_air=None),
        says="maker",
    ),
    Row(
        "supply not said",
        "HS-5 unit.predicted",
        "not measured",
        (never("identity.supply"),),
        fields=("identity.supply",),
    ),
    Row(
        "outdoor unit not said",
        "HS-5 unit.predicted",
        "not measured",
        (never("identity.outdoor"),),
        fields=("identity.outdoor",),
    ),
    Row(
        "statics not taken",
        "HS-5 unit.predicted",
        "not measured",
        (never("blower.static.supply", LEAVING),),
        fields=("blower.static.supply",),
    ),
    Row("no kit", "HS-5 unit.predicted", "not applicable", (NO_KIT,)),
    Row(
        "kit not said",
        "HS-5 unit.predicted",
        "not measured",
        (never("identity.kit"),),
        fields=("identity.kit",),
    ),
    # 96.0 degF measured and the heat pump's 19.4 degF: 115.4 degF, U 1.3 degF.
    Row("leaving air of all stages", "HS-5 stage.2.measured", "pass", severity="hold", says="computed"),
    Row("of the first", "HS-5 stage.1.measured", "pass"),
    Row("just below the limit", "HS-5 stage.2.measured", "conditional pass", equipment=leaving_limit(116)),
    Row("just above it", "HS-5 stage.2.measured", "conditional fail", equipment=leaving_limit(115)),
    Row("too hot", "HS-5 stage.2.measured", "fail", equipment=leaving_limit(110)),
    Row(
        "the first stage may pass where both do not",
        "HS-5 stage.1.measured",
        "pass",
        equipment=leaving_limit(110),
    ),
    Row("heat alone without a heat pump", "HS-5 stage.2.measured", "pass", (NO_PUMP,), leaving_limit(100)),
    Row(
        "a maker who does not say",
        "HS-5 stage.2.measured",
        "not measured",
        equipment=with_part("limits", leaving_air=None),
    ),
    Row("not taken", "HS-5 stage.2.measured", "not measured", (never(LEAVING),), fields=(LEAVING,)),
    Row("tier not in force", "HS-5 stage.2.measured", "not measured", (choose("tier", "full"),)),
    Row("no kit", "HS-5 unit.measured", "not applicable", (NO_KIT,)),
    # 26.0 degF measured, 26.4 predicted, combined U 1.9 degF.
    Row("both ways agree", "HS-6 unit", "pass", severity="correct", says="agree"),
    Row("1.1 degF apart", "HS-6 unit", "pass", (say(LEAVING, "97.5 F"),)),
    Row("2.6 degF apart", "HS-6 unit", "fail", (say(LEAVING, "99.0 F"),), says="differ"),
    Row("half the rise", "HS-6 unit", "fail", (say(LEAVING, "83.6 F"),)),
    # U of the rise: two thermometers good for 0.5 degC each, 2 x 0.5 x root 2 / root 3 = 0.82 K = 1.5 degF.
    Row(
        "inside the unit's rise by less than U",
        "HS-6 unit",
        "conditional pass",
        equipment=with_part("limits", highest_rise=27.0 / 1.8),
    ),
    Row(
        "above the unit's rise by less than U",
        "HS-6 unit",
        "conditional fail",
        equipment=with_part("limits", highest_rise=25.0 / 1.8),
    ),
    Row("above the unit's rise", "HS-6 unit", "fail", equipment=with_part("limits", highest_rise=11.0)),
    Row(
        "no statics with heat on",
        "HS-6 unit",
        "not measured",
        (never("heat.static.supply"),),
        fields=("heat.static.supply",),
    ),
    Row(
        "no second method off the fan table",
        "HS-6 unit",
        "not measured",
        (say("heat.static.supply", "0.01 inH2O"), say("heat.static.return", "-0.01 inH2O")),
    ),
    Row("no kit", "HS-6 unit", "not applicable", (NO_KIT,)),
    Row("blower seen on every path", "HS-10 unit", "pass", severity="hold"),
    Row("one path without", "HS-10 unit", "fail", (say("heat.path.defrost", "no"),), says="defrost"),
    Row(
        "one path not tried",
        "HS-10 unit",
        "not measured",
        (never("heat.path.emergency"),),
        fields=("heat.path.emergency",),
    ),
    Row("no defrost without a heat pump", "HS-10 unit", "pass", (NO_PUMP, never("heat.path.defrost"))),
    Row("no kit", "HS-10 unit", "not applicable", (NO_KIT,)),
    Row(
        "every stage of the kit is set", "HS-9 unit", "pass", severity="correct", fields=("choose:auxiliary",)
    ),
    Row("one is left out", "HS-9 unit", "fail", (choose("auxiliary", "first"),), says="2"),
    Row(
        "a stage that the kit has not",
        "HS-9 unit",
        "fail",
        equipment=heat_for_anyone("1", "2", "3"),
        says="3",
    ),
    Row(
        "chosen and not yet in the control",
        "HS-9 unit",
        "not measured",
        (happens("found", setting="bank-use", address="system", shown="none"),),
    ),
    Row(
        "not chosen",
        "HS-9 unit",
        "not measured",
        (undone("chose", topic="auxiliary"),),
        fields=("choose:auxiliary",),
    ),
    Row("heat off is HS-1's matter", "HS-9 unit", "not applicable", (choose("auxiliary", "off"),)),
    Row("no kit", "HS-9 unit", "not applicable", (NO_KIT,)),
    # 9.45 kW; short of 7.35 kW at 40 000 Btu/h, of 5.40 kW x 1.75 = 9.45 kW at 33 350.
    Row("a kit that fits", "HS-17 unit", "pass", severity="advise"),
    Row("at the limit", "HS-17 unit", "conditional pass", (say(LOAD, "33400 Btu/h"),)),
    Row("just beyond it", "HS-17 unit", "conditional fail", (say(LOAD, "33200 Btu/h"),)),
    Row("a kit far too large", "HS-17 unit", "fail", (say(LOAD, "30000 Btu/h"),), severity="advise"),
    Row(
        "too large, and the smallest offered",
        "HS-17 unit",
        "pass",
        (say(LOAD, "30000 Btu/h"),),
        only_kit("cedar"),
        says="smallest",
    ),
    Row(
        "a smaller one for another supply only",
        "HS-17 unit",
        "pass",
        (say(LOAD, "30000 Btu/h"),),
        small_kit_elsewhere(),
        says="smallest",
    ),
    Row("without heat pump the whole load", "HS-17 unit", "pass", (NO_PUMP,)),
    Row("volts with heat on not read", "HS-17 unit", "not measured", (never(LOADED),), fields=(LOADED,)),
    Row("load not entered", "HS-17 unit", "not measured", (never(LOAD),), fields=(LOAD,)),
    Row("no kit", "HS-17 unit", "not applicable", (NO_KIT,)),
    Row("a delay on offer", "TD-1 unit", "pass", severity="correct", fields=("choose:delay",)),
    Row("one that is not", "TD-1 unit", "fail", (choose("delay", "min-99"),), fields=("choose:delay",)),
    Row(
        "not chosen", "TD-1 unit", "not measured", (undone("chose", topic="delay"),), fields=("choose:delay",)
    ),
    Row("no kit", "TD-1 unit", "not applicable", (NO_KIT,)),
    Row(
        "no such choice",
        "TD-1 unit",
        "not applicable",
        equipment=demo_unit().model_copy(update={"topic": ()}),
    ),
    Row("the room stays warm", "TD-2 unit", "pass", severity="correct"),
    Row("the room goes cold", "TD-2 unit", "fail", (choose("delay", "min-28"),)),
    Row(
        "an owner who allows more",
        "TD-2 unit",
        "pass",
        (choose("delay", "min-28"), say("delay.droop_limit", "3 F")),
    ),
    Row("an owner who allows less", "TD-2 unit", "fail", (say("delay.droop_limit", "1 F"),)),
    Row(
        "not chosen", "TD-2 unit", "not measured", (undone("chose", topic="delay"),), fields=("choose:delay",)
    ),
    Row(
        "floor not entered",
        "TD-2 unit",
        "not measured",
        (never("delay.floor_area"),),
        fields=("delay.floor_area",),
    ),
    Row("no heat pump", "TD-2 unit", "not applicable", (NO_PUMP,)),
    Row("no kit", "TD-2 unit", "not applicable", (NO_KIT,)),
)


@pytest.mark.parametrize("row", ROWS, ids=lambda r: f"{r.key}: {r.behaviour}")
def test_heat(row: Row) -> None:
    """Each row is one behaviour."""
    row.prove()


def test_heat_kept_off_and_off_at_the_control_leaves_nothing_of_heat_to_measure() -> None:
    """What was waived once is not owed again check by check."""
    off = (
        choose("auxiliary", "off"),
        happens("wrote", setting="bank-use", address="system", shown="none"),
        happens("read_back", setting="bank-use", address="system", shown="none"),
    )
    findings = found(*off)
    for key in ("BL-11 unit.measured", "HS-5 stage.1.measured", "HS-6 unit", "HS-10 unit"):
        assert findings[key].verdict == "not applicable", key
    assert findings["HS-1 unit"].verdict == "fail"
    assert findings["BL-11 unit.predicted"].verdict == "pass"


def test_chosen_off_but_still_on_at_the_control_is_measured() -> None:
    """A choice alone switches nothing off."""
    assert found(choose("auxiliary", "off"))["HS-10 unit"].verdict == "pass"


def test_the_balance_point_is_where_load_and_capacity_meet() -> None:
    """By hand, 17 to 35 degF: 20 600 + 322.2 x = (40 000 / 60)(48 - x), x above 17: 28.5 degF."""
    x = (40000 / 60 * 48 - 20600) / ((26400 - 20600) / 18 + 40000 / 60)
    finding = found()["HS-2 unit"]
    assert finding.lower is not None
    assert finding.lower * 1.8 + 32 == pytest.approx(17 + x, abs=0.01)
