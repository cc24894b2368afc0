"""Invented sites: varied, wrong as found, and the same again for the same seed."""

from __future__ import annotations

from itertools import chain

import pytest

from asleft.drill.site import NoSite, site
from asleft.quantity import parse
from drill.sites import left, read_through
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
    found = site(seed, demo_unit()).settings
    assert set(found) == {(s.id, a) for s, a in demo_unit().places()}
    for setting, address in demo_unit().places():
        assert found[setting.id, address] in setting.values


@pytest.mark.parametrize("seed", SEEDS)
def test_job_data_are_typed_as_a_person_would(seed: int) -> None:
    """Every one is a field of this unit, with its unit or one of its choices."""
    found = site(seed, demo_unit())
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


def test_a_unit_that_leaves_no_room_is_given_up_and_said() -> None:
    """No standard device is small enough for its circuits; the search ends."""
    unit = demo_unit()
    tight = tuple(
        h.model_copy(update={"circuit": tuple(c.model_copy(update={"maximum": 10.0}) for c in h.circuit)})
        for h in unit.heater
    )
    with pytest.raises(NoSite, match=r"lowmoor.*because of heater\.circuit in its file"):
        site(1, unit.model_copy(update={"heater": tight}))
