"""An event that this program could not have written is recognised, whatever its link says."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from asleft.session.events import Event
from asleft.session.payloads import Senseless
from asleft.session.sound import senseless, sensible
from asleft.session.state import fold_all
from support import demo_unit


def event(kind: str, **data: Any) -> Event:
    """One event, number five, its keys as they are given."""
    return Event.read({"n": 5, "at": "2031-05-04T09:00:00Z", "by": "Ada", "kind": kind, **data})


VOLTS = {"field": "electrical.line.l1_l2", "typed": "239 V", "value": 239.0, "unit": "V"}


@pytest.mark.parametrize(
    "good",
    [
        event("entered", **VOLTS),
        event("entered", field="identity.site", typed="Mill", value="Mill"),
        event("entered", field="heat.path.normal", typed="yes", value=True),
        event("entered", field="electrical.circuit.1.conductor", typed="6 AWG", value="6 AWG"),
        event("entered", field="electrical.circuit.2.conductors", typed="3", value=3),
        event("used", field="identity.instrument.meter", instrument="m", name="M", accuracy=["voltage 1 %"]),
        event("retracted", of=4, why="wrong leg"),
        event("noted", text="anything"),
        event("noted", text="lug", mends="EL-14 unit", affects=[], part="circuit.1"),
    ],
)
def test_what_is_written_makes_sense(good: Event) -> None:
    """Every kind of value as the program writes it."""
    assert senseless(good, demo_unit()) == ""


def test_what_makes_no_sense_is_told_and_reckoned_with_nowhere() -> None:
    """All else stands; and since it may have said that power is on, power counts as on."""
    off, odd = event("powered", state="off"), event("entered", **{**VOLTS, "value": "239"})
    site = event("entered", field="identity.site", typed="Mill", value="Mill")
    events = [replace(one, n=n) for n, one in enumerate((off, odd, site), 1)]
    told, named = sensible(events, demo_unit())
    assert [one.n for one in named] == [2]
    assert str(named[0]).startswith("event 2 cannot be what this program wrote: ")
    assert [one.n for one in told] == [1, 2, 3]
    assert told[0] == events[0]
    assert isinstance(told[1].what, Senseless)
    state = fold_all(told)
    assert state.text("identity.site") == "Mill"
    assert "electrical.line.l1_l2" not in state.entries
    assert (fold_all(events[:1]).power, state.power) == ("off", "on")
    assert sensible([events[0], events[2]], demo_unit()) == ((events[0], events[2]), ())


@pytest.mark.parametrize(
    "bad",
    [
        event("entered", **{**VOLTS, "value": "239"}),
        event("entered", **{**VOLTS, "value": True}),
        event("entered", **{**VOLTS, "unit": "kV"}),
        event("entered", **{**VOLTS, "typed": " "}),
        event("entered", **{**VOLTS, "field": "electrical.line.l9"}),
        event("entered", **{**VOLTS, "field": "electrical.circuit.1.2.device"}),
        event("entered", field="identity.site", typed="7", value=7),
        event("entered", field="heat.path.normal", typed="yes", value="yes"),
        event("used", field="identity.site", instrument="m", name="M", accuracy=[]),
        event("used", field="identity.instrument.meter", instrument="m", name="M", accuracy=["voltage lots"]),
        event("chose", topic="no-topic", option="x"),
        event("chose", topic=demo_unit().topic[0].id, option="no-option"),
        event("found", setting="no-setting", address="a", shown="1"),
        event("wrote", setting=demo_unit().setting[0].id, address="nowhere", shown="1"),
        event("noted", text="lug", mends="EL-14 unit", affects=[], part="circuit.9"),
        event("retracted", of=5, why="itself"),
        event("retracted", of=0, why="nothing"),
    ],
)
def test_what_could_not_have_been_written_is_said(bad: Event) -> None:
    """One short sentence about what is wrong."""
    assert senseless(bad, demo_unit())
