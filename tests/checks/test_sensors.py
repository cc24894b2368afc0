"""Checks of what the control senses: the weather and the room."""

from __future__ import annotations

import pytest

from checks.visits import Row, found, never, say, use, without_kits
from support import demo_unit

NO_TOPICS = demo_unit().model_copy(update={"topic": ()})
OUTDOORS, ROOM = "heat.outdoor.shown", "heat.room.shown"
BESIDE, INSIDE = "heat.outdoor.reference", "heat.room.reference"

# A thermometer of 0.5 degC: U = 2 x 0.5 / sqrt3 = 0.58 K, 1.04 degF. References 30.2 and 70.1 degF.
ROWS = (
    Row(
        "both near enough",
        "HS-14 unit",
        "pass",
        severity="correct",
        says="Room sensor",
        fields=(OUTDOORS, BESIDE, ROOM, INSIDE),
    ),
    Row("outdoors 1.9 off", "HS-14 unit", "pass", (say(OUTDOORS, "32.1 F"),)),
    Row("outdoors 2.9 off", "HS-14 unit", "conditional pass", (say(OUTDOORS, "27.3 F"),), says="3.0 °F"),
    Row("outdoors 3.1 off", "HS-14 unit", "conditional fail", (say(OUTDOORS, "27.1 F"),)),
    Row("outdoors 10 too warm", "HS-14 unit", "fail", (say(OUTDOORS, "40.2 F"),), says="Outdoor sensor"),
    Row("room 1.9 off", "HS-14 unit", "conditional pass", (say(ROOM, "68.2 F"),), says="2.0 °F"),
    Row("room 2.1 off", "HS-14 unit", "conditional fail", (say(ROOM, "68.0 F"),)),
    Row("room 3.5 too cold", "HS-14 unit", "fail", (say(ROOM, "66.6 F"),), says="Room sensor off by: -3.5"),
    Row(
        "a thermometer that nobody knows",
        "HS-14 unit",
        "conditional pass",
        (use("thermometer", "thermometer-9", ()), say(BESIDE, "30.2 F")),
        says="not known",
    ),
    Row("nobody looked outdoors", "HS-14 unit", "not measured", (never(BESIDE),), fields=(BESIDE,)),
    Row("nobody looked indoors", "HS-14 unit", "not measured", (never(ROOM),), fields=(ROOM,)),
    Row(
        "without a lockout by weather the room counts alone",
        "HS-14 unit",
        "pass",
        (say(OUTDOORS, "40.2 F"),),
        equipment=NO_TOPICS,
    ),
    Row(
        "without a heat pump the room counts alone",
        "HS-14 unit",
        "fail",
        (say("identity.outdoor", "none"), say(ROOM, "66.6 F")),
    ),
    Row(
        "a unit that only cools",
        "HS-14 unit",
        "not applicable",
        equipment=without_kits().model_copy(update={"heat_pump": None}),
    ),
)


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row.key}: {row.behaviour}")
def test_what_the_control_senses(row: Row) -> None:
    """Each row's verdict."""
    row.prove()


def test_the_difference_is_what_is_judged() -> None:
    """33.7 shown less 30.2 beside it, in K."""
    value = found(say(OUTDOORS, "33.7 F"))["HS-14 unit"].value
    assert value == pytest.approx(3.5 / 1.8, abs=1e-9)
