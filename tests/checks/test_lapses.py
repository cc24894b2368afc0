"""What was acknowledged holds until something happens that ends it."""

from __future__ import annotations

import pytest

from asleft.checks.lapses import stands
from asleft.session.events import Event
from asleft.session.payloads import Senseless
from asleft.session.state import fold_on
from support import Told, demo_unit


def test_acknowledgements_lapse_as_power_and_meters_change() -> None:
    """EL-1 at power on, EL-19 at power off, EL-18 when another meter comes into use."""
    told = Told(demo_unit())
    for id in ("EL-1", "EL-18", "EL-19"):
        assert not stands(told.ledger, id)
        told.event("acknowledged", id=id)
        assert stands(told.ledger, id)
    told.event("powered", state="off")
    assert not stands(told.ledger, "EL-19")
    assert stands(told.ledger, "EL-1")
    told.event("powered", state="on")
    assert not stands(told.ledger, "EL-1")
    assert stands(told.ledger, "EL-18")
    told.event("used", field="identity.instrument.meter", instrument="x", name="x", accuracy=[])
    assert not stands(told.ledger, "EL-18")


@pytest.mark.parametrize("id", ["EL-1", "EL-18", "EL-19"])
def test_an_event_that_makes_no_sense_ends_every_word_given_before(id: str) -> None:
    """Nobody knows what it was that happened then."""
    told = Told(demo_unit())
    told.event("acknowledged", id=id)
    assert stands(told.ledger, id)
    n = told.state.last_n + 1
    lost = Event(n, "2031-05-04T09:30:00Z", "Ada", Senseless("powered", {"state": "maybe"}, "no state"))
    told.state = fold_on(told.state, (lost,))
    assert not stands(told.ledger, id)
