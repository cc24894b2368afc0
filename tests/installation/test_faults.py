"""Faults on every unit: alone and together, at any size; what cannot be says why, and nobody else knows."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from itertools import combinations
from math import isfinite
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from asleft.equipment.load import load_bytes
from asleft.equipment.model import Equipment
from asleft.installation.behave import behave
from asleft.installation.faults import FAULTS, CannotBe, Fault, clash, with_faults
from asleft.installation.memory import as_found, store
from asleft.installation.unit import Installation
from asleft.session.fields import templates
from installation.reference import REFERENCE, SETTINGS, reads, reference_unit
from played import place_of, places_of
from support import ROOT

FILES = sorted(p for p in (ROOT / "equipment").glob("*.toml") if p.name != "instruments.toml")
SEEDS = (1, 2, 3)


@cache
def unit(path: Path) -> Equipment:
    """A demo unit."""
    return load_bytes(path.read_bytes(), path.name).equipment


Units = tuple[Equipment, Installation, dict[tuple[str, str], str]]


@cache
def known_sites() -> tuple[Units, ...]:
    """Every demo unit at each of three sites, and the reference with either blower."""
    wanted = [(seed, path) for path in FILES for seed in SEEDS]
    places = places_of((seed, path.stem) for seed, path in wanted)
    found = [
        (unit(path), place.installation, place.settings)
        for (_, path), place in zip(wanted, places, strict=True)
    ]
    references = [(reference_unit(fan), REFERENCE, SETTINGS) for fan in ("psc", "caf")]
    return (
        *((equipment, installation, dict(stored)) for equipment, installation, stored in found),
        *references,
    )


@pytest.fixture(scope="module", autouse=True)
def _sites_are_found_before_anything_is_drawn() -> None:
    """A healthy site may take seconds to find, and a draw must not."""
    known_sites()


def possible(equipment: Equipment, installation: Installation) -> list[str]:
    """The kinds that this unit can have."""
    return [kind for kind, known in FAULTS.items() if not known.can_be(installation, equipment)]


@st.composite
def faulty(draw: st.DrawFn, least: int = 1, most: int = 3) -> tuple[Units, list[Fault]]:
    """A unit and faults that can be together there."""
    equipment, installation, stored = draw(st.deferred(lambda: st.sampled_from(known_sites())))
    kinds = draw(
        st.lists(
            st.sampled_from(possible(equipment, installation)), min_size=least, max_size=most, unique=True
        )
    )
    faults: list[Fault] = []
    for kind in kinds:
        size = draw(st.floats(0.0, 1.0, exclude_min=True) | st.sampled_from([0.25, 1.0]))
        where = draw(st.sampled_from(FAULTS[kind].places(installation, equipment)))
        fault = Fault(kind, size, where)
        if not any(clash(installation, equipment, fault, other) for other in faults):
            faults.append(fault)
    return (equipment, installation, stored), faults


def states(equipment: Equipment, installation: Installation) -> list[str]:
    """Every state that something is read in."""
    kit = equipment.kit(installation.kit)
    stages = [f"heat.{n}" for n, _ in enumerate(kit.stage if kit else (), 1)]
    return [
        "isolated",
        "idle",
        "blower",
        *stages,
        "heat.all",
        "after.60",
        "after.300",
        "heat_pump",
        "defrost",
        "ordinary",
    ]


def everything(equipment: Equipment, installation: Installation, stored: Any) -> dict[str, dict[str, Any]]:
    """All that can be read."""
    in_force = as_found(installation, stored).in_force
    return {s: behave(installation, equipment, in_force, s) for s in states(equipment, installation)}


@settings(max_examples=150, deadline=None)
@given(faulty())
def test_whatever_is_wrong_every_reading_is_a_number(drawn: tuple[Units, list[Fault]]) -> None:
    """Finite, in every state, for any faults that can be together at any size."""
    (equipment, installation, stored), faults = drawn
    wrong = with_faults(installation, equipment, faults)
    for state, read in everything(equipment, wrong, stored).items():
        for field, truth in read.items():
            assert not isinstance(truth, float) or isfinite(truth), (state, field, truth)


@settings(max_examples=100, deadline=None)
@given(faulty(least=2), st.randoms())
def test_the_order_of_faults_does_not_matter(drawn: tuple[Units, list[Fault]], random: Any) -> None:
    """The same unit either way."""
    (equipment, installation, _), faults = drawn
    shuffled = random.sample(faults, len(faults))
    assert with_faults(installation, equipment, faults) == with_faults(installation, equipment, shuffled)


@settings(max_examples=60, deadline=None)
@given(faulty())
def test_a_fault_of_no_size_is_none(drawn: tuple[Units, list[Fault]]) -> None:
    """The healthy unit, untouched."""
    (equipment, installation, _), faults = drawn
    none = [Fault(f.kind, 0.0, f.where) for f in faults]
    assert with_faults(installation, equipment, none) == installation


def _heat_enabled(equipment: Equipment, installation: Installation, stored: Any) -> dict[Any, str]:
    """The settings with every stage allowed: what heat is not called shows no fault of it."""
    topic = equipment.role("auxiliary-heat")
    options = topic.options(installation.orientation, installation.kit) if topic else ()
    held = dict(stored)
    for id, value in max(options, key=lambda o: len(o.value)).set.items() if options else ():
        setting = equipment.setting_of(id)
        assert setting is not None
        held |= {(id, address): value for address in setting.address}
    return held


def _all_that_can_be_told(equipment: Equipment, installation: Installation, stored: Any) -> Any:
    """Readings, settings as found, and settings after each was written to another value."""
    memory = as_found(installation, stored)
    written = {}
    for setting, address in equipment.places():
        value = next(v for v in setting.values if v != memory.stored[setting.id, address])
        after = store(installation, equipment, memory, setting.id, address, value)
        written[setting.id, address] = (after.stored, after.in_force)
    return everything(equipment, installation, stored), memory.stored, written


@pytest.mark.parametrize("path", FILES, ids=lambda p: p.stem)
def test_every_fault_shows_somewhere_at_every_place(path: Path) -> None:
    """In a reading, a setting as found, or what a write does, at full size."""
    equipment = unit(path)
    place = place_of(1, path.stem)
    installation, found = place.installation, place.settings
    stored = _heat_enabled(equipment, installation, found)
    healthy = _all_that_can_be_told(equipment, installation, stored)
    for kind in possible(equipment, installation):
        for where in FAULTS[kind].places(installation, equipment):
            wrong = with_faults(installation, equipment, [Fault(kind, 1.0, where)])
            already = kind in LEFT and as_found(wrong, stored).stored == stored
            told = _all_that_can_be_told(equipment, wrong, stored)
            assert already or told != healthy, (kind, where)


LEFT = ("tier-too-low", "tier-too-high", "orientation-setting-wrong", "lockout-too-high", "heat-not-enabled")
"""Faults that are settings alone, which a site may have been left with already."""


@pytest.mark.parametrize("path", FILES, ids=lambda p: p.stem)
def test_what_a_unit_cannot_have_it_says_and_refuses(path: Path) -> None:
    """Words, and the same words when it is asked for all the same."""
    equipment = unit(path)
    installation = place_of(1, path.stem).installation
    for kind, known in FAULTS.items():
        why = known.can_be(installation, equipment)
        if why:
            assert len(why) > 15
            with pytest.raises(CannotBe, match=f"{kind} cannot be here: "):
                with_faults(installation, equipment, [Fault(kind)])
        else:
            assert known.places(installation, equipment)


@pytest.mark.parametrize(
    ("faults", "why"),
    [
        ([Fault("gremlins")], "no kind of fault"),
        ([Fault("loose-lug", 1.5)], "a size is 0 to 1"),
        ([Fault("loose-lug", float("nan"))], "a size is 0 to 1"),
        ([Fault("loose-lug", where="7.l9")], "it can at '1.l2', '1.l1'"),
        ([Fault("phase-unbalance")], "one phase"),
        ([Fault("one-leg-open", where="1.l3")], "it can at '1.l2', '1.l1'"),
        ([Fault("heat-without-kit"), Fault("one-leg-open", where="1.l2")], "cannot be together"),
        ([Fault("heat-without-kit"), Fault("both-poles-one-phase", where="1")], "cannot be together"),
        ([Fault("loose-lug"), Fault("loose-lug", 0.5)], "cannot be together"),
        ([Fault("one-leg-open"), Fault("loose-lug")], "cannot be together"),
        ([Fault("tier-too-low"), Fault("tier-too-high")], "cannot be together"),
        ([Fault("heat-without-kit"), Fault("relay-welded")], "cannot be together"),
        ([Fault("relay-welded"), Fault("heat-without-kit")], "cannot be together"),
    ],
)
def test_faults_that_cannot_be_are_refused(faults: list[Fault], why: str) -> None:
    """Unknown, too large, nowhere, or about one and the same thing."""
    with pytest.raises(CannotBe, match=why):
        with_faults(REFERENCE, reference_unit(), faults)


def test_one_kind_may_be_in_two_places() -> None:
    """Both stages' elements open: nothing heats."""
    both = [Fault("element-open", where="1"), Fault("element-open", where="2")]
    assert reads("heat.2", *both)["electrical.stage.2.current"] == 0.0


