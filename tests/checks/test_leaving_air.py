"""Checks of the air that the heat pump alone makes; those of the kit are in test_heat.py."""

from __future__ import annotations

from math import sqrt

import pytest

from checks.visits import Row, found, never, say, undone, use

OUTDOORS = "heat.outdoor.reference"
BACK, LEAVING = "heat.heat_pump.return_air", "heat.heat_pump.leaving_air"
STATICS = ("heat.static.supply", "heat.static.return")

# 30.2 degF outside, by hand: 20 600 + (26 400 - 20 600) / 18 x 13.2 = 24 853 Btu/h, and
# 24 853 / (1.08 x 1198 cfm x 0.989) = 19.4 degF. Thermometers 1.47 degF together, airflow 4 % or 0.8 degF,
# the weather 0.3 degF: U 1.7 degF.
ROWS = (
    Row(
        "as its capacity says",
        "HS-13 unit",
        "pass",
        severity="correct",
        says="agree within",
        fields=(OUTDOORS, BACK, LEAVING),
    ),
    Row("1.6 less than foretold", "HS-13 unit", "pass", (say(LEAVING, "87.8 F"),)),
    Row("1.8 less than foretold", "HS-13 unit", "fail", (say(LEAVING, "87.6 F"),), says="differ"),
    Row("1.5 more than foretold", "HS-13 unit", "pass", (say(LEAVING, "90.9 F"),)),
    Row("2 more than foretold", "HS-13 unit", "fail", (say(LEAVING, "91.4 F"),), says="differ"),
    Row("the heat pump cools", "HS-13 unit", "fail", (say(LEAVING, "52 F"),), says="reversing-valve"),
    Row("no rise at all", "HS-13 unit", "fail", (say(LEAVING, "69.5 F"),), says="differ"),
    Row(
        "a thermometer that nobody knows",
        "HS-13 unit",
        "conditional pass",
        (use("thermometer", "thermometer-9", ()), say(LEAVING, "89.4 F")),
    ),
    Row("not tried", "HS-13 unit", "not measured", (never(LEAVING),), fields=(LEAVING,)),
    Row("too cold to try", "HS-13 unit", "not measured", (say(OUTDOORS, "-8 F"),), says="above its cut-out"),
    Row("no tier chosen", "HS-13 unit", "not measured", (undone("chose", topic="tier"),)),
    Row("no heat pump", "HS-13 unit", "not applicable", (say("identity.outdoor", "none"),)),
    Row(
        "a unit that takes no kit goes by the airflow foretold",
        "HS-13 unit",
        "pass",
        (say("identity.kit", "none"), never(*STATICS)),
    ),
)


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row.key}: {row.behaviour}")
def test_the_heat_pump_alone(row: Row) -> None:
    """Each row's verdict."""
    row.prove()


def test_the_rise_is_the_sum_that_anybody_can_repeat() -> None:
    """Measured 19.4 less foretold 19.4 degF, and limits of their combined U, all as above."""
    finding = found()["HS-13 unit"]
    watts = 20600 + (26400 - 20600) / 18 * 13.2
    foretold_f = watts / (1.08 * 1198 * 0.989)
    both_f = sqrt(2) * 2 * 0.5 / sqrt(3) * 1.8
    assert finding.value is not None
    assert finding.upper is not None
    own_f = 0.04 * foretold_f
    assert finding.value * 1.8 == pytest.approx(19.4 - foretold_f, abs=0.05)
    assert finding.upper * 1.8 == pytest.approx(sqrt(both_f**2 + own_f**2 + 0.26**2), abs=0.03)


def test_the_hint_for_a_heat_pump_that_cools_names_the_setting() -> None:
    """What to do differs from a rise that is merely too small."""
    cools, weak = (found(say(LEAVING, typed))["HS-13 unit"] for typed in ("52 F", "80 F"))
    assert "reversing-valve setting round" in cools.do
    assert cools.do != weak.do
