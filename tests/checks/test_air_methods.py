"""Checks that hold readings of air against each other."""

from __future__ import annotations

from math import log

import pytest

from checks.air import FAN_RETURN, FAN_SUPPLY, HEAT_RETURN, HEAT_SUPPLY, NO_TOPIC, RETURN, SUPPLY, statics
from checks.visits import Change, Row, choose, found, happens, never, say, use
from support import demo_unit

TRAVERSE = "blower.traverse"
BARE = say("identity.kit", "none")
LEAVING = "heat.stage.2.leaving_air"
VANE = use("anemometer", "vane", ("airflow 4 %",))
FINE = use("manometer", "fine", ("static_pressure 0.3 %",))
AGAIN = (FINE, *statics("0.36", "-0.24"))

one = demo_unit().blower.tier[2]
ONE_SPEED = NO_TOPIC.model_copy(
    update={
        "blower": demo_unit().blower.model_copy(
            update={"tier": (one.model_copy(update={"speed": one.speed[:1]}),)}
        )
    }
)


ALIKE = demo_unit().model_copy(
    update={
        "blower": demo_unit().blower.model_copy(
            update={
                "tier": tuple(
                    t.model_copy(
                        update={
                            "speed": tuple(
                                t.at("cooling").model_copy(update={"use": (use,)})
                                for use in ("cooling", "heating")
                            )
                        }
                    )
                    for t in demo_unit().blower.tier
                )
            }
        )
    }
)
"""A blower whose tables for heating repeat those for cooling."""


def alone(supply: str, back: str) -> tuple[Change, ...]:
    """Statics at the speed for the fan alone."""
    return statics(supply, back, (FAN_SUPPLY, FAN_RETURN))


# With heat on 1198 cfm by Firm's table and 1219 cfm by rise; in cooling 1185 cfm by the table, 48 cfm U.
# Firm's table for the fan alone gives 975 cfm at 0.404 in. w.c.: from 0.60 at 1185 cfm that is the power
# ln(0.60 / 0.404) / ln(1185 / 975) = 2.03.
ROWS = (
    Row("fan table and rise agree", "BL-10 unit", "pass", severity="advise", says="agree within"),
    Row(
        "a probe that sees the elements",
        "BL-10 unit",
        "fail",
        (say(LEAVING, "110.0 F"),),
        says="differ by more",
    ),
    Row(
        "a thermometer without papers",
        "BL-10 unit",
        "conditional pass",
        (
            use("thermometer", "bare", ()),
            say("heat.stage.2.return_air", "70.0 F"),
            say(LEAVING, "96.4 F"),
        ),
    ),
    Row("all three agree", "BL-10 unit", "pass", (VANE, say(TRAVERSE, "1170 cfm"))),
    Row(
        "the traverse alone differs",
        "BL-10 unit",
        "fail",
        (VANE, say(TRAVERSE, "1000 cfm")),
        says="by traverse",
    ),
    Row(
        "table and traverse without a kit",
        "BL-10 unit",
        "pass",
        (BARE, VANE, say(TRAVERSE, "1170 cfm")),
        says="1170 cfm",
    ),
    Row("barely near enough", "BL-10 unit", "pass", (BARE, VANE, say(TRAVERSE, "1115 ± 44 cfm"))),
    Row("barely too far", "BL-10 unit", "fail", (BARE, VANE, say(TRAVERSE, "1113 ± 44 cfm"))),
    Row(
        "a traverse of unknown worth, and no kit",
        "BL-10 unit",
        "not measured",
        (BARE, say(TRAVERSE, "1170 cfm")),
    ),
    Row(
        "statics with heat on not taken",
        "BL-10 unit",
        "not measured",
        (never(HEAT_SUPPLY),),
        fields=(HEAT_SUPPLY, HEAT_RETURN),
    ),
    Row("kit not said", "BL-10 unit", "not measured", (never("identity.kit"),), fields=("identity.kit",)),
    Row("only the fan table", "BL-10 unit", "not applicable", (BARE,)),
    Row(
        "two speeds on one curve",
        "BL-14 unit",
        "pass",
        (*AGAIN, *alone("0.242", "-0.162")),
        severity="advise",
        says="2.0",
    ),
    Row("near the steepest", "BL-14 unit", "conditional pass", (*AGAIN, *alone("0.236", "-0.158"))),
    Row(
        "a little steeper than ducts are",
        "BL-14 unit",
        "conditional fail",
        (*AGAIN, *alone("0.2355", "-0.157")),
    ),
    Row(
        "a damper moved",
        "BL-14 unit",
        "fail",
        (*AGAIN, *alone("0.330", "-0.220")),
        fields=(FAN_SUPPLY, FAN_RETURN),
    ),
    Row("a damper closed between", "BL-14 unit", "fail", (*AGAIN, *alone("0.150", "-0.100"))),
    Row("too near each other", "BL-14 unit", "not measured", says="too near"),
    Row(
        "one speed read twice, no further apart than two readings may be",
        "BL-14 unit",
        "not measured",
        (never(SUPPLY, RETURN), *AGAIN, *statics("0.361", "-0.242", (HEAT_SUPPLY, HEAT_RETURN))),
        ALIKE,
        says="too near the first",
    ),
    Row(
        "a damper moved between two readings at one speed",
        "BL-14 unit",
        "fail",
        (never(SUPPLY, RETURN), *AGAIN, *statics("0.300", "-0.200", (HEAT_SUPPLY, HEAT_RETURN))),
        ALIKE,
    ),
    Row("statics not taken", "BL-14 unit", "not measured", (never(SUPPLY),), fields=(SUPPLY, RETURN)),
    Row(
        "one speed read so far",
        "BL-14 unit",
        "not measured",
        (never(SUPPLY, RETURN, HEAT_SUPPLY, HEAT_RETURN), *statics("0.36", "-0.24")),
        says="second speed",
    ),
    Row("a blower of one speed", "BL-14 unit", "not applicable", equipment=ONE_SPEED),
)


