"""The check of a bad joint: volts that go missing beyond the run, and the watts that they are."""

from __future__ import annotations

from math import hypot, sqrt

import pytest

from checks.test_drops import PANEL, RUN, TWO
from checks.test_electrical import LOADED, OFF
from checks.test_three_phases import LOADED as THREE_LOADED
from checks.test_three_phases import legs
from checks.visits import NO_KIT, Change, Row, found, line_volts, never, on_three_phases, say, with_kit
from support import Told

KEY = "EL-26 circuit.1"
JOINT = "electrical.circuit.1.joint.{}"


def cannot(*fields: str) -> Change:
    """Fields that nobody could read."""

    def told(job: Told) -> None:
        for field in fields:
            job.event("noted", text="no way there", refused=field)

    return told


def panel_three(*volts: str) -> tuple[Change, ...]:
    """The three pairs at the panel."""
    pairs = ("l1_l2", "l2_l3", "l3_l1")
    return tuple(say(f"electrical.panel.{pair}", v) for pair, v in zip(pairs, volts, strict=True))


SECOND = (
    TWO,
    say("electrical.circuit.2.called.l1", "19.2 A"),
    say("electrical.circuit.2.called.l2", "19.2 A"),
    say("electrical.circuit.2.conductor", "10 AWG"),
    say("electrical.circuit.2.material", "copper"),
    say("electrical.circuit.2.length", "40 ft"),
)
THREE = (*line_volts("240 V", "240 V", "240 V"), *THREE_LOADED, *legs("24.0 A", "24.0 A", "24.0 A"))

# 6 AWG is 0.491 ohm per 1000 ft (NEC ch. 9 table 8): 2 x 0.040 x 0.491 x 42.95 A = 1.69 V, U a tenth of it.
# The meter's 2 counts of 0.1 V are U 0.23 V of each reading, 0.2 % of drift 0.48 V: U 0.60 V together.
ROWS = (
    Row("volts at the unit alone", KEY, "not measured", severity="advise", says="feeder and service"),
    Row(
        "6 V gone, feeder and service in it",
        KEY,
        "not measured",
        (say(LOADED, "232 V"),),
        severity="correct",
        fields=(PANEL,),
    ),
    Row(
        "the same, the panel out of reach",
        KEY,
        "not measured",
        (say(LOADED, "232 V"), cannot(PANEL)),
        severity="correct",
        fields=(JOINT.format("l1"),),
    ),
    Row(
        "5 V gone and a long run",
        KEY,
        "not measured",
        (say(LOADED, "232 V"), say(RUN, "120 ft")),
        severity="advise",
    ),
    Row("what the run loses", KEY, "pass", (say(PANEL, "239.7 V"),), says="no bad joint"),
    Row("0.6 V more", KEY, "conditional pass", (say(PANEL, "240.3 V"),), says="Read both ends again"),
    Row("1.3 V more in 43 A", KEY, "fail", (say(PANEL, "241.0 V"),), severity="hold", says="56 W"),
    Row(
        "1 V more in 19 A",
        KEY,
        "fail",
        (say(PANEL, "239.7 V"), *legs("19.0 A", "19.0 A")),
        severity="correct",
        says="18 W",
    ),
    Row(
        "1 V across a joint",
        KEY,
        "fail",
        (say(JOINT.format("l2"), "1.0 V"),),
        severity="hold",
        says="the joint of L2",
    ),
    Row(
        "nothing across the joints",
        KEY,
        "pass",
        (say(JOINT.format("l1"), "0.1 V"), say(JOINT.format("l2"), "0.0 V")),
    ),
    Row(
        "a joint beside a sound run",
        KEY,
        "fail",
        (say(PANEL, "239.7 V"), say(JOINT.format("l2"), "1.0 V")),
        says="the joint of L2",
    ),
    Row(
        "a run nobody knows",
        KEY,
        "not measured",
        (say(PANEL, "239.7 V"), never(RUN)),
        severity="advise",
        fields=(RUN,),
    ),
    Row(
        "amps with heat not read",
        KEY,
        "not measured",
        (never("electrical.circuit.1.called.l1"),),
        severity="advise",
    ),
    Row("heat kept off", KEY, "not applicable", OFF),
    Row("no kit", "EL-26 unit", "not applicable", NO_KIT),
    Row("no circuits on file", "EL-26 unit", "not applicable", equipment=with_kit(circuit=())),
    Row(
        "a neighbour that loses less",
        "EL-26 circuit.2",
        "fail",
        (*SECOND, say("electrical.circuit.2.loaded.l1_l2", "232 V")),
        severity="hold",
        says="against circuit 1",
    ),
    Row(
        "a neighbour that loses as much",
        "EL-26 circuit.2",
        "pass",
        (*SECOND, say("electrical.circuit.2.loaded.l1_l2", "237.8 V")),
    ),
    Row(
        "three lines alike",
        KEY,
        "pass",
        (*THREE, *panel_three("238.8 V", "238.8 V", "238.8 V")),
        on_three_phases(),
    ),
    Row(
        "two pairs of three low",
        KEY,
        "fail",
        (*THREE, *panel_three("241.5 V", "241.5 V", "238.8 V")),
        on_three_phases(),
        severity="hold",
        says="in L2",
    ),
)


