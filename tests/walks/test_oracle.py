"""The oracle sees each way past a guard in the events alone, and none in a visit worked as it should be."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

import pytest

from asleft.equipment.library import units
from walks.oracle import DEAD, FIRST, FOLLOWERS, REPAIRS, TIMES, Oracle
from walks.paper import Event, Place, Record
from walks.world import begun, paper

UNIT = "tarnfield-lowmoor-36"
SIGNING = "signing as commissioned"


@dataclass
class AsItIs:
    """A unit whose true state somebody says."""

    power: str = "on"
    stored: Mapping[Place, str] = field(default_factory=dict)
    reads: Mapping[str, Any] = field(default_factory=dict)
    was: Mapping[int, Any] = field(default_factory=dict)

    def now(self, field: str) -> Any:
        """What a field reads now."""
        return self.reads.get(field)

    def then(self, field: str, n: int) -> Any:
        """What an event read."""
        return self.was.get(n)


class Story:
    """Events one after another, a minute apart, with what the oracle says of the last."""

    def __init__(self, events: list[Event], *rules: str) -> None:
        self.oracle = Oracle(paper(begun(UNIT, 1, False).equipment.text), frozenset(rules))
        self.events = list(events)

    def then(self, kind: str, *, at: str = "", by: str = "Ada", **data: Any) -> set[tuple[str, str]]:
        """One event more: the rules that it breaks, each with the guarded act."""
        n = len(self.events) + 1
        before = self.events[-1]["at"] if self.events else "2031-03-04T07:00:00Z"
        event = {"n": n, "at": at or before, "by": by, "kind": kind, **data}
        told = self.oracle.judge(self.events, event, data.get("true"))
        self.events.append(event)
        return {(breach.rule, breach.act) for breach in told}

    def signed(self, true: AsItIs | None = None) -> set[str]:
        """The rules that signing as commissioned breaks."""
        n = len(self.events) + 1
        event = {
            "n": n,
            "at": self.events[-1]["at"],
            "by": "Ada",
            "kind": "signed",
            "outcome": "commissioned",
        }
        return {breach.rule for breach in self.oracle.judge(self.events, event, true)}


def played(before: str = "", **data: Any) -> list[Event]:
    """The healthy visit up to the first event of a kind with these keys; without one, to its signature."""
    found: list[Event] = []
    for event in begun(UNIT, 1, False).events:
        if event["kind"] == (before or "signed") and all(event.get(k) == v for k, v in data.items()):
            break
        found.append(event)
    return found


@pytest.mark.parametrize("unit", sorted(known.id for known in units()))
def test_a_healthy_visit_breaks_no_rule(unit: str) -> None:
    """Every event of it, at every unit."""
    start = begun(unit, 1, False)
    oracle = Oracle(paper(start.equipment.text))
    told = [b for n, event in enumerate(start.events) for b in oracle.judge(start.events[:n], event, None)]
    assert told == []
    assert start.events[-1]["outcome"] == "commissioned"


# ---- 1: undo past a guard


def test_hands_inside_after_power_was_on_and_that_was_taken_back() -> None:
    """A retraction takes no lapse back."""
    story = Story(played("entered", field="electrical.line.l1_l2"))
    on = next(e["n"] for e in story.events if e["kind"] == "powered" and e["state"] == "on")
    assert story.then("retracted", of=on, why="no") == set()
    told = story.then("entered", field="electrical.ground.resistance", typed="0.2 ohm", value=0.2, unit="ohm")
    assert ("EL-1", "hands inside") in told


def test_power_that_comes_on_by_a_retraction_alone() -> None:
    """Nobody said that the unit is clear."""
    story = Story(played("acknowledged", id="EL-19"))
    off = next(e["n"] for e in story.events if e["kind"] == "powered" and e["state"] == "off")
    again = story.then("powered", state="on")
    assert again == {("EL-19", "power on")}
    story = Story(played("acknowledged", id="EL-19"))
    story.then("acknowledged", id="EL-19")
    story.then("powered", state="on")
    story.then("powered", state="off")
    assert story.then("retracted", of=len(story.events), why="no") == {("EL-19", "taking back")}
    assert off


def test_heat_that_a_retraction_of_a_retraction_allows_again() -> None:
    """The statics that it was allowed on are gone by then."""
    story = Story(played())
    wrote = next(e["n"] for e in story.events if e["kind"] == "wrote" and e["setting"] == "bank-use")
    gone = [e["n"] for e in story.events if e.get("setting") == "bank-use" and e["n"] >= wrote]
    for n in gone:
        story.then("retracted", of=n, why="no")
    undone = len(story.events)
    for event in played():
        if event.get("field") == "blower.static.supply":
            story.then("retracted", of=event["n"], why="no")
    assert ("BL-11 predicted", "taking back") in story.then("retracted", of=undone, why="back")


# ---- 2: absence of voltage


PROOF = {
    "function": "two-pole tester",
    "tester_before": True,
    "circuit.1.l1_l2": 0.0,
    "circuit.1.l1_ground": 0.4,
    "circuit.1.l2_ground": 3.0,
    "waited": True,
    "tester_after": True,
}
"""A circuit proved dead, in the order in which it is done."""


def proved(story: Story, proof: Mapping[str, bool | str | float]) -> None:
    """These told of a unit that was switched off."""
    story.then("acknowledged", id="EL-18")
    for name, value in proof.items():
        story.then("entered", field=f"electrical.dead.{name}", typed=str(value), value=value)


def without(*names: str) -> dict[str, bool | str | float]:
    """The proof without some of it."""
    return {name: value for name, value in PROOF.items() if name not in names}


DISPROVED: Mapping[str, Mapping[str, bool | str | float]] = {
    "nothing read": {},
    "one leg of two": without("circuit.1.l2_ground"),
    "no pair": without("circuit.1.l1_l2"),
    "120 V": {**PROOF, "circuit.1.l2_ground": 120.0},
    "a dc range": {**PROOF, "function": "dc volts"},
    "a drive that was not waited for": without("waited"),
    "never tried before": without("tester_before"),
    "not tried after": without("tester_after"),
    "dead on the live source": {**PROOF, "tester_before": False},
    "tried before the last of them": {**without("circuit.1.l1_l2"), "circuit.1.l1_l2": 0.0},
    "tried only after the first of them": {**without("tester_before", "tester_after"), "tester_before": True},
}


@pytest.mark.parametrize("case", ["all of it", *DISPROVED])
def test_isolation_acknowledged_on_readings_that_do_not_show_it(case: str) -> None:
    """3 V and less on every pair and leg is absence, by a tester that shows what is there."""
    story = Story(played("powered"), DEAD)
    story.then("powered", state="off")
    proved(story, DISPROVED.get(case, PROOF))
    told = story.then("acknowledged", id="EL-1")
    assert (("EL-25", "recording isolation") in told) is (case != "all of it")


ENDED: Mapping[str, list[Mapping[str, Any]]] = {
    "power on, taken back": [{"kind": "powered", "state": "on"}, {"kind": "retracted", "why": "no"}],
    "damage": [{"kind": "resumed", "damaged": True}],
    "another person": [{"kind": "resumed", "by": "Ben"}],
    "five hours": [{"kind": "resumed", "at": "2031-03-04T23:00:00Z"}],
}


@pytest.mark.parametrize("case", ENDED)
def test_absence_of_voltage_ends(case: str) -> None:
    """What was read before it tells nothing."""
    story = Story(played("powered"), DEAD)
    story.then("powered", state="off")
    proved(story, PROOF)
    for event in ENDED[case]:
        of = {"of": len(story.events)} if event["kind"] == "retracted" else {}
        story.then(**{**event, **of})
    assert ("EL-25", "recording isolation") in story.then("acknowledged", id="EL-1")


# ---- 3: going on


def test_after_damage_nobody_knows_that_power_is_off() -> None:
    """Nor does an acknowledgement stand."""
    story = Story(played("acknowledged", id="EL-19"))
    story.then("resumed", damaged=True)
    told = story.then("entered", field="electrical.ground.resistance", typed="0.2 ohm", value=0.2, unit="ohm")
    assert told == {("EL-1", "hands inside"), ("power", "hands inside")}


GOING_ON = {
    "a month later": ({"at": "2031-04-04T09:00:00Z"}, True),
    "another person": ({"by": "Ben"}, True),
    "the same hour": ({}, False),
}


@pytest.mark.parametrize("case", GOING_ON)
def test_isolation_of_another_sitting(case: str) -> None:
    """EL-1 was given in it."""
    how, seen = GOING_ON[case]
    story = Story(played("acknowledged", id="EL-19"))
    story.then("resumed", **how)
    reading = {"field": "electrical.ground.resistance", "typed": "0.2 ohm", "value": 0.2, "unit": "ohm"}
    assert (("EL-1", "hands inside") in story.then("entered", **how, **reading)) is seen


def test_clear_to_energise_before_hands_went_in() -> None:
    """It was said too early."""
    story = Story(played("acknowledged", id="EL-19"))
    story.then("acknowledged", id="EL-19")
    story.then("entered", field="electrical.ground.resistance", typed="0.2 ohm", value=0.2, unit="ohm")
    assert story.then("powered", state="on") == {("EL-19", "power on")}


# ---- 4 to 7: signed, and not so


def test_signed_as_commissioned_with_power_off() -> None:
    """By the record, and by the unit whatever the record says."""
    story = Story(played())
    assert story.signed(AsItIs("off")) >= {"truth: off"}
    story.then("powered", state="off")
    assert "SO-6" in story.signed()


def test_signed_on_values_that_a_late_write_may_have_cleared() -> None:
    """The air step must follow the air band, and was not looked at after it."""
    story = Story(played(), FOLLOWERS)
    assert FOLLOWERS not in story.signed()
    band = Record(story.oracle.unit, story.events).holds("trail", "unit")
    story.then("wrote", setting="trail", address="unit", shown=band)
    story.then("read_back", setting="trail", address="unit", shown=band)
    assert FOLLOWERS in story.signed()


def test_signed_while_the_control_holds_something_else() -> None:
    """The record is not what the unit holds."""
    story = Story(played())
    record = Record(story.oracle.unit, story.events)
    held = {place: acts[-1][2] for place, acts in record.places.items()}
    assert "truth: settings" not in story.signed(AsItIs(stored=held))
    assert "truth: settings" in story.signed(AsItIs(stored={**held, ("trail", "unit"): "180"}))


def test_signed_on_ten_minutes_from_before_an_element_was_replaced() -> None:
    """The repair reaches all that is read with heat on, and not the grounding path."""
    story = Story(played(), REPAIRS)
    assert REPAIRS not in story.signed()
    story.then("noted", text="replaced", mends="EL-15 stage.1", affects=["electrical.stage.1.current"])
    assert REPAIRS in story.signed()


def test_signed_on_a_reading_that_the_unit_has_left_behind() -> None:
    """Whatever changed it: it would read something else now."""
    story = Story(played())
    n = next(e["n"] for e in reversed(story.events) if e.get("field") == "heat.static.supply")
    same, other = (AsItIs(reads={"heat.static.supply": now}, was={n: 100.0}) for now in (101.0, 130.0))
    assert "truth: changed" not in story.signed(same)
    assert "truth: changed" in story.signed(other)


def test_signed_while_the_unit_breaks_a_hold() -> None:
    """Whatever was read of it."""
    story = Story(played())
    wrong = {
        "truth: EL-2": {"electrical.line.l1_l2": 300.0},
        "truth: EL-13": {"electrical.ground.resistance": 4.0},
        "truth: EL-8": {"electrical.circuit.1.device": 200.0},
        "truth: EL-22": {"electrical.circuit.1.no_call.l2": 9.0},
        "truth: HS-5": {"heat.stage.2.leaving_air": 95.0},
        "truth: HS-10": {"heat.path.normal": False},
    }
    for rule, reads in wrong.items():
        assert rule in story.signed(AsItIs(reads=reads)), rule


def test_ten_minutes_of_heat_in_nine_seconds() -> None:
    """The visit as it was worked took nine minutes from the first reading to the tenth."""
    assert "HS-16 times" not in Story(played(), TIMES).signed()
    first = next(e["at"] for e in played() if e.get("field") == "heat.minute.1.current")
    hurried = [
        {**e, "at": first, "read_at": first} if str(e.get("field")).startswith("heat.minute.") else e
        for e in played()
    ]
    assert "HS-16 times" in Story(hurried, TIMES).signed()


# ---- 8: what is next beside a hold that failed


def test_next_that_goes_on_beside_a_hold_that_endangers() -> None:
    """10 A without a call: only that leg again, or what makes it safe."""
    story = Story(played(), FIRST)
    story.then("entered", field="electrical.circuit.1.no_call.l1", typed="10 A", value=10.0, unit="A")
    record = Record(story.oracle.unit, story.events)

    def told(do: str, left: str) -> bool:
        return bool(list(story.oracle.misleads(record, do, left)))

    assert told("enter", "blower.static.supply")
    assert told("write", "trail")
    assert not told("measure_again", "electrical.circuit.1.no_call.l1")
    assert not told("power", "power")
    assert not told("mend", "mended:EL-22/circuit.1")
