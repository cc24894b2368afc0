"""Folding events: nothing is erased, and the state is the same however it was reached."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from asleft.session.events import Event
from asleft.session.state import CANNOT_RETRACT, State, fold, fold_all
from support import Told, demo_unit
from support import event as told_event

TEXTS = ["identity.site", "identity.technician"]


def test_undo_takes_an_entry_out_and_redo_brings_it_back() -> None:
    """A retraction hides an event, a retraction of the retraction shows it again, and all three stay."""
    told = Told(demo_unit())
    n = told.enter("identity.site", "Hillside")
    undo = told.event("retracted", of=n, why="typo")
    assert told.state.latest("identity.site") is None
    told.event("retracted", of=undo, why="was right")
    assert told.state.text("identity.site") == "Hillside"
    assert [e.kind for e in told.state.history] == ["entered", "retracted", "retracted"]


def test_an_older_entry_counts_again_when_the_newer_is_retracted() -> None:
    """What was entered before stands again."""
    told = Told(demo_unit())
    told.enter("identity.site", "first")
    newer = told.enter("identity.site", "second")
    told.event("retracted", of=newer, why="wrong site")
    assert told.state.text("identity.site") == "first"


def test_a_signature_ends_with_any_later_event_but_seal_review_and_reveal() -> None:
    """A signed record that is changed is unsigned; a seal or a review leaves it signed."""
    told = Told(demo_unit())
    told.event("signed", outcome="commissioned")
    told.event("sealed", of=1, signature=["x"])
    told.event("reviewed", outcome="accepted", why="fine")
    assert told.state.signature is not None
    told.event("noted", text="one more thing")
    assert told.state.signature is None


def test_power_counts_as_on_until_somebody_says_off() -> None:
    """The safe assumption."""
    told = Told(demo_unit())
    assert told.state.power == "on"
    told.event("powered", state="off")
    assert told.state.power == "off"


def test_the_instrument_in_use_is_the_newest_of_its_role() -> None:
    """A second meter takes over from the first; another role is left alone."""
    told = Told(demo_unit())
    for name, role in (("m1", "meter"), ("c1", "clamp"), ("m2", "meter")):
        told.event("used", field=f"identity.instrument.{role}", instrument=name, name=name, accuracy=[])
    meter, clamp = told.state.instrument("meter"), told.state.instrument("clamp")
    assert meter is not None
    assert meter.instrument == "m2"
    assert clamp is not None
    assert clamp.instrument == "c1"
    assert told.state.instrument("manometer") is None


_KINDS = st.sampled_from(
    ["entered", "chose", "found", "wrote", "powered", "acknowledged", "noted", "retracted", "signed"]
)


@st.composite
def _histories(draw: st.DrawFn) -> list[Event]:
    events: list[Event] = []
    for n in range(1, draw(st.integers(1, 25)) + 1):
        kind = draw(_KINDS)
        data: dict[str, object] = {
            "entered": {"field": draw(st.sampled_from(TEXTS)), "typed": str(n), "value": str(n)},
            "chose": {"topic": "t", "option": str(n)},
            "found": {"setting": "s", "address": "a", "shown": str(n)},
            "wrote": {"setting": "s", "address": "a", "shown": str(n)},
            "powered": {"state": draw(st.sampled_from(["on", "off"]))},
            "acknowledged": {"id": "EL-1"},
            "noted": {"text": "x"},
            "signed": {"outcome": "commissioned"},
            "retracted": {},
        }[kind]
        if kind == "retracted":
            targets = [e.n for e in events if not isinstance(e.what, CANNOT_RETRACT)]
            if not targets:
                continue
            data = {"of": draw(st.sampled_from(targets)), "why": "x"}
        events.append(told_event(len(events) + 1, kind, **data))
    return events


@given(_histories())
def test_folding_one_by_one_equals_folding_all(events: list[Event]) -> None:
    """The state depends on the events, not on when they were folded."""
    state = State()
    for event in events:
        state = fold(state, event)
    assert state == fold_all(events)


@given(_histories())
def test_every_event_stays_in_the_history(events: list[Event]) -> None:
    """Retracted or not, nothing leaves the record."""
    assert fold_all(events).history == tuple(events)