@pytest.mark.parametrize("row", ROWS, ids=lambda r: f"{r.key}: {r.behaviour}")
def test_joints(row: Row) -> None:
    """Each row is one behaviour."""
    row.prove()


def test_the_watts_of_a_joint_can_be_repeated_by_hand() -> None:
    """W = I x V, of what the run leaves: 241.0 V - 238.0 V - 2 x 40 ft x 0.491 ohm/1000 ft x 42.95 A."""
    finding = found(say(PANEL, "241.0 V"))[KEY]
    run_v = 2 * 0.040 * 0.491 * 42.95
    assert finding.value == pytest.approx(241.0 - 238.0 - run_v, rel=1e-6)
    counts_v = 2 * 0.2 / sqrt(3)
    u_v = hypot(counts_v, counts_v, 0.002 * 238.0, 0.1 * run_v)
    assert finding.uncertainty == pytest.approx(u_v, rel=1e-6)
    assert f"{42.95 * (3.0 - run_v):.0f} W" in finding.text


def test_a_joint_in_one_of_three_lines_is_named_with_its_volts() -> None:
    """A joint of 2 V in L2: both pairs of L2 lose 2 V x cos 30 degrees more."""
    low = f"{238.8 + 2.0 * sqrt(3) / 2:.3f} V"
    finding = found(*THREE, *panel_three(low, low, "238.8 V"), equipment=on_three_phases())[KEY]
    run_v = sqrt(3) * 0.040 * 0.491 * 24.0
    sound_v = (238.8 - 238.0 - run_v) / sqrt(3)
    assert finding.value == pytest.approx(2.0 + sound_v, abs=2e-3)


def test_a_limit_that_was_typed_does_not_cancel() -> None:
    """Whoever reads to 3 V sees no 1.3 V."""
    assert found(say(PANEL, "241.0 V ± 3 V"))[KEY].verdict == "pass"


def test_two_meters_do_not_cancel() -> None:
    """The gain of each is its own: 0.5 % of 241 V and of 238 V, U 2.3 V together."""

    def by_another(job: Told) -> None:
        job.event(
            "used",
            field="identity.instrument.meter",
            instrument="meter-2",
            name="B",
            accuracy=["voltage 0.5 % + 2 x 0.1 V"],
        )
        say(PANEL, "241.0 V")(job)

    finding = found(by_another)[KEY]
    assert finding.verdict == "pass"
    assert finding.uncertainty == pytest.approx(2.35, abs=0.05)
