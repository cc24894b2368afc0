"""What the physics changes when a part is healed lies in its reach; what is in its reach, a fault shows."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fnmatch import fnmatchcase
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from asleft.equipment.model import Equipment
from asleft.installation.behave import behave
from asleft.installation.faults import FAULTS, CannotBe, Fault, with_faults
from asleft.installation.faults.kind import Kind
from asleft.installation.memory import as_found, store
from asleft.installation.unit import Installation
from asleft.session.fields import Situation, applicable, field_of, templates
from asleft.session.parts import EVERY, INSTRUMENT, SELF, ever_of, is_part, reaches, table
from installation.test_faults import _heat_enabled, faulty, known_sites, possible, states

Truths = dict[str, Any]
MINUTES = ("after.120", "after.600")
"""Of the ten minutes some more than `states` has."""


def truths(equipment: Equipment, installation: Installation, in_force: Mapping[Any, str]) -> Truths:
    """Everything that can be read at a unit, state by state: a field has one state."""
    return {
        id: truth
        for state in (*states(equipment, installation), *MINUTES)
        for id, truth in behave(installation, equipment, in_force, state).items()
        if field_of(id) is not None
    }


def changed(before: Truths, after: Truths) -> set[str]:
    """The fields that read something else. One that is not there has no reading that could be old."""
    return {id for id in before.keys() & after.keys() if before[id] != after[id]}


def healed(equipment: Equipment, part: str) -> tuple[str, ...]:
    """The parts that heal a fault: every stage together where it is of none by number."""
    return tuple(name for name in sorted(ever_of(equipment)) if fnmatchcase(name, part))


@pytest.fixture(scope="module", autouse=True)
def _sites_are_found_before_anything_is_drawn() -> None:
    known_sites()


@dataclass(frozen=True)
class Healing:
    """A site of `known_sites` with faults, the one to be healed, and what is written in the visit before."""

    site: int
    heat: bool
    faults: list[Fault]
    one: Fault
    wrote: list[tuple[tuple[str, str], str]]


@st.composite
def healing(draw: st.DrawFn) -> Healing:
    """Any of them: with heat enabled or as the control was found."""
    (equipment, installation, stored), faults = draw(faulty())
    site = next(n for n, known in enumerate(known_sites()) if known[1] is installation)
    one = faults[draw(st.integers(0, 5)) % len(faults)]
    wrote = []
    for n in draw(st.lists(st.integers(0, 500), max_size=3)):
        place = sorted(stored)[n % len(stored)] if stored else None
        setting = equipment.setting_of(place[0]) if place else None
        if place is not None and setting is not None:
            wrote.append((place, setting.values[n % len(setting.values)]))
    return Healing(site, draw(st.booleans()), faults, one, wrote)


@settings(max_examples=150, deadline=None)
@given(healing())
def test_whatever_a_healed_fault_changes_is_in_the_reach_of_its_part(drawn: Healing) -> None:
    """At any unit, of any size and in any place, other faults beside it, and whatever was written before."""
    (equipment, installation, stored), one = known_sites()[drawn.site], drawn.one
    if drawn.heat:
        stored = _heat_enabled(equipment, installation, stored)
    others = [fault for fault in drawn.faults if fault != one]
    read = []
    for unit in (with_faults(installation, equipment, them) for them in (drawn.faults, others)):
        memory = as_found(unit, stored)
        for (id, address), value in drawn.wrote:
            memory = store(unit, equipment, memory, id, address, value)
        read.append(truths(equipment, unit, memory.in_force))
    moved = sorted(changed(*read))
    where = one.where or FAULTS[one.kind].places(installation, equipment)[0]
    parts = healed(equipment, FAULTS[one.kind].part_at(where))
    assert parts
    assert [id for id in moved if not any(_told(part, id) for part in parts)] == []


def _told(part: str, id: str) -> bool:
    """Whether the table says that a mended part changes a field, or that no repair makes that stale."""
    return reaches(part, id) or any(fnmatchcase(id, spared) for spared in table().spared)


@pytest.fixture(scope="module")
def shown() -> dict[str, set[str]]:
    """By the parts of the table, the fields as written that a fault of theirs changes at some unit."""
    found: dict[str, set[str]] = {}
    for equipment, installation, stored in known_sites():
        held = _heat_enabled(equipment, installation, stored)
        healthy = truths(equipment, installation, as_found(installation, held).in_force)
        for fault in _faults(equipment, installation):
            wrong = with_faults(installation, equipment, [fault])
            read = truths(equipment, wrong, as_found(wrong, held).in_force)
            part = _as_written(FAULTS[fault.kind].part_at(fault.where))
            written = {known.id for id in changed(healthy, read) if (known := field_of(id)) is not None}
            found.setdefault(part, set()).update(written)
    return found


def _faults(equipment: Equipment, installation: Installation) -> Iterator[Fault]:
    """Every fault at its full size in every place."""
    for kind in possible(equipment, installation):
        for where in FAULTS[kind].places(installation, equipment):
            yield Fault(kind, 1.0, where)


def _as_written(part: str) -> str:
    """A part as the table has it, the number still to be filled in."""
    begins = {known.id.partition(SELF)[0]: known.id for known in table().parts if SELF in known.id}
    return next((id for begin, id in begins.items() if part.startswith(begin)), part)


@pytest.mark.parametrize("part", [p.id for p in table().parts if not p.id.startswith(INSTRUMENT)])
def test_whatever_is_in_a_reach_a_fault_of_that_part_shows_or_the_table_says_why(
    part: str, shown: dict[str, set[str]]
) -> None:
    """So that no reading is asked for again for nothing. An instrument has read what it has read."""
    names = [name for equipment in _units() for name in ever_of(equipment) if _as_written(name) == part]
    reached = {
        known.id
        for equipment in _units()
        for id in _every_field(equipment)
        if (known := field_of(id)) is not None and any(reaches(name, id) for name in names)
    }
    assert reached
    plain = {id for id in reached if not any(fnmatchcase(_one(id), why) for why in table().unshown)}
    assert sorted(plain - shown.get(part, set())) == []


def _one(id: str) -> str:
    """A field as written, by a number in the place of each brace."""
    return ".".join("1" if word.startswith("{") else word for word in id.split("."))


def _units() -> list[Equipment]:
    return list({id(e): e for e, _, _ in known_sites()}.values())


def _every_field(equipment: Equipment) -> set[str]:
    pairings = equipment.heat_pump.pairing if equipment.heat_pump else ()
    outdoor = pairings[0].id if pairings else None
    yes = frozenset({"blower.zoned"})
    kits = (kit.id for kit in equipment.heater)
    return {id for kit in kits for id in applicable(equipment, Situation(kit=kit, outdoor=outdoor, yes=yes))}


@pytest.mark.parametrize("kind", FAULTS.values(), ids=lambda kind: kind.kind)
def test_every_fault_names_a_part_that_its_unit_has(kind: Kind) -> None:
    """In every place where it can be; the blower's own circuit is the supply's."""
    assert is_part(kind.part.replace(SELF, "1").replace(EVERY, "1"))
    for equipment, installation, _ in known_sites():
        try:
            places = kind.places(installation, equipment)
        except CannotBe:
            continue
        for where in places:
            assert healed(equipment, kind.part_at(where)), (equipment.unit.id, where)


def test_what_the_supply_can_change_is_every_reading_taken_live_or_hot() -> None:
    """Of the unit itself: weather, room and open ports are what they are without it."""
    live = {
        f.id
        for f in templates()
        if f.instrument in ("meter", "clamp", "manometer", "thermometer", "anemometer")
        and f.state not in ("", "isolated")
        and not f.id.startswith(("heat.outdoor.", "heat.room.", "blower.open_port"))
    }
    assert [id for id in sorted(live) if not _told("supply", _one(id))] == []
    assert not reaches("supply", "electrical.circuit.1.device")


def test_a_mended_element_changes_what_the_trade_says_and_no_other_stage_s_insulation() -> None:
    """Amps, volts under load, rise, leaving air, the ten minutes, insulation of that stage."""
    asked = (
        "electrical.stage.1.current",
        "electrical.stage.2.voltage",
        "electrical.loaded.l1_l2",
        "heat.stage.2.leaving_air",
        "heat.stage.2.return_air",
        "heat.minute.10.current",
        "electrical.stage.2.to_frame",
    )
    assert [id for id in asked if not reaches("stage.2", id)] == []
    spared = ("electrical.stage.1.to_frame", "blower.static.supply", "electrical.ground.resistance")
    assert [id for id in spared if reaches("stage.2", id)] == []


def test_an_instrument_changes_all_that_it_read_and_nothing_else() -> None:
    """By its role alone, a field that describes it included."""
    for known in templates():
        for role in ("meter", "clamp", "manometer", "thermometer", "anemometer"):
            by_it = role in (known.instrument, known.of_instrument)
            assert reaches(f"instrument.{role}", _one(known.id)) == by_it, (known.id, role)
