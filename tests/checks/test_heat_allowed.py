"""Checks of when the control lets heat come on."""

from __future__ import annotations

from math import log

import pytest

from asleft.equipment.model import Equipment
from checks.visits import Row, choose, found, never, say, undone, with_part
from support import demo_unit

NO_KIT, NO_PUMP = say("identity.kit", "none"), say("identity.outdoor", "none")
NO_TOPICS = demo_unit().model_copy(update={"topic": ()})
LOAD = "heat.design_load"
CUT_OUT = "heat.outdoor.cut_out"
ALONE_COMPRESSOR, ALONE_KIT = "heat.ordinary.compressor", "heat.ordinary.auxiliary"
ALONE = (choose("lost-line", "warm"), say(LOAD, "36000 Btu/h"))
STATICS = ("blower.static.supply", "blower.static.return")


def lockouts(differential_k: float | None, **pump: float | None) -> Equipment:
    """The demo unit with another differential of the auxiliary lockout, and another cut-out."""
    unit = with_part("heat_pump", **pump)
    topics = tuple(
        t.model_copy(update={"differential": differential_k}) if t.role == "outdoor-lockout" else t
        for t in unit.topic
    )
    return unit.model_copy(update={"topic": topics})


def celsius(degf: float) -> float:
    return (degf - 32.0) / 1.8


# The demo unit: lockout 30 degF chosen, differential 3 degF; cut-out -4 degF, differential 5 degF.
# A light house at the highest lockout: see test_the_recovery_is_the_sum_that_anybody_can_repeat.
WARM_LOCKOUT = choose("lockout", "f-50")
LIGHT = say("delay.construction", "very light")

ROWS = (
    # 18 000 Btu/h / (1.08 x 1198 cfm x 0.989) = 14.1 degF below the return, 70 degF.
    Row("warm in defrost", "HS-7 unit", "pass", severity="advise", says="55.9", fields=("choose:defrost",)),
    Row("cold by choice is told", "HS-7 unit", "fail", (choose("defrost", "no"),), severity="advise"),
    Row(
        "a defrost that hardly cools",
        "HS-7 unit",
        "conditional fail",
        (choose("defrost", "no"),),
        with_part("heat_pump", defrost_heat=100.0),
    ),
    Row(
        "a defrost that draws nothing",
        "HS-7 unit",
        "conditional pass",
        (choose("defrost", "no"),),
        with_part("heat_pump", defrost_heat=0.0),
    ),
    Row(
        "not chosen",
        "HS-7 unit",
        "not measured",
        (undone("chose", topic="defrost"),),
        fields=("choose:defrost",),
    ),
    Row(
        "no airflow to go by",
        "HS-7 unit",
        "not measured",
        (never(*STATICS, "heat.static.supply", "heat.static.return", "heat.stage.2.leaving_air"),),
        fields=STATICS,
    ),
    Row(
        "a maker who does not say",
        "HS-7 unit",
        "not applicable",
        equipment=with_part("heat_pump", defrost_heat=None),
        says="maker",
    ),
    Row("no such choice", "HS-7 unit", "not applicable", equipment=NO_TOPICS),
    Row("no heat pump", "HS-7 unit", "not applicable", (NO_PUMP,)),
    Row("no kit", "HS-7 unit", "not applicable", (NO_KIT,)),
    Row("heat without the control, all proved", "HS-8 unit", "pass", ALONE, severity="correct"),
    # 1185 cfm, U 48 cfm, against 0.85 of design.
    Row(
        "airflow far from designed",
        "HS-8 unit",
        "fail",
        (*ALONE, say("blower.design_airflow", "1550 cfm")),
        says="BL-9",
    ),
    Row(
        "airflow within U of too little",
        "HS-8 unit",
        "conditional fail",
        (*ALONE, say("blower.design_airflow", "1450 cfm")),
        says="BL-9",
    ),
    Row(
        "air too hot",
        "HS-8 unit",
        "fail",
        ALONE,
        with_part("limits", leaving_air=celsius(105)),
        says="HS-5",
    ),
    Row(
        "air within U of too hot",
        "HS-8 unit",
        "conditional pass",
        ALONE,
        with_part("limits", leaving_air=celsius(116)),
    ),
    Row(
        "leaving air not taken yet",
        "HS-8 unit",
        "not measured",
        (*ALONE, never("heat.stage.2.leaving_air")),
        fields=("heat.stage.2.leaving_air",),
    ),
    Row("no heat without the control", "HS-8 unit", "not applicable"),
    Row("no such choice", "HS-8 unit", "not applicable", equipment=NO_TOPICS),
    Row("no kit", "HS-8 unit", "not applicable", (NO_KIT, *ALONE)),
    # 30 - 3 = 27 degF against -4 + 5 = 1 degF.
    Row("one always heats", "HS-11 unit", "pass", severity="correct", says="26.0"),
    Row("exactly no gap", "HS-11 unit", "pass", (say(CUT_OUT, "22 F"),)),
    Row(
        "a gap",
        "HS-11 unit",
        "fail",
        (say(CUT_OUT, "23 F"),),
        says="Between 27.0 °F and 28.0 °F",
    ),
    Row(
        "a gap by its differential alone",
        "HS-11 unit",
        "fail",
        (say(CUT_OUT, "22 F"),),
        equipment=lockouts(9.0 / 1.8),
    ),
    Row(
        "no gap without differentials",
        "HS-11 unit",
        "pass",
        (say(CUT_OUT, "30 F"),),
        equipment=lockouts(None, cut_out_differential=None),
    ),
    Row(
        "not chosen",
        "HS-11 unit",
        "not measured",
        (undone("chose", topic="lockout"),),
        fields=("choose:lockout",),
    ),
    Row(
        "neither came on",
        "HS-11 unit",
        "fail",
        (say(ALONE_COMPRESSOR, "no"), say(ALONE_KIT, "no")),
        says="neither",
    ),
    Row("the kit alone came on", "HS-11 unit", "pass", (say(ALONE_COMPRESSOR, "no"), say(ALONE_KIT, "yes"))),
    Row("only one was watched", "HS-11 unit", "pass", (say(ALONE_KIT, "no"),)),
    Row("nobody looked where it is set", "HS-11 unit", "not measured", (never(CUT_OUT),), fields=(CUT_OUT,)),
    Row(
        "a maker who does not say",
        "HS-11 unit",
        "not applicable",
        equipment=lockouts(None, cut_out=None),
        says="maker",
    ),
    Row("no such choice", "HS-11 unit", "not applicable", equipment=NO_TOPICS),
    Row("no heat pump", "HS-11 unit", "not applicable", (NO_PUMP,)),
    Row("no kit", "HS-11 unit", "not applicable", (NO_KIT,)),
    Row("hardly any heat to spare", "HS-18 unit", "pass", severity="advise", says="help is right"),
    Row("none to spare below the balance point", "HS-18 unit", "pass", (choose("lockout", "f-15"),)),
    Row("auxiliary heat in a light recovery", "HS-18 unit", "fail", (WARM_LOCKOUT, LIGHT), says="alone in"),
    Row(
        "the longest delay does not help there either",
        "HS-18 unit",
        "fail",
        (WARM_LOCKOUT, LIGHT, choose("delay", "min-28")),
    ),
    Row(
        "a recovery that ends before the delay does",
        "HS-18 unit",
        "pass",
        (WARM_LOCKOUT, LIGHT, say("delay.floor_area", "300 ft2"), choose("delay", "min-28")),
        says="at least",
    ),
    Row(
        "not chosen",
        "HS-18 unit",
        "not measured",
        (undone("chose", topic="delay"),),
        fields=("choose:delay",),
    ),
    Row(
        "floor not entered",
        "HS-18 unit",
        "not measured",
        (never("delay.floor_area"),),
        fields=("delay.floor_area",),
    ),
    Row("no such choice", "HS-18 unit", "not applicable", equipment=NO_TOPICS),
    Row("no heat pump", "HS-18 unit", "not applicable", (NO_PUMP,)),
    Row("no kit", "HS-18 unit", "not applicable", (NO_KIT,)),
)


