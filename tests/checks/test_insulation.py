"""The check of the elements' insulation."""

from __future__ import annotations

import pytest

from checks.visits import NO_KIT, Row, found, happens, never, say, with_kit

READY, STAGE_2 = "electrical.insulation.electronics_off", "electrical.stage.2.to_frame"

ROWS = (
    Row("80 Mohm", "EL-23 stage.1", "pass", severity="correct"),
    Row("0.8 Mohm", "EL-23 stage.2", "fail", (say(STAGE_2, "0.8 Mohm"),), severity="correct"),
    Row("an element on the frame", "EL-23 stage.2", "fail", (say(STAGE_2, "6 ohm"),), severity="hold"),
    Row("49.9 kohm", "EL-23 stage.2", "fail", (say(STAGE_2, "0.0499 Mohm"),), severity="hold"),
    Row("50 kohm", "EL-23 stage.2", "fail", (say(STAGE_2, "0.05 Mohm"),), severity="correct"),
    Row(
        "on the frame, electronics not said",
        "EL-23 stage.2",
        "not measured",
        (never(READY), say(STAGE_2, "6 ohm")),
        severity="hold",
    ),
    Row(
        "on the frame, electronics connected",
        "EL-23 stage.2",
        "fail",
        (say(READY, "no"), say(STAGE_2, "6 ohm")),
        severity="hold",
    ),
    Row("1 Mohm", "EL-23 stage.2", "conditional pass", (say(STAGE_2, "1.000 Mohm"),)),
    # 1 % of 0.99 Mohm is a limit of 9.9 kohm, so U is 11.4 kohm.
    Row("below it by less than U", "EL-23 stage.2", "conditional fail", (say(STAGE_2, "0.990 Mohm"),)),
    Row("the other stage stays", "EL-23 stage.1", "pass", (say(STAGE_2, "0.8 Mohm"),)),
    Row("electronics connected", "EL-23 stage.1", "fail", (say(READY, "no"),), says="electronics"),
    Row(
        "not measured",
        "EL-23 stage.2",
        "not measured",
        (never(STAGE_2),),
        fields=(STAGE_2,),
        severity="correct",
    ),
    Row("electronics not said", "EL-23 stage.1", "not measured", (never(READY),), fields=(READY,)),
    Row(
        "the maker forbids it",
        "EL-23 stage.1",
        "not applicable",
        equipment=with_kit(insulation_test=False),
        says="forbids",
    ),
    Row(
        "the maker says nothing",
        "EL-23 stage.1",
        "not applicable",
        equipment=with_kit(insulation_test=None),
        says="does not say",
    ),
    Row("no kit", "EL-23 unit", "not applicable", NO_KIT),
)


@pytest.mark.parametrize("row", ROWS, ids=lambda r: f"{r.key}: {r.behaviour}")
def test_insulation(row: Row) -> None:
    """Each row is one behaviour."""
    row.prove()


def test_only_a_bad_reading_takes_heat_away() -> None:
    """It guards energizing heat; none, or a poor one, guards nothing."""
    for changes, guards in (
        ((say(STAGE_2, "6 ohm"),), ("energising heat",)),
        ((say(STAGE_2, "0.8 Mohm"),), ()),
        ((never(STAGE_2),), ()),
        ((never(READY),), ()),
    ):
        assert found(*changes)["EL-23 stage.2"].guards == guards


def test_without_a_tester_it_is_waived_until_somebody_measures() -> None:
    """A waiver of what was not measured stands until it is."""
    waiver = happens("waived", id="EL-23", subject="stage.2", why="no insulation tester")
    waived = found(never(STAGE_2), waiver)["EL-23 stage.2"]
    assert (waived.verdict, waived.waived, waived.open) == ("not measured", True, False)
    measured = found(never(STAGE_2), waiver, say(STAGE_2, "0.8 Mohm"))["EL-23 stage.2"]
    assert (measured.verdict, measured.waived, measured.open) == ("fail", False, True)
