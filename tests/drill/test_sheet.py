"""Drill sheets: read whole, refused with every error at its line, drawn by a seed."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from asleft.drill.classroom.new_sheet import new_sheet
from asleft.drill.classroom.places import Places
from asleft.drill.classroom.sheet import SheetErrors, drawn, lessons, stage, staged
from asleft.drill.site import site
from asleft.equipment.library import find, units
from asleft.equipment.model import EquipmentFile
from asleft.installation.faults import FAULTS
from played import place_of

SPLIT, THREE_PHASE = "tarnfield-lowmoor-36", "brinmere-staithe-60"
GOOD = """format = 1
title = "Warm, not hot"
level = 2
unit = "tarnfield-lowmoor-36"
seed = 1
minutes = 60
hands = "own"
warned = true
aims = ["Read both."]
hints = ["One.", "Two."]

[[fault]]
kind = "element-open"
size = 0.5
where = "1"

[[fault]]
kind = "filter-loaded"
"""


def read(text: str) -> Any:
    """A sheet of these words."""
    return staged(text.encode(), "lesson.toml", find)


def refused(text: str) -> str:
    """Everything that is said of a bad sheet."""
    with pytest.raises(SheetErrors) as error:
        read(text)
    return str(error.value)


def test_a_good_sheet_is_read_whole() -> None:
    """Every key, and the faults with their sizes and places; the site is the seed's, changed by them."""
    found = read(GOOD)
    sheet = found.sheet
    assert (sheet.title, sheet.level, sheet.minutes, sheet.hands, sheet.warned) == (
        "Warm, not hot",
        2,
        60,
        "own",
        True,
    )
    assert [(f.kind, f.size, f.where) for f in sheet.faults] == [
        ("element-open", 0.5, "1"),
        ("filter-loaded", 1.0, ""),
    ]
    assert sheet.aims == ("Read both.",)
    assert sheet.hints == ("One.", "Two.")
    assert "\n".join(sheet.lines) == GOOD
    assert found.healthy == site(1, find(SPLIT).equipment)
    assert found.installation != found.healthy.installation


@pytest.mark.parametrize(
    ("old", "new", "line", "words"),
    [
        ('kind = "element-open"', 'kind = "element-opened"', 13, "element-open"),
        ("size = 0.5", "size = 0", 14, "a size above 0, at most 1"),
        ("size = 0.5", "size = 1.5", 14, "a size above 0, at most 1"),
        ("size = 0.5", "size = true", 14, "found true"),
        ("size = 0.5", 'size = "half"', 14, "a size above 0, at most 1"),
        ('where = "1"', 'where = "7"', 15, 'one of "1", "2"'),
        ('kind = "filter-loaded"', 'kind = "filter-loaded"\nwhere = "1"', 19, "it can be in one only"),
        ('kind = "filter-loaded"', 'kind = "phase-unbalance"', 18, "the supply has one phase"),
        ('kind = "filter-loaded"', 'kind = "element-open"\nwhere = "1"', 18, "cannot be together"),
        ("level = 2", "level = 4", 3, "a whole number from 1 to 3"),
        ("seed = 1", "seed = -1", 5, "a whole number from 0"),
        ('unit = "tarnfield-lowmoor-36"', 'unit = "nobody"', 4, "a unit of asleft equipment list"),
        ('hands = "own"', 'hands = "both"', 7, '"set" or "own"'),
        ("warned = true", 'warned = "yes"', 8, "true or false"),
        ('aims = ["Read both."]', 'aims = "Read both."', 9, "a list of texts"),
        ('aims = ["Read both."]', "aims = [7]", 9, "a text"),
        ("minutes = 60", "minuts = 60", 6, "minutes"),
        ('title = "Warm, not hot"', 'title = ""', 2, "a text"),
        ('title = "Warm, not hot"\n', "", 1, "found nothing"),
        ("format = 1", "format = 2", 1, "format = 1"),
        ("format = 1", 'format = "', 1, "valid TOML"),
    ],
)
def test_what_is_wrong_is_said_with_its_line_and_what_would_be_right(
    old: str, new: str, line: int, words: str
) -> None:
    """One mistake, one message."""
    assert old in GOOD
    said = refused(GOOD.replace(old, new, 1))
    assert said.startswith(f"lesson.toml:{line}:")
    assert words in said


