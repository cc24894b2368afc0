"""What was acknowledged holds until something happens that ends it."""

from __future__ import annotations

from asleft.checks.lapses import stands
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