@pytest.mark.parametrize("row", ROWS, ids=lambda r: f"{r.key}: {r.behaviour}")
def test_when_heat_is_allowed(row: Row) -> None:
    """Each row is one behaviour."""
    row.prove()


def test_the_recovery_is_the_sum_that_anybody_can_repeat() -> None:
    """t = -C/UA ln(1 - dT UA / S): UA 40 000/60 Btu/h/degF, C 2000 ft2 at 80 kJ/(K m2), dT 4 degF.

    At 50 degF the house loses 10 000 Btu/h and the heat pump gives what lies 1/4 above 47 on its 47-17 line.
    """
    pairing = next(p for p in demo_unit().heat_pump.pairing if p.id == "fellgate-36")  # type: ignore[union-attr]
    slope = (pairing.capacity_47 - pairing.capacity_17) / 30.0
    watt = 1.0 / 3.412142
    ua_wk = 40000.0 / 60.0 * watt * 1.8
    capacity_jk = 2000.0 * 0.09290304 * 80e3
    set_back_k = 4.0 / 1.8
    surplus_w = pairing.capacity_47 + 3.0 * slope - ua_wk * 15.0 / 1.8 + ua_wk * set_back_k
    seconds = -capacity_jk / ua_wk * log(1.0 - set_back_k * ua_wk / surplus_w)
    finding = found(WARM_LOCKOUT, LIGHT)["HS-18 unit"]
    assert finding.lower == pytest.approx(seconds, rel=1e-4)


def test_a_choice_of_cold_defrosts_is_waived_by_saying_why() -> None:
    """It is told and never stands in the way of a signature."""
    told = found(choose("defrost", "no"))["HS-7 unit"]
    assert told.failed
    assert not told.open