GROWS = [
    ("supply-low", "idle", "electrical.line.l1_l2", -1),
    ("loose-lug", "heat.all", "electrical.loaded.l1_l2", -1),
    ("loose-lug", "heat.all", "electrical.circuit.1.joint.l2", 1),
    ("ground-open", "isolated", "electrical.ground.resistance", 1),
    ("device-too-small", "isolated", "electrical.circuit.1.device", -1),
    ("device-too-large", "isolated", "electrical.circuit.1.device", 1),
    ("control-tap-wrong", "idle", "electrical.control.idle", -1),
    ("control-overloaded", "heat.all", "electrical.control.loaded", -1),
    ("element-grounded", "idle", "electrical.circuit.1.no_call.l1", 1),
    ("element-grounded", "isolated", "electrical.stage.1.to_frame", -1),
    ("element-open", "heat.1", "electrical.stage.1.current", -1),
    ("filter-loaded", "blower", "blower.static.filter", 1),
    ("filter-loaded", "blower", "blower.static.return", -1),
    ("return-restricted", "blower", "blower.static.return", -1),
    ("damper-closed", "blower", "blower.static.supply", 1),
    ("capacitor-weak", "blower", "blower.static.supply", -1),
    ("manometer-offset", "blower", "blower.static.supply", 1),
    ("probe-sees-elements", "heat.2", "heat.stage.2.leaving_air", 1),
    ("sensor-source-wrong", "idle", "heat.room.shown", -1),
    ("outdoor-sensor-off", "idle", "heat.outdoor.shown", 1),
    ("lockout-gap", "idle", "heat.outdoor.cut_out", 1),
]


