"""Checks of circuits landed, of terminals tightened and of disconnects."""

from __future__ import annotations

import pytest

from checks.test_electrical import IEC
from checks.visits import KIT_UNSAID, NO_KIT, Row, found, never, say, with_circuit, with_kit

TWO = say("identity.kit", "elm")
LANDED, TIGHT = "electrical.circuits", "electrical.circuit.1.tightened"
LOCKABLE, TOGETHER = "electrical.disconnect.lockable", "electrical.disconnect.grouped"
L1 = "electrical.circuit.1.locked.l1_ground"
NO_CIRCUITS = with_kit(circuit=())

ROWS = (
    Row("two circuits for a kit of two", "EL-11 unit", "pass", (TWO, say(LANDED, "2")), severity="correct"),
    Row("joined in one", "EL-11 unit", "fail", (TWO, say(LANDED, "1")), says="1 is landed"),
    Row("one too many", "EL-11 unit", "fail", (TWO, say(LANDED, "3")), says="3 are landed"),
    Row("not counted", "EL-11 unit", "not measured", (TWO,), fields=(LANDED,)),
    Row("a kit of one circuit", "EL-11 unit", "not applicable"),
    Row("no circuits on file", "EL-11 unit", "not applicable", equipment=NO_CIRCUITS),
    Row("no kit", "EL-11 unit", "not applicable", NO_KIT),
    Row("kit not said", "EL-11 unit", "not measured", KIT_UNSAID),
    Row("dead behind its own lock", "EL-11 circuit.1", "pass", severity="correct"),
    Row("live behind its own lock", "EL-11 circuit.1", "fail", (say(L1, "120.0 V"),), says="Another device"),
    # The meter's U at 50 V is 0.5 V.
    Row("50 V", "EL-11 circuit.1", "conditional pass", (say(L1, "50.0 V"),)),
    Row("above 50 V by less than U", "EL-11 circuit.1", "conditional fail", (say(L1, "50.2 V"),)),
    Row("a leg not read", "EL-11 circuit.1", "not measured", (never(L1),), fields=(L1,)),
    Row("the second circuit too", "EL-11 circuit.2", "not measured", (TWO,)),
    Row("tightened", "EL-20 circuit.1", "pass", severity="correct", says="3.5 N m"),
    Row("by feel", "EL-20 circuit.1", "fail", (say(TIGHT, "no"),), says="3.5 N m"),
    Row("not said", "EL-20 circuit.1", "not measured", (never(TIGHT),), fields=(TIGHT,)),
    Row("no torque marked", "EL-20 circuit.1", "not applicable", equipment=with_circuit(torque=None)),
    Row("no circuits on file", "EL-20 unit", "not applicable", equipment=NO_CIRCUITS),
    Row("no kit", "EL-20 unit", "not applicable", NO_KIT),
    Row("locks open or is in sight", "EL-21 unit", "pass", severity="correct"),
    Row("neither", "EL-21 unit", "fail", (say(LOCKABLE, "no"),), says="neither locked open nor seen"),
    Row("two together", "EL-21 unit", "pass", (TWO, say(TOGETHER, "yes"))),
    Row("two apart", "EL-21 unit", "fail", (TWO, say(TOGETHER, "no")), says="together"),
    Row("two, not said", "EL-21 unit", "not measured", (TWO,), fields=(TOGETHER,)),
    Row("not said", "EL-21 unit", "not measured", (never(LOCKABLE),), fields=(LOCKABLE,)),
    Row("where the NEC does not govern", "EL-21 unit", "not applicable", (IEC,)),
    Row("no kit", "EL-21 unit", "not applicable", NO_KIT),
)


@pytest.mark.parametrize("row", ROWS, ids=lambda r: f"{r.key}: {r.behaviour}")
def test_landed(row: Row) -> None:
    """Each row is one behaviour."""
    row.prove()


def test_who_tightens_is_told_how_much() -> None:
    """The torque is the one that the file gives for the circuit."""
    finding = found(say(TIGHT, "no"))["EL-20 circuit.1"]
    assert "3.5 N m" in finding.do
    assert finding.guards == ()


def test_live_terminals_are_no_place_for_hands() -> None:
    """What to do about them begins with that."""
    assert found(say(L1, "120.0 V"))["EL-11 circuit.1"].do.startswith("Keep your hands out")
