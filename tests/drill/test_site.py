"""Invented sites: varied, wrong as found, and the same again for the same seed."""

from __future__ import annotations

from itertools import chain

import pytest

from asleft.drill.site import NoSite, site
from asleft.equipment.library import find
from asleft.quantity import parse
from drill.sites import left, read_through
from faults.walks import Base, Walked, follow
from played import place_of
from support import demo_unit

RANGES = [range(1, 21), range(11, 31)]
SEEDS = range(1, 21)


@pytest.mark.parametrize("seeds", RANGES, ids=["1..20", "11..30"])
@pytest.mark.parametrize(
    ("role", "least"), [("blower-tier", 3), ("auxiliary-delay", 3), ("outdoor-lockout", 3)]
)
def test_twenty_sites_ask_for_different_answers(seeds: range, role: str, least: int) -> None:
    """No one answer fits all."""
    assert len({left(seed).recommended[role].id for seed in seeds}) >= least


@pytest.mark.parametrize("seeds", RANGES, ids=["1..20", "11..30"])
def test_twenty_sites_have_different_kits(seeds: range) -> None:
    """At least two, every one of them to be enabled whole."""
    kits = {left(seed).site.installation.kit for seed in seeds}
    assert len(kits) >= 2
    for seed in seeds:
        kit = demo_unit().kit(left(seed).site.installation.kit)
        assert kit is not None
        assert set(left(seed).recommended["auxiliary-heat"].value) == {s.id for s in kit.stage}


@pytest.mark.parametrize("seed", sorted({*chain(*RANGES)}))
def test_at_least_two_settings_are_wrong_as_found(seed: int) -> None:
    """There is work to do on every visit."""
    assert left(seed).wrong >= 2


def test_a_seed_is_a_site() -> None:
    """The same each time, and another for another seed."""
    assert site(7, demo_unit()) == site(7, demo_unit())
    assert site(7, demo_unit()) != site(8, demo_unit())


@pytest.mark.parametrize("seed", SEEDS)
def test_settings_found_are_values_that_the_unit_takes(seed: int) -> None:
    """Every place holds one, and no other place does."""
    found = place_of(seed).settings
    assert set(found) == {(s.id, a) for s, a in demo_unit().places()}
    for setting, address in demo_unit().places():
        assert found[setting.id, address] in setting.values


@pytest.mark.parametrize("seed", SEEDS)
def test_job_data_are_typed_as_a_person_would(seed: int) -> None:
    """Every one is a field of this unit, with its unit or one of its choices."""
    found = place_of(seed)
    fields = {**read_through(found, dict(found.settings)).ledger.fields}
    for field, typed in found.job.items():
        if field.startswith("signoff"):
            continue
        kind, choices = fields[field].kind, fields[field].choices
        assert not choices or typed in choices, field
        if kind == "yes_no":
            assert typed in ("yes", "no"), field
        elif kind not in ("text", "choice", "instrument"):
            assert parse(typed, kind).value is not None


@pytest.mark.parametrize(
    ("unit", "seed"),
    [
        *((unit, seed) for unit in ("osmere-corrie-24", "quillfen-sorrel-90") for seed in range(15, 17)),
        ("quillfen-sorrel-90", 28),
        ("quillfen-sorrel-90", 36),
        ("osmere-corrie-24", 33),
        ("sallowby-trine-60", 17),
        ("sallowby-trine-60", 27),
    ],
)
def test_papers_runs_and_lockout_are_a_careful_persons(unit: str, seed: int) -> None:
    """Statics that can be read, at most 3 % lost on the way, a lockout within 5 degF of the balance point."""
    visit = Base(find(unit), site(seed, find(unit).equipment), seed, ())
    job, rig = visit.visit(()), visit.unit()
    follow(job, rig, walked := Walked())
    assert dict(walked.ends) == {"commissioned": 1}
    assert not {key for key in walked.failed if key.startswith(("EL-12", "HS-2", "BL-14"))}
    for field in ("blower.ducts.static", "blower.ducts.losses", "blower.filter.final_drop"):
        if field in visit.place.job:
            assert (
                parse(visit.place.job[field], "static_pressure").value
                >= parse("4 Pa", "static_pressure").value
            )


def test_a_unit_that_leaves_no_room_is_given_up_and_said() -> None:
    """No standard device is small enough for its circuits; the search ends."""
    unit = demo_unit()
    tight = tuple(
        h.model_copy(update={"circuit": tuple(c.model_copy(update={"maximum": 10.0}) for c in h.circuit)})
        for h in unit.heater
    )
    with pytest.raises(NoSite, match=r"lowmoor.*because of heater\.circuit in its file"):
        site(1, unit.model_copy(update={"heater": tight}))
