"""The fields are data: every one is complete and means something."""

from __future__ import annotations

import re

import pytest

from asleft.quantity import KINDS
from asleft.session.fields import PANES, Field, Situation, applicable, templates
from support import demo_unit

WORDS = {"text", "yes_no", "choice", "conductor_size", "count", "instrument"}
STATES = {"", "dead", "isolated", "idle", "blower", "heat_pump", "heat", "after", "defrost", "ordinary"}


@pytest.mark.parametrize("field", templates(), ids=lambda f: f.id)
def test_a_field_is_complete(field: Field) -> None:
    """Kind, pane, state, label and help are all known words."""
    assert field.kind in WORDS or field.kind in KINDS
    assert field.pane in PANES
    assert field.state.partition(".")[0] in STATES
    assert field.label
    assert len(re.sub(r"\{\w+\}", "1", field.label)) <= 27
    assert field.help.endswith(".")
    assert (field.kind == "choice") == bool(field.choices or field.source)
    assert not field.instrument or field.state


def test_ids_are_unique() -> None:
    """An id never names two things."""
    ids = [f.id for f in templates()]
    assert len(ids) == len(set(ids))


def test_every_subject_is_filled_in() -> None:
    """No brace reaches the screen, for any kit."""
    for kit in (*(k.id for k in demo_unit().heater), "none", None):
        for field in applicable(demo_unit(), Situation(kit=kit, outdoor="none", unsafe=True)).values():
            assert "{" not in field.id + field.label + field.help + field.state


def test_an_address_is_asked_for_where_there_is_something_to_tell_apart() -> None:
    """One place without a number shows nothing that could be wrong; a number or a second place does."""

    def asked(*addresses: dict[str, str]) -> list[str]:
        unit = demo_unit()
        places = tuple(unit.address[0].model_validate({"label": "Here", **a}) for a in addresses)
        drawn = applicable(unit.model_copy(update={"address": places}), Situation())
        return [id for id in drawn if id.startswith("identity.address")]

    assert asked({"id": "cabinet"}) == []
    assert asked({"id": "cabinet", "number": "1"}) == ["identity.address.cabinet"]
    assert asked({"id": "a"}, {"id": "b"}) == ["identity.address.a", "identity.address.b"]


def test_a_lost_link_is_tried_where_the_unit_has_one() -> None:
    """A unit that does not say what it does without its control has no link to unplug."""
    unit, kit = demo_unit(), Situation(kit="cedar")
    plain = unit.model_copy(
        update={"topic": tuple(t for t in unit.topic if t.role != "heat-on-lost-communication")}
    )
    path = "heat.path.lost_communication"
    assert path in applicable(unit, kit)
    assert path not in applicable(plain, kit)


def test_what_the_nec_asks_of_a_conductor_is_asked_until_another_code_is_named() -> None:
    """Its ampacity is reckoned from three facts there; elsewhere the technician enters the capacity."""
    reckoned = {f"electrical.circuit.1.{name}" for name in ("insulation", "ambient", "conductors")}
    entered = {"electrical.circuit.1.capacity"}
    for code, expected in ((None, reckoned), ("NEC 2020", reckoned), ("IEC 60364", entered)):
        drawn = applicable(demo_unit(), Situation(kit="cedar", code=code))
        assert drawn.keys() & (reckoned | entered) == expected
