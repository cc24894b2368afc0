"""Checks of line voltage against published ranges, and of the heat it leaves."""

from __future__ import annotations

import pytest

from asleft.equipment.model import Equipment
from checks.test_electrical import LINE, LOADED, OFF, lines, three_phase
from checks.visits import NO_KIT, Row, found, never, say
from support import demo_unit

AMPS = "electrical.stage.2.current"


def on_230_v() -> Equipment:
    """The demo unit on 230 V, 50 Hz: IEC 60038 gives it 197.8 to 253 V at the terminals."""
    unit = demo_unit()
    supply = tuple(s.model_copy(update={"nominal": 230.0, "frequency": 50}) for s in unit.supply)
    return unit.model_copy(update={"supply": supply})


# ANSI C84.1 at the terminals of 240 V: range A 108 to 126 of 120, so 216 to 252 V; range B 104 to 127 of 120,
# so 208 to 254 V. U of the meter is 1.6 V there.
ROWS = (
    Row("idle and loaded inside range A", "EL-3 unit", "pass", severity="advise", says="Inside range A"),
    Row("nearer to its end than U", "EL-3 unit", "conditional pass", (say(LINE, "251.0 V"),)),
    Row("beyond it by less than U", "EL-3 unit", "conditional fail", (say(LINE, "252.5 V"),)),
    Row("idle not outside, loaded is", "EL-3 unit", "fail", (say(LOADED, "213.0 V"),), says="inside range B"),
    Row("outside range B", "EL-3 unit", "fail", (say(LINE, "204.0 V"),), says="Outside range B"),
    Row("heat not tried yet", "EL-3 unit", "pass", (never(LOADED),)),
    Row("not read", "EL-3 unit", "not measured", (never(LINE),), fields=(LINE,)),
    Row("supply not said", "EL-3 unit", "not measured", (never("identity.supply"),)),
    Row(
        "one pair of three low",
        "EL-3 unit",
        "fail",
        (
            *lines("240 V", "240 V", "206 V"),
            *(say(f"electrical.loaded.{p}", "240 V") for p in ("l2_l3", "l3_l1")),
        ),
        three_phase(),
        says="L3 to L1",
    ),
    Row("another standard", "EL-3 unit", "pass", equipment=on_230_v(), says="IEC 60038"),
    Row(
        "outside its only range",
        "EL-3 unit",
        "fail",
        (say(LINE, "195.0 V"),),
        on_230_v(),
        says="Outside the range of IEC 60038",
    ),
    # 238 V x (43.0 - 3.3) A = 9449 W; at 216 V a kit of 9400 W at 240 V gives 7614 W.
    Row("101 % of its rating", "EL-17 unit", "pass", severity="advise", says="101%"),
    Row("two thirds", "EL-17 unit", "fail", (say(AMPS, "30.0 A"),), says="68%"),
    # 7614 W / 238 V + 3.3 A = 35.29 A.
    Row("a watt or so above the least", "EL-17 unit", "conditional pass", (say(AMPS, "35.3 A"),)),
    Row("a watt or so below it", "EL-17 unit", "conditional fail", (say(AMPS, "35.2 A"),)),
    Row("volts with heat not read", "EL-17 unit", "not measured", (never(LOADED),), fields=(LOADED,)),
    Row("no kit", "EL-17 unit", "not applicable", NO_KIT),
    Row("heat kept off", "EL-17 unit", "not applicable", OFF),
)


@pytest.mark.parametrize("row", ROWS, ids=lambda r: f"{r.key}: {r.behaviour}")
def test_supply_range(row: Row) -> None:
    """Each row is one behaviour."""
    row.prove()


def test_heat_and_its_least_can_be_repeated_by_hand() -> None:
    """238 V x (43.0 - 3.3) A against 9400 W x (216/240)^2; neither locks anything."""
    finding = found()["EL-17 unit"]
    assert finding.value == pytest.approx(238.0 * (43.0 - 3.3), rel=1e-9)
    assert finding.lower == pytest.approx(9400.0 * 0.81, rel=1e-9)
    assert finding.guards == ()
