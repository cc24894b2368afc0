"""A narrow fan table has sites too; where a file leaves none, the figure in the way is named."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from asleft.drill.site import NoSite, site
from asleft.equipment.library import find
from asleft.equipment.load import load_bytes
from asleft.equipment.model import EquipmentFile
from asleft.quantity import parse
from asleft.unattended import play
from drill.test_any_unit import KIT, LEAST

ROW = re.compile(r"^  \[([0-9.]+), .*\n", re.MULTILINE)
NARROW = {
    "tarnfield-lowmoor-36": (0.60, 0.70),
    "brinmere-staithe-60": (0.52, 0.60),
    "sallowby-trine-60": (0.56, 0.64),
}
"""A unit, and the two statics, in. w.c., to which all its tables are cut."""


def cut(id: str) -> EquipmentFile:
    """The file of a unit with two rows of every fan table."""
    kept = NARROW[id]
    text = ROW.sub(lambda row: row[0] if float(row[1]) in kept else "", find(id).text)
    return load_bytes(text.encode(), f"{id}.toml")


@pytest.mark.parametrize("id", NARROW)
def test_a_unit_whose_tables_hold_two_rows_is_played_to_a_signature(id: str, tmp_path: Path) -> None:
    """The ducts are made for what the tables span."""
    file = cut(id)
    assert {len(s.rows) for t in file.equipment.blower.tier for s in t.speed} == {2}
    assert play(tmp_path, file, 1).outcome == "commissioned"


ROWS = LEAST[LEAST.index("rows = ") :].rstrip()
TOO_LITTLE = '[blower]\nlowest_airflow = "400 L/s"\n[[blower.tier]]'
TOO_HUNGRY = KIT.replace("120 L/s", "900 L/s") + "[[supply]]"
TOO_COOL = KIT.replace("160 degF", "75 degF") + "[[supply]]"
TIER = LEAST[LEAST.index("[[blower.tier]]") :]
TOO_STILL = '[blower]\nhighest_static = "40 Pa"\n' + TIER.replace("[0, 300", "[50, 280")
TOO_MUCH = '[blower]\nhighest_airflow = "90 L/s"\n[[blower.tier]]'


@pytest.mark.parametrize(
    ("old", "new", "field", "why"),
    [
        (ROWS, 'rows = [[200, 100, ""], [205, 98, ""]]', "blower.tier.speed.rows", "too near together"),
        ("[200, 100,", '[200, "",', "blower.tier.speed.rows", "an airflow in fewer than two rows"),
        ("[[blower.tier]]", TOO_LITTLE, "blower.lowest_airflow", "a fan table holds less"),
        ("[[blower.tier]]", TOO_MUCH, "blower.highest_airflow", "a fan table holds more"),
        (TIER, TOO_STILL, "blower.highest_static", "works well below it"),
        ("[[supply]]", TOO_HUNGRY, "heater.least_airflow", "no tier moves well more than that with heat on"),
        ("[[supply]]", TOO_COOL, "limits.leaving_air", "the air leaves warmer"),
        ('lowest = "210 V"', 'lowest = "239 V"', "supply.lowest", "a good supply comes too near it"),
    ],
)  # fmt: skip
def test_where_there_is_no_site_the_figure_in_the_way_is_named(
    old: str, new: str, field: str, why: str
) -> None:
    """By its field in the file, with the reason and what would be right, in one sentence."""
    text = LEAST.replace(old, new, 1)
    with pytest.raises(NoSite, match=why) as refused:
        site(1, load_bytes(text.encode(), "mote.toml").equipment)
    assert refused.value.field.startswith(field)
    said = str(refused.value)
    assert field in said
    assert "; right would be " in said
    assert said.endswith(".")
    assert ". " not in said


@pytest.mark.parametrize("seed", range(1, 6))
@pytest.mark.parametrize(
    ("key", "low", "high"), [("lowest_airflow", 0.270, 0.300), ("highest_airflow", 0.100, 0.130)]
)
def test_a_range_that_holds_but_an_end_of_the_table_has_sites(
    seed: int, key: str, low: float, high: float
) -> None:
    """The table runs from 100 to 300 L/s; the range leaves 30 L/s of it."""
    limit = {"lowest_airflow": "270 L/s", "highest_airflow": "130 L/s"}[key]
    text = LEAST.replace("[[blower.tier]]", f'[blower]\n{key} = "{limit}"\n[[blower.tier]]', 1)
    found = site(seed, load_bytes(text.encode(), "mote.toml").equipment)
    assert low < parse(found.job["blower.design_airflow"], "airflow").value < high


def test_tiers_that_move_just_the_same_air_have_sites() -> None:
    """Nothing can tip the choice between them."""
    file = find("osmere-corrie-24")
    first = file.equipment.blower.tier[0].speed
    alike = tuple(tier.model_copy(update={"speed": first}) for tier in file.equipment.blower.tier)
    blower = file.equipment.blower.model_copy(update={"tier": alike})
    assert site(1, file.equipment.model_copy(update={"blower": blower})).seed == 1
