"""The parts of a unit: which there are, how they are named, and which a finding means."""

from __future__ import annotations

from fnmatch import fnmatchcase

import pytest

from asleft.checks import catalogue
from asleft.session.acts import FindingName
from asleft.session.fields import Situation, applicable
from asleft.session.parts import (
    SELF,
    NotAPart,
    default_parts,
    ever_of,
    is_part,
    part_and_text,
    parts_of,
    reaches,
    table,
)
from support import demo_unit

HERE = parts_of(applicable(demo_unit(), Situation(kit="cedar", outdoor="fellgate-36")))


def test_a_unit_has_the_parts_of_its_kit_and_every_unit_has_the_others() -> None:
    """A circuit and a stage for each of the kit's; without a kit none of either."""
    assert HERE[:9] == (
        "supply",
        "circuit.1",
        "control-circuit",
        "stage.1",
        "stage.2",
        "blower",
        "supply-duct",
        "return-duct",
        "filter",
    )
    assert set(HERE[9:]) == {
        "sensor.outdoor",
        "sensor.room",
        "control",
        *(f"instrument.{role}" for role in ("meter", "clamp", "manometer", "thermometer", "anemometer")),
    }
    bare = parts_of(applicable(demo_unit(), Situation(kit="none")))
    assert not [part for part in bare if part.startswith(("circuit.", "stage."))]
    assert set(bare) | set(HERE) <= ever_of(demo_unit())
    assert "circuit.9" not in ever_of(demo_unit())


@pytest.mark.parametrize(
    ("typed", "part", "text"),
    [
        ("supply: tap moved", "supply", "tap moved"),
        ("stage.2: element replaced", "stage.2", "element replaced"),
        ("Stage 2:element replaced", "stage.2", "element replaced"),
        ("SUPPLY DUCT : damper opened", "supply-duct", "damper opened"),
        ("instrument.clamp: zeroed: twice", "instrument.clamp", "zeroed: twice"),
        ("replaced the element", "", "replaced the element"),
        ("found: the lug was loose", "", "found: the lug was loose"),
        ("the supply: was low", "", "the supply: was low"),
        ("10:30, called the utility", "", "10:30, called the utility"),
        ("filter:", "filter", ""),
        (": odd", "", ": odd"),
    ],
)
def test_a_text_names_a_part_where_it_begins_with_one_of_this_unit(typed: str, part: str, text: str) -> None:
    """In any case, a space for a dot or a hyphen; any other word before a colon is text."""
    assert part_and_text(typed, HERE) == (part, text)


@pytest.mark.parametrize(
    ("typed", "right"),
    [
        ("stage.3: replaced", ("stage.1", "stage.2")),
        ("circuit.2: lug", ("circuit.1",)),
    ],
)
def test_a_stage_or_circuit_that_is_not_there_is_no_text(typed: str, right: tuple[str, ...]) -> None:
    """It was meant as a part; those there are of its kind are told."""
    with pytest.raises(NotAPart) as refused:
        part_and_text(typed, HERE)
    assert refused.value.right == right


@pytest.mark.parametrize(
    "name", ["", "stage", "stage.", "sensor.attic", "instrument.ruler", "roof", "circuit.{}"]
)
def test_what_no_unit_can_have_is_no_part(name: str) -> None:
    """Nor does it reach anything."""
    assert is_part("stage.7")
    assert not is_part(name) or name == "circuit.{}"
    assert not reaches(name, "electrical.stage.1.to_frame")


def test_every_check_says_which_part_its_failure_can_mean_or_that_none_is_mended() -> None:
    """Whoever adds a check says it in parts.toml, under [default] or [own_readings]."""
    ids = {rule.id for rule in catalogue()}
    assert sorted(ids - set(table().default) - table().own_readings) == []
    assert not set(table().default) & table().own_readings
    for id, parts in table().default.items():
        assert parts, id
        assert all(is_part(part.replace(SELF, "1").replace("sensor.1", "sensor.room")) for part in parts), id


@pytest.mark.parametrize(
    ("key", "parts"),
    [
        ("EL-2 unit", {"supply"}),
        ("EL-15 stage.2", {"stage.2"}),
        ("EL-12 circuit.1.measured", {"circuit.1"}),
        ("EL-22 circuit.1", {"circuit.1", "stage.1", "stage.2"}),
        ("HS-14 unit", {"sensor.outdoor", "sensor.room", "instrument.thermometer"}),
        ("EL-24 unit", {"instrument.clamp"}),
        ("ID-2 unit", set()),
    ],
)
def test_a_finding_means_the_part_of_its_subject_or_every_one_that_it_can(key: str, parts: set[str]) -> None:
    """Where the check cannot say which, all of them."""
    assert set(default_parts(FindingName.of_key(key), HERE)) == parts


def test_no_repair_makes_the_proof_of_absence_stale() -> None:
    """It ends with power on, by its own rule; a repair ends no isolation."""
    assert all(table().spared.values())
    for part in HERE:
        if not part.startswith("instrument."):
            assert not reaches(part, "electrical.dead.circuit.1.l1_ground")


def test_the_legs_and_pairs_of_a_supply_and_both_statics_are_in_a_reach_together() -> None:
    """What is judged together is taken again together."""
    fields = tuple(applicable(demo_unit(), Situation(kit="cedar", outdoor="fellgate-36")))
    for whole in (
        "electrical.line.*",
        "blower.static.*",
        "heat.static.*",
        "heat.stage.*_air",
        "heat.minute.*",
    ):
        among = [id for id in fields if fnmatchcase(id, whole)]
        assert len(among) > 1
        for part in (p for p in HERE if not p.startswith("instrument.")):
            assert len({reaches(part, id) for id in among}) == 1, (part, whole)
