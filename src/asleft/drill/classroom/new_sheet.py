"""A new drill sheet to write on: every key explained, and what can be wrong at this unit beside it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from asleft.drill.classroom.places import Places
from asleft.installation.faults import FAULTS

if TYPE_CHECKING:
    from asleft.drill.site import Site
    from asleft.equipment.model import Equipment


def new_sheet(equipment: Equipment, healthy: Site) -> str:
    """The text of a sheet for a unit and the site of a seed, with one fault that can be there."""
    return "\n".join(_lines(equipment, healthy)) + "\n"


def _lines(equipment: Equipment, healthy: Site) -> Iterator[str]:
    places = Places(healthy, equipment)
    can = {kind: wrong for kind in places.possible() if (wrong := places.wrong(kind))}
    yield "# A drill sheet. `asleft drill FILE` begins it, `asleft drill FILE --key` prints its key."
    yield "# The trainee never sees this file: the unit runs as a program of its own, asleft rig FILE."
    yield "format = 1"
    yield 'title = "What the lesson is called"'
    yield "level = 1                  # 1 to 3, for the board"
    yield f'unit = "{equipment.unit.id}"'
    yield f"seed = {healthy.seed}                   # which invented house and supply; the same for everybody"
    yield "minutes = 60               # the time allowed; leave it out and time is not scored"
    yield 'hands = "set"              # "set": instruments set as each row asks; "own": by hand'
    yield "warned = true              # a locked act is told before it is done; false: done at once, a breach"
    yield 'aims = ["Say here what is to be learned, without giving it away."]'
    yield 'hints = ["A first push.", "A stronger one; each costs points."]'
    yield ""
    first, wheres = next(iter(can.items()))
    yield "[[fault]]                  # as many as you like; none makes a healthy unit"
    yield f'kind = "{first}"'
    yield "size = 1.0                 # above 0, at most 1"
    if wheres[0]:
        yield f'where = "{wheres[0]}"'
    yield ""
    yield "# What can be wrong at this unit, how large, and where:"
    for kind, where in can.items():
        known = FAULTS[kind]
        there = f"; where = {', '.join(where)}" if where[0] else ""
        yield f"#   {kind:30} {known.called}: {known.sizes}{there}"