def test_a_fault_that_this_unit_cannot_have_names_those_it_can() -> None:
    """An open phase on one phase is refused with the list; at a three-phase unit it is taken."""
    said = refused(GOOD.replace("filter-loaded", "phase-unbalance"))
    can = Places(site(1, find(SPLIT).equipment), find(SPLIT).equipment).possible()
    assert all(kind in said for kind in can)
    three = GOOD.replace(SPLIT, THREE_PHASE).replace('kind = "filter-loaded"', 'kind = "phase-unbalance"')
    assert read(three.replace('where = "1"\n', "")).sheet.faults[1].kind == "phase-unbalance"


def test_a_setting_that_is_right_at_this_site_is_no_fault() -> None:
    """It is refused with the places at which it would be one; unsaid, it goes there."""
    equipment = find(SPLIT).equipment
    places = Places(site(1, equipment), equipment)
    high = GOOD.replace("filter-loaded", "lockout-too-high")
    wrong, every = places.wrong("lockout-too-high"), places.possible()["lockout-too-high"]
    harmless = next(where for where in every if where not in wrong)
    said = refused(high.rstrip() + f'\nwhere = "{harmless}"\n')
    assert "no fault at this site" in said
    assert all(f'"{where}"' in said for where in wrong)
    assert read(high).faults[1].where == wrong[0]
    for kind in ("tier-too-low", "tier-too-high"):
        assert len(places.wrong(kind)) <= 1


def test_everything_wrong_is_said_at_once_in_the_order_of_the_file() -> None:
    """A trainer mends a sheet in one go."""
    bad = (
        GOOD.replace("level = 2", "level = 9").replace("size = 0.5", "size = 9").replace("Two.", "T\\u001bwo")
    )
    assert [line.split(":")[1] for line in refused(bad).splitlines()] == ["3", "10", "14"]
    assert "\x1b" not in refused(bad)


@pytest.mark.parametrize("known", [known.id for known in units()])
def test_a_new_sheet_is_a_good_one_at_every_unit(known: str) -> None:
    """And names beside it all that can be wrong there."""
    equipment = find(known).equipment
    text = new_sheet(equipment, place_of(2, known))
    found = read(text)
    assert found.sheet.unit == known
    assert len(found.sheet.faults) == 1
    places = Places(found.healthy, equipment)
    for kind in places.possible():
        assert (f"#   {kind} " in text) == bool(places.wrong(kind))


@pytest.mark.parametrize("name", sorted(lessons()))
def test_every_ready_lesson_is_sound(name: str) -> None:
    """It has aims, hints and a time, and its title and aims name none of its faults."""
    sheet = stage(name, find).sheet
    assert sheet.aims
    assert sheet.minutes
    assert len(sheet.hints) >= 2 or not sheet.faults
    told = " ".join((sheet.title, *sheet.aims)).casefold()
    for fault in sheet.faults:
        assert fault.kind not in told
        assert FAULTS[fault.kind].called.casefold() not in told


def test_the_ready_lessons_go_from_first_day_to_hard() -> None:
    """Five at least, of every level, on several units, both kinds of hands."""
    sheets = [stage(name, find).sheet for name in lessons()]
    assert len(sheets) >= 5
    assert {sheet.level for sheet in sheets} == {1, 2, 3}
    assert len({sheet.unit for sheet in sheets}) >= 3
    assert {sheet.hands for sheet in sheets} == {"set", "own"}


@given(st.integers(0, 10_000), st.integers(1, 3), st.sampled_from([SPLIT, THREE_PHASE]))
@settings(max_examples=8, deadline=None)
def test_a_seed_draws_the_same_drill_every_time(seed: int, level: int, unit: str) -> None:
    """As many faults as the level says, and the sheet written reads back as the same drill."""
    equipment: EquipmentFile = find(unit)
    one, other = drawn(seed, level, equipment), drawn(seed, level, equipment)
    assert one.sheet == other.sheet
    assert len(one.sheet.faults) == level
    again = read(one.sheet.text)
    assert again.sheet.faults == one.sheet.faults
    assert again.installation == one.installation


def test_an_equipment_file_beside_the_sheet_is_found(tmp_path: Path) -> None:
    """By its name, wherever the program is run from."""
    (tmp_path / "mine.toml").write_text(find(SPLIT).text, "utf-8")
    (tmp_path / "lesson.toml").write_text(GOOD.replace(SPLIT, "mine.toml"), "utf-8")
    assert stage(str(tmp_path / "lesson.toml"), find).equipment.equipment.unit.id == SPLIT


def test_a_sheet_that_is_not_there_is_no_traceback(tmp_path: Path) -> None:
    """It is the system's own error, which the command says in a sentence."""
    with pytest.raises(OSError, match="nowhere"):
        stage(str(tmp_path / "nowhere.toml"), find)
