"""What a setting changes by physics is what its write makes stale: `changed_by` leaves nothing out."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from asleft.drill.site import Site
from asleft.equipment.library import find, units
from asleft.equipment.model import Equipment
from asleft.installation.behave import Truth, behave
from asleft.installation.memory import as_found
from asleft.installation.unit import Place
from asleft.session.fields import Field, applicable
from played import place_of

SEED = 1
MOVES = 0.01
"""What counts as another reading, as a part of it; of a temperature, of 20 K."""


def moved(field: Field, one: Truth | None, other: Truth | None) -> bool:
    """Whether a field reads something else; where nothing is to be read any more, nothing is compared."""
    if one is None or other is None or isinstance(one, bool | str) or isinstance(other, bool | str):
        return None not in (one, other) and one != other
    return abs(one - other) > MOVES * (20.0 if field.kind == "temperature" else max(abs(one), abs(other)))


def others(equipment: Equipment, place: Site) -> Iterator[tuple[str, dict[Place, str], dict[Place, str]]]:
    """The role of every topic, with the settings of one of its options and then of another."""
    held = dict(as_found(place.installation, place.settings).stored)
    for topic in equipment.topic:
        values = {id: value for (id, _), value in held.items()}
        offered = topic.options(place.installation.orientation, place.installation.kit or "none", values.get)
        found = []
        for option in offered:
            put = {
                (setting.id, at): option.set[setting.id]
                for setting in equipment.setting
                if setting.id in option.set
                for at in setting.address
            }
            found.append({**held, **put})
        yield from ((topic.role, found[0], now) for now in found[1:])


@pytest.mark.parametrize("unit", sorted(known.id for known in units()))
def test_a_field_names_every_role_whose_settings_change_it(unit: str) -> None:
    """Else a reading from before a write passes for one from after it: a circuit's amps hold the blower's."""
    equipment, place = find(unit).equipment, place_of(SEED, unit)
    fields = [f for f in applicable(equipment, place.situation).values() if f.state and not f.optional]
    states = sorted({f.state for f in fields})
    left_out = set()
    for role, one, now in others(equipment, place):
        for state in states:
            before, after = (behave(place.installation, equipment, s, state) for s in (one, now))
            for field in fields:
                if field.state == state and moved(field, before.get(field.id), after.get(field.id)):
                    left_out |= {(field.id, role)} if role not in field.changed_by else set()
    assert left_out == set()