@pytest.mark.parametrize("row", ROWS, ids=lambda r: f"{r.key}: {r.behaviour}")
def test_air_methods(row: Row) -> None:
    """Each row is one behaviour."""
    row.prove()


def test_the_exponent_is_that_of_the_two_points_shown() -> None:
    """ln(0.60 / 0.404) / ln(Q1 / Q2), both airflows off Firm's tables by hand, at 300 ft."""
    thin = (1 - 2.25577e-5 * 300 * 0.3048) ** 5.2559
    cooling = 1189 - (1189 - 1126) * (0.60 / thin - 0.60) / 0.10
    fan_alone = 977 - (977 - 917) * (0.404 / thin - 0.40) / 0.12
    finding = found(*AGAIN, *alone("0.242", "-0.162"))["BL-14 unit"]
    assert finding.value == pytest.approx(log(0.60 / 0.404) / log(cooling / fan_alone), rel=1e-6)


def test_what_was_read_before_a_repair_is_no_point_of_the_curve_after_it() -> None:
    """The ducts are others then."""
    mend = happens("noted", text="filter changed", mends="BL-4 unit", affects=[SUPPLY, RETURN])
    before, after = (
        found(*changes, *statics("0.36", "-0.24"))["BL-14 unit"].text for changes in ((), (mend,))
    )
    assert "0.52 in. w.c." in before
    assert "0.52 in. w.c." not in after


def test_the_surest_of_the_methods_that_agree_is_the_airflow() -> None:
    """A traverse to 1 % beside a table to 4 %; one that contradicts the table is only told."""
    hood = use("anemometer", "hood", ("airflow 1 %",))
    for typed, method in (("1170 cfm", "traverse"), ("900 cfm", "fan table")):
        findings = found(hood, say(TRAVERSE, typed))
        assert findings["BL-9 unit"].text.startswith(f"Airflow by {method}")


def test_without_statics_inside_the_table_a_traverse_gives_the_airflow() -> None:
    """The tier's table ends at 1.00 in. w.c."""
    findings = found(BARE, VANE, *statics("0.80", "-0.40"), say(TRAVERSE, "1170 cfm"))
    assert findings["BL-9 unit"].text.startswith("Airflow by traverse: 1170 cfm")
    assert TRAVERSE in findings["BL-9 unit"].fields
    assert findings["BL-9 unit"].verdict == "pass"


def test_a_traverse_is_stale_once_another_tier_is_written() -> None:
    """What it measured is another airflow then."""
    written = happens("wrote", setting="air-letter", address="unit", shown="f")
    finding = found(BARE, VANE, say(TRAVERSE, "1170 cfm"), written)["SO-1 unit"]
    assert TRAVERSE in finding.fields


def test_another_tier_chosen_changes_nothing_about_readings() -> None:
    """Methods are compared as the unit runs."""
    assert found(choose("tier", "full"))["BL-10 unit"].verdict == "pass"
