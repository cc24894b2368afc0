"""A narrow fan table has sites too; where a file leaves none, the figure in the way is named."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from asleft.drill.site import NoSite, site
from asleft.equipment.library import find
from asleft.equipment.load import load_bytes
from asleft.equipment.model import EquipmentFile
from asleft.unattended import play
from drill.test_any_unit import LEAST

ROW = re.compile(r"^  \[([0-9.]+), .*\n", re.MULTILINE)
NARROW = {
    "tarnfield-lowmoor-36": (0.60, 0.70),
    "brinmere-staithe-60": (0.50, 0.60),
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
TOO_MUCH = '[blower]\nhighest_airflow = "90 L/s"\n[[blower.tier]]'


@pytest.mark.parametrize(
    ("old", "new", "field", "why"),
    [
        (ROWS, 'rows = [[200, 100, ""], [205, 98, ""]]', "blower.tier.speed.rows", "too near together"),
        ("[200, 100,", '[200, "",', "blower.tier.speed.rows", "an airflow in fewer than two rows"),
        ("[[blower.tier]]", TOO_LITTLE, "blower.lowest_airflow", "a fan table holds less"),
        ("[[blower.tier]]", TOO_MUCH, "blower.highest_airflow", "a fan table holds more"),
        ('lowest = "210 V"', 'lowest = "239 V"', "supply.lowest", "a good supply comes too near it"),
    ],
)  # fmt: skip
def test_where_there_is_no_site_the_figure_in_the_way_is_named(
    old: str, new: str, field: str, why: str
) -> None:
    """By its field in the file, with the reason."""
    text = LEAST.replace(old, new, 1)
    with pytest.raises(NoSite, match=why) as refused:
        site(1, load_bytes(text.encode(), "mote.toml").equipment)
    assert refused.value.field.startswith(field)
    assert field in str(refused.value)
