"""Checks of heat called on purpose: every path, emergency heat, a defrost, ten minutes."""

from __future__ import annotations

import pytest

from checks.visits import Row, choose, found, never, say, undone, use, with_kit
from support import demo_unit

NO_KIT, NO_PUMP = say("identity.kit", "none"), say("identity.outdoor", "none")
NO_TOPICS = demo_unit().model_copy(update={"topic": ()})
START = "electrical.circuit.1.called.l2"
CAME_ON, WENT_OFF = "heat.defrost.came_on", "heat.defrost.went_off"
EMERGENCY = tuple(
    f"heat.emergency.{what}" for what in ("compressor_off", "every_stage", "at_once", "heating_speed")
)
PATHS = tuple(f"heat.path.{path}" for path in ("normal", "emergency", "lost_communication", "defrost"))
MINUTES = tuple(f"heat.minute.{n}.current" for n in range(1, 11))

# 42.9 A at the start; 5 % is 2.145 A. Clamp 0.5 % + 0.01 A: a = 0.22 A, U = 2a/sqrt3 = 0.26 A each, 0.37 A
# of the difference.
ROWS = (
    Row("kit alone, whole, at once", "HS-12 unit", "pass", severity="correct", fields=EMERGENCY),
    Row(
        "the compressor runs on",
        "HS-12 unit",
        "fail",
        (say("heat.emergency.compressor_off", "no"),),
        says="compressor",
    ),
    Row(
        "one stage stays off",
        "HS-12 unit",
        "fail",
        (say("heat.emergency.every_stage", "no"),),
        says="every stage",
    ),
    Row("held back", "HS-12 unit", "fail", (say("heat.emergency.at_once", "no"),), says="held back"),
    Row(
        "the blower at another speed",
        "HS-12 unit",
        "fail",
        (say("heat.emergency.heating_speed", "no"),),
        says="heating tier",
    ),
    Row("not tried", "HS-12 unit", "not measured", (never(EMERGENCY[0]),), fields=EMERGENCY),
    Row("no heat pump", "HS-12 unit", "not applicable", (NO_PUMP,)),
    Row("no kit", "HS-12 unit", "not applicable", (NO_KIT,)),
    Row("comes on and goes off", "HS-15 unit", "pass", severity="correct", fields=(CAME_ON, WENT_OFF)),
    Row("chosen, and stays off", "HS-15 unit", "fail", (say(CAME_ON, "no"),), says="stayed off"),
    Row(
        "not chosen, and stays off",
        "HS-15 unit",
        "pass",
        (choose("defrost", "no"), say(CAME_ON, "no")),
        says="as chosen",
    ),
    Row("not chosen, and comes on", "HS-15 unit", "fail", (choose("defrost", "no"),), says="came on"),
    Row("never goes off", "HS-15 unit", "fail", (say(WENT_OFF, "no"),), says="stays on"),
    Row("nobody waited for its end", "HS-15 unit", "not measured", (never(WENT_OFF),), fields=(WENT_OFF,)),
    Row(
        "not chosen yet",
        "HS-15 unit",
        "not measured",
        (undone("chose", topic="defrost"),),
        fields=("choose:defrost",),
    ),
    Row("no such choice", "HS-15 unit", "not applicable", equipment=NO_TOPICS),
    Row("no heat pump", "HS-15 unit", "not applicable", (NO_PUMP,)),
    Row("no kit", "HS-15 unit", "not applicable", (NO_KIT,)),
    Row("steady", "HS-16 unit", "pass", severity="correct", says="0.10 A", fields=(START, *MINUTES)),
    Row("down by 2.0 A", "HS-16 unit", "conditional pass", (say(MINUTES[3], "40.9 A"),), says="minute 4"),
    Row("just inside 5 %", "HS-16 unit", "conditional pass", (say(MINUTES[9], "40.76 A"),)),
    Row("just outside 5 %", "HS-16 unit", "conditional fail", (say(MINUTES[9], "40.75 A"),)),
    Row("a limit opens", "HS-16 unit", "fail", (say(MINUTES[6], "3.3 A"),), says="A limit opened"),
    Row("grows by 3 A", "HS-16 unit", "fail", (say(MINUTES[1], "45.9 A"),), says="minute 2"),
    Row("no heat to watch", "HS-16 unit", "fail", (say(START, "0.00 A"),), says="no heat came on"),
    Row(
        "a clamp that nobody knows",
        "HS-16 unit",
        "conditional pass",
        (use("clamp", "clamp-9", ()), say(MINUTES[1], "43.0 A")),
        says="not known",
    ),
    Row("one minute missed", "HS-16 unit", "not measured", (never(MINUTES[4]),), fields=(MINUTES[4],)),
    Row("a kit without circuits", "HS-16 unit", "not applicable", equipment=with_kit(circuit=())),
    Row("no kit", "HS-16 unit", "not applicable", (NO_KIT,)),
)


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row.key}: {row.behaviour}")
def test_heat_tried(row: Row) -> None:
    """Each row's verdict, of each check of heat called on purpose."""
    row.prove()


@pytest.mark.parametrize("path", PATHS)
def test_the_blower_is_to_run_on_every_path(path: str) -> None:
    """Any one path without it fails, one not tried is not measured, and either keeps the signature."""
    for changes, verdict in (((say(path, "no"),), "fail"), ((never(path),), "not measured")):
        finding = found(*changes)["HS-10 unit"]
        assert (finding.verdict, finding.severity, finding.releases) == (verdict, "hold", False)
        assert finding.guards == ("signing as commissioned",)
        assert path in finding.fields


def test_only_a_fall_speaks_of_a_limit() -> None:
    """A current that grows opened nothing."""
    assert "limit" not in found(say(MINUTES[1], "45.9 A"))["HS-16 unit"].text
