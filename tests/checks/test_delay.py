"""Checks of how long heat is held back and the blower runs on, beyond the fall of the room."""

from __future__ import annotations

import re
from math import exp

import numpy as np
import pytest

from asleft.equipment.model import Equipment
from checks.visits import Change, Row, choose, found, never, say, undone, with_part
from support import demo_unit

BTU_H = 1055.05585262 / 3600
NO_KIT: Change = say("identity.kit", "none")
NO_PUMP: Change = say("identity.outdoor", "none")
UNIT = demo_unit()
NO_RUN_ON = UNIT.model_copy(update={"topic": tuple(t for t in UNIT.topic if t.role != "blower-run-on")})
NO_DELAY = UNIT.model_copy(update={"topic": tuple(t for t in UNIT.topic if t.role != "auxiliary-delay")})


def rest(minutes: float | None) -> Equipment:
    """The demo unit, its compressor's least off time otherwise."""
    return with_part("heat_pump", least_off_time=None if minutes is None else minutes * 60.0)


ROWS = (
    Row(
        "the one that uses least", "TD-3 unit", "pass", severity="advise", says="16 minutes 1.6 °F, 17.14 kWh"
    ),
    Row("a shorter one", "TD-3 unit", "pass", (choose("delay", "min-10"),), says="0.11 kWh more"),
    Row("one that lets the room go cold uses less still", "TD-3 unit", "pass", (choose("delay", "min-28"),)),
    Row("no delay on offer", "TD-3 unit", "not applicable", equipment=NO_DELAY),
    Row("no heat pump", "TD-3 unit", "not applicable", (NO_PUMP,)),
    Row(
        "not chosen", "TD-3 unit", "not measured", (undone("chose", topic="delay"),), fields=("choose:delay",)
    ),
    Row(
        "a house not told",
        "TD-3 unit",
        "not measured",
        (never("delay.floor_area"),),
        fields=("delay.floor_area",),
    ),
    Row("longer than the rest", "TD-4 unit", "pass", severity="advise", says="at least 5.0 min"),
    Row("shorter than the rest", "TD-4 unit", "fail", equipment=rest(20.0)),
    Row("as long as the rest", "TD-4 unit", "pass", equipment=rest(16.0)),
    Row("a rest nobody gives", "TD-4 unit", "not applicable", equipment=rest(None), says="maker"),
    Row("no kit, no delay", "TD-4 unit", "not applicable", (NO_KIT,)),
    Row("delay not chosen", "TD-4 unit", "not measured", (undone("chose", topic="delay"),)),
    Row("exactly the least", "TD-5 unit", "pass", severity="correct", says="1.5 min"),
    Row("longer than the least", "TD-5 unit", "pass", (choose("run-on", "s-120"),)),
    Row(
        "shorter than the least", "TD-5 unit", "fail", (choose("run-on", "s-60"),), fields=("choose:run-on",)
    ),
    Row(
        "a least nobody gives",
        "TD-5 unit",
        "not applicable",
        equipment=with_part("blower", least_run_on=None),
    ),
    Row("no choice of run-on", "TD-5 unit", "not applicable", equipment=NO_RUN_ON),
    Row("run-on not chosen", "TD-5 unit", "not measured", (undone("chose", topic="run-on"),)),
    Row("in all within the limit", "TD-6 unit", "pass", severity="advise", says="below the set point"),
    Row("a wide differential", "TD-6 unit", "fail", (say("delay.differential", "0.9 F"),)),
    Row("a differential not told", "TD-6 unit", "not measured", (never("delay.differential"),)),
    Row("without a heat pump", "TD-6 unit", "not applicable", (NO_PUMP,)),
)


@pytest.mark.parametrize("row", ROWS, ids=lambda r: f"{r.key}: {r.behaviour}")
def test_delay(row: Row) -> None:
    """Each row is one behaviour."""
    row.prove()


def test_the_fall_in_all_begins_at_the_differential() -> None:
    """d = D/UA + (d0 - D/UA) exp(-t UA/(C/4)), the same D, UA and C as the fall by the delay alone."""
    findings = found(say("delay.differential", "0.4 F"))
    alone, whole = findings["TD-2 unit"].value, findings["TD-6 unit"].value
    assert alone is not None
    assert whole is not None
    # 40 000 Btu/h at 5 F, 65 F without load: UA = 40 000/60 Btu/h/F = 351.7 W/K; 185.8 m2 x 165 kJ/K / 4.
    ua, quarter = 40000 * 0.293071 / (60 / 1.8), 2000 * 0.09290304 * 165e3 / 4
    left = exp(-16 * 60 * ua / quarter)
    assert whole == pytest.approx(alone + 0.4 / 1.8 * left, rel=1e-5)


def test_gaps_between_stages_add_to_the_delay() -> None:
    """Two stages have one gap: 16 minutes and 3 minutes fall as 19 minutes do."""
    gap = UNIT.topic_of("run-on")
    assert gap is not None
    staged = UNIT.model_copy(
        update={
            "topic": tuple(
                t.model_copy(update={"role": "stage-delay"}) if t.id == gap.id else t for t in UNIT.topic
            )
        }
    )
    changes = (choose("run-on", "s-180"), say("delay.differential", "0 F"))
    whole = found(*changes, equipment=staged)["TD-6 unit"]
    alone = found()["TD-2 unit"].value
    ua, quarter = 40000 * 0.293071 / (60 / 1.8), 2000 * 0.09290304 * 165e3 / 4
    share = (1 - exp(-19 * 60 * ua / quarter)) / (1 - exp(-16 * 60 * ua / quarter))
    assert whole.value == pytest.approx((alone or 0.0) * share, rel=1e-5)
    assert "3.0 min between stages" in whole.text


def test_the_energy_of_a_morning_is_what_stepping_through_it_gives() -> None:
    """4 degF below the set point at the lockout's 30 degF: second by second, the kit helping later."""
    findings = found()
    heat_w = findings["EL-17 unit"].value
    assert heat_w is not None
    pump_w = np.interp(30.0, [17.0, 35.0], [20600.0, 26400.0]) * BTU_H
    ua, capacity = 40000 * BTU_H / (60 / 1.8), 2000 * 0.09290304 * 165e3
    spare_w = pump_w - ua * (65 - 30) / 1.8
    below_k, seconds = 4 / 1.8, 0
    while below_k > 0.0:
        helps_w = heat_w if seconds >= 16 * 60 else 0.0
        below_k -= (spare_w + ua * below_k + helps_w) / capacity
        seconds += 1
    energy_kwh = heat_w * (seconds - 16 * 60) / 3.6e6
    shown = re.search(r"16 minutes [\d.]+ °F, ([\d.]+) kWh", findings["TD-3 unit"].text)
    assert shown
    assert float(shown[1]) == pytest.approx(energy_kwh, rel=2e-3)