@pytest.mark.parametrize(("kind", "state", "field", "way"), GROWS, ids=lambda v: str(v))
@given(sizes=st.tuples(st.floats(0.05, 1.0), st.floats(0.05, 1.0)))
@settings(max_examples=15, deadline=None)
def test_a_larger_fault_reads_further_off(
    kind: str, state: str, field: str, way: int, sizes: tuple[float, float]
) -> None:
    """The reading only ever moves one way as the size grows, and a full fault moves it."""
    read = [way * reads(state, Fault(kind, s), fan="psc")[field] for s in (*sorted(sizes), 1.0)]
    assert read[0] <= read[1] + 1e-9
    assert read[1] <= read[2] + 1e-9
    assert read[2] > way * reads(state, fan="psc")[field]


def test_each_kind_has_words_for_a_person() -> None:
    """What it is called, and what its size means."""
    assert len({known.called for known in FAULTS.values()}) == len(FAULTS)
    for known in FAULTS.values():
        assert known.called
        assert known.sizes


PLAIN_PART, PLAIN_UNITS = 0.01, 0.3
"""What instruments tell apart at the worst: 1 %, and 0.3 of volts, amps, pascals, kelvins or ohms."""


def _plainly_off(healthy: Any, wrong: Any) -> bool:
    if isinstance(healthy, float) and isinstance(wrong, float):
        return abs(wrong - healthy) > PLAIN_PART * abs(healthy) + PLAIN_UNITS
    return bool(healthy != wrong)


@pytest.mark.parametrize("kind", sorted(set(FAULTS) - {"heater-starved"}))
def test_a_mild_fault_is_mild_and_yet_shows(kind: str) -> None:
    """By more than instruments scatter, or by what stands in the control, as found or after a write.

    Somewhere: a setting left wrong in one place may be what the reference is set to.
    """
    three = replace(REFERENCE, phases=3, system="wye")
    units = ((reference_unit("psc"), REFERENCE), (reference_unit("caf", 3), three))
    equipment, installation = next(u for u in units if not FAULTS[kind].can_be(u[1], u[0]))
    readings, *control = _all_that_can_be_told(equipment, installation, SETTINGS)
    shown = False
    for where in FAULTS[kind].places(installation, equipment):
        mild = with_faults(installation, equipment, [Fault(kind, FAULTS[kind].mild, where)])
        wrong, *its_control = _all_that_can_be_told(equipment, mild, SETTINGS)
        shown |= control != its_control or any(
            _plainly_off(healthy, wrong.get(state, {}).get(field))
            for state, fields in readings.items()
            for field, healthy in fields.items()
        )
    assert 0.0 < FAULTS[kind].mild < 1.0
    assert shown


@pytest.mark.parametrize("room", ["drill", "checks", "guide", "visit"])
def test_who_reads_the_unit_knows_no_fault_by_name(room: str) -> None:
    """Readings come from the physics alone. A word that a field offers as a choice is not a fault's alone.

    The classroom teaches and judges faults by their names, and reads nothing.
    """
    offered = {choice for field in templates() for choice in field.choices}
    folder = ROOT / "src" / "asleft" / room
    files = [p for p in folder.rglob("*") if p.suffix in (".py", ".toml") and "classroom" not in p.parts]
    texts = [p.read_text("utf-8") for p in files]
    assert texts
    for kind in set(FAULTS) - offered:
        assert not [text for text in texts if kind in text], kind


def test_two_faults_of_a_kind_clash_where_they_are_and_not_beside() -> None:
    """At the same place only."""
    equipment = reference_unit()
    places = FAULTS["element-open"].places(REFERENCE, equipment)
    for one, other in combinations(places, 2):
        assert not clash(
            REFERENCE, equipment, Fault("element-open", where=one), Fault("element-open", where=other)
        )
        assert clash(REFERENCE, equipment, Fault("element-open", where=one), Fault("element-open", where=one))
