"""The check of what a branch circuit drops, as computed and as measured."""

from __future__ import annotations

import pytest

from checks.test_electrical import LINE, LOADED, OFF, SIZE
from checks.test_three_phases import LOADED as THREE_LOADED
from checks.visits import NO_KIT, Row, found, line_volts, never, on_three_phases, say, with_kit

RUN, PANEL = "electrical.circuit.1.length", "electrical.panel.l1_l2"
BUILT, READ = "EL-12 circuit.1.computed", "EL-12 circuit.1.measured"
TWO = say("identity.kit", "elm")

# 9400 W / 240 V + 4.3 A = 43.47 A; 6 AWG is 0.491 ohm per 1000 ft (NEC ch. 9 table 8): at 168 ft one way
# 2 x 0.168 x 0.491 x 43.47 = 7.17 V, 2.99 % of 240 V, at 169 ft 7.21 V, 3.01 %.
ROWS = (
    Row("a short run", BUILT, "pass", severity="advise", says="circuit 1"),
    Row("the longest run", BUILT, "pass", (say(RUN, "168 ft"),)),
    Row("a foot more", BUILT, "fail", (say(RUN, "169 ft"),)),
    Row("a run not known to 5 ft", BUILT, "conditional pass", (say(RUN, "166 ft ± 5 ft"),)),
    Row("run not said", BUILT, "not measured", (never(RUN),), fields=(RUN,)),
    Row("conductor not read", BUILT, "not measured", (never(SIZE),), fields=(SIZE,)),
    Row("no kit", "EL-12 unit.computed", "not applicable", NO_KIT),
    Row("no circuits on file", "EL-12 unit.computed", "not applicable", equipment=with_kit(circuit=())),
    # U of the meter is 1.6 V in each of two readings: 0.95 % of 240 V.
    Row("2 V from idle to loaded", READ, "pass", severity="advise", says="Feeder and service"),
    Row("4.8 %, feeder included", READ, "conditional pass", (say(LOADED, "228.5 V"),)),
    Row("5.4 %", READ, "conditional fail", (say(LOADED, "227.0 V"),)),
    Row("7.5 %", READ, "fail", (say(LOADED, "222.0 V"),)),
    Row("0.4 % from panel to unit", READ, "pass", (say(PANEL, "239.0 V"),), says="panel to unit"),
    Row("4.6 % from panel to unit", READ, "fail", (say(PANEL, "239.0 V"), say(LOADED, "228.0 V"))),
    Row("no volts at the panel", READ, "fail", (say(PANEL, "0 V"),), says="no voltage"),
    Row("volts with heat not read", READ, "not measured", (never(LOADED),), fields=(LOADED,)),
    Row("idle not read", READ, "not measured", (never(LINE),), fields=(LINE,)),
    Row("heat kept off", READ, "not applicable", OFF),
    Row("no kit", "EL-12 unit.measured", "not applicable", NO_KIT),
    Row(
        "the second circuit has its own terminals",
        "EL-12 circuit.2.measured",
        "not measured",
        (TWO,),
        fields=("electrical.circuit.2.loaded.l1_l2",),
    ),
    Row(
        "and drops its own volts",
        "EL-12 circuit.2.measured",
        "fail",
        (TWO, say("electrical.circuit.2.loaded.l1_l2", "222 V")),
    ),
    Row(
        "the worst of three pairs",
        READ,
        "fail",
        (*line_volts("240 V", "240 V", "240 V"), *THREE_LOADED, say("electrical.loaded.l2_l3", "222 V")),
        on_three_phases(),
    ),
)


@pytest.mark.parametrize("row", ROWS, ids=lambda r: f"{r.key}: {r.behaviour}")
def test_drops(row: Row) -> None:
    """Each row is one behaviour."""
    row.prove()


def test_a_computed_drop_can_be_repeated_by_hand() -> None:
    """2 x 40 ft x 0.491 ohm/1000 ft x (9400 W / 240 V + 4.3 A) of 240 V."""
    assert found()[BUILT].value == pytest.approx(
        100 * 2 * 0.040 * 0.491 * (9400 / 240 + 4.3) / 240.0, rel=1e-9
    )


def test_three_lines_drop_root_3_of_one() -> None:
    """1.732 x 40 ft x 0.491 ohm/1000 ft x (9400 W / (1.732 x 240 V) + 4.3 A) of 240 V."""
    amps = 9400.0 / (3**0.5 * 240.0) + 4.3
    value = found(equipment=on_three_phases())[BUILT].value
    assert value == pytest.approx(100 * 3**0.5 * 0.040 * 0.491 * amps / 240.0, rel=1e-9)
