"""Known units and instruments."""

from __future__ import annotations

import subprocess
import sys
from datetime import date
from pathlib import Path

import pytest

from asleft.equipment.accuracy import parse_accuracy
from asleft.equipment.errors import EquipmentErrors
from asleft.equipment.library import UnknownUnit, default, find, instruments, shipped, units
from equipment.sample import SAMPLE


def test_the_units_that_come_along_are_listed_and_found() -> None:
    """Every demo unit has an id of its own and is found by it, and by its path."""
    known = units()
    assert known
    assert len({unit.id for unit in known}) == len(known)
    for unit in known:
        assert unit.trouble is None
        found = find(unit.id)
        assert found.equipment.unit.id == unit.id
        assert unit.title == f"{found.equipment.unit.maker} {found.equipment.unit.model}"
        assert find(str(unit.path)).sha256 == found.sha256


def test_a_persons_own_folder_is_listed_after_and_found_first(tmp_path: Path) -> None:
    """A corrected copy of a demo unit stands in for it."""
    demo = units()[0]
    own = tmp_path / "own.toml"
    own.write_bytes(demo.path.read_bytes() + b"# corrected\n")
    (tmp_path / "sample.toml").write_text(SAMPLE, encoding="utf-8")
    listed = [unit.id for unit in units(tmp_path)]
    assert listed == [*(unit.id for unit in units()), *sorted([demo.id, "sample-1"])]
    assert find(demo.id, tmp_path).name == str(own)
    assert find("sample-1", tmp_path).equipment.unit.maker == "Osmere"


def test_the_unit_for_whoever_asks_for_none_is_on_offer() -> None:
    """Its id stands beside the units, so that no unit is first by its name alone."""
    assert default() in [unit.id for unit in units()]


def test_a_file_that_cannot_be_listed_says_why(tmp_path: Path) -> None:
    """A broken file is neither hidden nor in the way of the others."""
    (tmp_path / "bad.toml").write_bytes(b"format = 1\nunit = = 1\n")
    (tmp_path / "bare.toml").write_bytes(b"format = 1\n")
    (tmp_path / "dir.toml").mkdir()
    (tmp_path / "sample.toml").write_text(SAMPLE, encoding="utf-8")
    (tmp_path / "instruments.toml").write_bytes(b"format = 1\n")
    found = {unit.id: unit.trouble for unit in units(tmp_path)[len(units()) :]}
    assert list(found) == ["bad", "bare", "dir", "sample-1"]
    assert "bad.toml:2:8" in str(found["bad"])
    assert "id, maker and model" in str(found["bare"])
    assert found["dir"] == "Is a directory"
    assert found["sample-1"] is None


def test_a_unit_that_is_not_known_names_the_nearest() -> None:
    """A slip in an id is answered with what was probably meant."""
    with pytest.raises(UnknownUnit, match=units()[0].id) as caught:
        find(units()[0].id[:-1])
    assert isinstance(caught.value, LookupError)
    with pytest.raises(UnknownUnit) as caught:
        find("\x1b[31m\0")
    assert str(caught.value).isprintable()
    with pytest.raises(FileNotFoundError):
        find("nowhere/unit.toml")


def test_listing_units_loads_no_models() -> None:
    """A home screen that lists units does not wait for what only loading needs."""
    code = "import sys; from asleft.equipment.library import units; units(); print(*sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert not set(done.stdout.split()) & {"pydantic", "pint", "textual"}


def test_units_come_from_the_package_or_the_checkout() -> None:
    """The folder holds the units and the instruments side by side."""
    assert (shipped() / "instruments.toml").is_file()


def test_the_demo_instruments_cover_every_reading_and_every_trouble() -> None:
    """Good ones of each role, one of unknown accuracy and one out of date."""
    found = instruments()
    good = [i for i in found if i.accuracy and (i.calibrated_until or "") >= "2031"]
    assert {i.role for i in good} == {"meter", "clamp", "manometer", "thermometer", "anemometer"}
    kinds = {parse_accuracy(line).kind for i in good for line in i.accuracy}
    assert kinds >= {"voltage", "resistance", "current", "static_pressure", "temperature"}
    assert any(not i.accuracy for i in found)
    lapsed = [
        i for i in found if i.accuracy and date.fromisoformat(i.calibrated_until or "9999-01-01").year < 2026
    ]
    assert lapsed


INSTRUMENT = """\
format = 1

[[instrument]]
id = "m"
name = "Meter"
role = "meter"
accuracy = ["voltage 1 %"]
calibrated_until = 2031-05-01
"""


def test_a_day_may_be_written_as_a_date(tmp_path: Path) -> None:
    """TOML's own date is as good as a string."""
    path = tmp_path / "i.toml"
    path.write_text(INSTRUMENT, encoding="utf-8")
    assert instruments(path)[0].calibrated_until == "2031-05-01"


@pytest.mark.parametrize(
    ("old", "new", "line", "column", "field", "expected"),
    [
        ('"voltage 1 %"', '"voltage 1 A"', 7, 13, "instrument.1.accuracy.1", "a voltage in V"),
        ('"voltage 1 %"', "3", 7, 13, "instrument.1.accuracy.1", "a line such as"),
        ("2031-05-01", '"2031-13-01"', 8, 20, "instrument.1.calibrated_until", "a day such as"),
        ("2031-05-01", "2031-05-01T10:00:00", 8, 20, "instrument.1.calibrated_until", "a day such as"),
        ('"meter"', '"metre"', 6, 8, "instrument.1.role", '"meter", "clamp"'),
        ("name =", "nam =", 5, 1, "instrument.1.nam", "name"),
        ("[[instrument]]", "[[instruments]]", 3, 1, "instruments", "instrument"),
        ("[[instrument]]", "[instrument]", 3, 1, "instrument", "[[instrument]]"),
        ("[[instrument]]", "instrument = 3\n[other]", 3, 14, "instrument", "[[instrument]]"),
        (
            '"voltage 1 %"',
            '"voltage 1 %", "voltage 2 %"',
            7,
            28,
            "instrument.1.accuracy.2",
            "one line a kind",
        ),
    ],
)
def test_a_wrong_instrument_is_complained_of_where_it_stands(
    tmp_path: Path, old: str, new: str, line: int, column: int, field: str, expected: str
) -> None:
    """Instruments are loaded as strictly as units."""
    path = tmp_path / "i.toml"
    path.write_text(INSTRUMENT.replace(old, new), encoding="utf-8")
    with pytest.raises(EquipmentErrors) as caught:
        instruments(path)
    (error,) = (error for error in caught.value.errors if error.field == field)
    assert (error.line, error.column) == (line, column)
    assert expected in error.expected


def test_an_instrument_id_stands_once(tmp_path: Path) -> None:
    """Two instruments of one id could not be told apart in a record."""
    path = tmp_path / "i.toml"
    path.write_text(INSTRUMENT + INSTRUMENT.removeprefix("format = 1\n"), encoding="utf-8")
    with pytest.raises(EquipmentErrors, match="a second time"):
        instruments(path)
