"""The proof that nothing live is left where hands go in, and how long it counts."""

from __future__ import annotations

import pytest

from asleft.checks.lapses import stands
from checks.visits import NO_KIT, Change, Row, found, happens, judged, never, prove_dead, say
from support import Told, demo_unit, event

OFF = happens("powered", state="off")
AT = "electrical.dead."
PAIR, LEG = f"{AT}circuit.1.l1_l2", f"{AT}circuit.1.l2_ground"
KEY, TWO = "EL-25 unit", say("identity.kit", "elm")
AFTER = say(f"{AT}tester_after", "yes")


def proved(*otherwise: Change) -> tuple[Change, ...]:
    """Power off, every point dead, and what is told otherwise, the tester tried once more."""
    return (OFF, prove_dead, *otherwise, AFTER)


# The meter's U at 3 V is 0.25 V: 0.5 % + 0.2 V over root 3, twice.
ROWS = (
    Row("dead at every point", KEY, "pass", proved(), severity="hold", says="at most 3.0 V"),
    Row("120 V on a leg", KEY, "fail", proved(say(LEG, "120 V")), says="Something still feeds it"),
    Row("240 V between legs, 0 V to ground", KEY, "fail", proved(say(PAIR, "240 V"))),
    Row("exactly 3 V", KEY, "conditional pass", proved(say(LEG, "3.0 V"))),
    Row("above 3 V by less than U", KEY, "conditional fail", proved(say(LEG, "3.1 V"))),
    Row("power on", KEY, "not applicable"),
    Row("nothing read", KEY, "not measured", (OFF,), fields=(f"{AT}function", PAIR, LEG)),
    Row("leads left out at one leg", KEY, "not measured", (OFF, prove_dead, never(LEG)), fields=(LEG,)),
    Row(
        "the second circuit left out",
        KEY,
        "not measured",
        (*proved(), TWO),
        fields=(f"{AT}circuit.2.to_others",),
    ),
    Row("no kit: the line", KEY, "not measured", (*NO_KIT, OFF), fields=(f"{AT}line.l1_l2",)),
    Row("no kit: the line read", KEY, "pass", (*NO_KIT, OFF, prove_dead)),
    Row("a two-pole tester", KEY, "pass", proved()),
    Row("never tried after", KEY, "not measured", (OFF, prove_dead, never(f"{AT}tester_after"))),
    Row(
        "a tester that died on the way",
        KEY,
        "fail",
        (OFF, prove_dead, say(f"{AT}tester_after", "no")),
        says="after",
    ),
    Row("a drive that was not waited for", KEY, "fail", proved(say(f"{AT}waited", "no")), says="charge"),
    Row("its bus read instead", KEY, "pass", proved(say(f"{AT}waited", "no"), say(f"{AT}bus", "12 V"))),
    Row("its bus charged", KEY, "fail", proved(say(f"{AT}bus", "160 V")), says="bus"),
    Row("power on and off since", KEY, "not measured", (*proved(), happens("powered", state="on"), OFF)),
)


@pytest.mark.parametrize("row", ROWS, ids=lambda r: f"{r.key}: {r.behaviour}")
def test_absence_of_voltage(row: Row) -> None:
    """Each row is one behaviour."""
    row.prove()


@pytest.mark.parametrize("function", ["other ac volts", "dc volts"])
def test_a_range_that_hides_volts_proves_nothing(function: str) -> None:
    """Whatever was read on it; another range asks for every point anew."""
    wrong = (OFF, say(f"{AT}function", function))
    job = Told(demo_unit())
    for change in wrong:
        change(job)
    assert judged(job)[KEY].verdict == "not measured"
    finding = found(*proved(say(f"{AT}function", function)))[KEY]
    assert finding.verdict == "not measured"
    assert PAIR in {str(act) for act in finding.needs}


def _proved() -> Told:
    told = Told(demo_unit())
    for change in (say("identity.kit", "cedar"), OFF, prove_dead):
        change(told)
    assert all(told.ledger.current(f.id) for f in told.ledger.fields.values() if f.passing and not f.optional)
    return told


ENDS = {
    "power on": ({"kind": "powered", "state": "on"},),
    "a damaged record": ({"kind": "resumed", "damaged": True},),
    "five hours": ({"kind": "resumed", "at": "2031-05-04T14:30:00Z"},),
    "another day": ({"kind": "resumed", "at": "2031-05-05T08:00:00Z"},),
    "another person": ({"kind": "resumed", "by": "Bo"},),
}


@pytest.mark.parametrize("name", ENDS)
def test_the_proof_ends_and_no_retraction_brings_it_back(name: str) -> None:
    """With power on, with leaving the place, with another person: all of it is read again."""
    told = _proved()
    for said in ENDS[name]:
        told.state = _with(told, dict(said))
    assert told.ledger.current(PAIR) is None
    assert not told.ledger.stale(PAIR)
    if name == "power on":
        told.event("retracted", of=told.state.last_n, why="it was not")
        assert told.state.power == "off"
        assert told.ledger.current(PAIR) is None


def _with(told: Told, said: dict[str, object]):  # type: ignore[no-untyped-def]
    from asleft.session.state import fold

    return fold(told.state, event(told.state.last_n + 1, str(said.pop("kind")), **said))  # type: ignore[arg-type]


def test_the_proof_stands_in_one_column_whatever_comes_later() -> None:
    """Neither found nor left: what counts while power is off, then the last; blank once it lapsed."""
    told = _proved()
    proof = [f.id for f in told.ledger.fields.values() if f.passing and not f.optional]
    for state in ("off", "on"):
        assert told.state.power == state
        assert all(told.ledger.as_found(id) for id in proof)
        assert not any(told.ledger.as_left(id) for id in proof)
        told.event("powered", state="on" if state == "off" else "off")
    assert not any(told.ledger.as_found(id) for id in proof)


def test_the_proof_counts_from_power_off_on() -> None:
    """What was read before power was recorded off proves nothing; power off said twice ends nothing."""
    told = _proved()
    off = next(e.n for e in told.state.history if e.kind == "powered")
    OFF(told)
    assert told.ledger.current(PAIR) is not None
    told.event("retracted", of=off, why="it was the other unit")
    assert told.ledger.current(PAIR) is None


def test_a_tester_tried_before_the_last_reading_was_not_tried_after_it() -> None:
    """A point read again wants the live source and isolation again; another range wants every point again."""
    told = _proved()
    told.event("acknowledged", id="EL-1")
    say(LEG, "0.0 V")(told)
    assert told.ledger.current(f"{AT}tester_after") is None
    assert not stands(told.ledger, "EL-1")
    say(f"{AT}function", "low-impedance ac volts")(told)
    assert told.ledger.current(PAIR) is None
