"""The commands that list, show and check equipment files."""

from __future__ import annotations

import io
import json
from pathlib import Path
from typing import Any

import pytest

from asleft.cli import main
from asleft.equipment.library import units
from asleft.equipment.load import load
from asleft.line.equipment import check_files, list_units, show_unit
from equipment.sample import SAMPLE, place, spoilt


def _run(command: Any, *args: Any, **options: Any) -> tuple[int, str, str]:
    out, err = io.StringIO(), io.StringIO()
    if command is list_units:
        return command(*args, out=out, **options), out.getvalue(), ""
    code = command(*args, out=out, err=err, **options)
    return code, out.getvalue(), err.getvalue()


def test_every_unit_is_listed_with_its_title() -> None:
    """One line a unit as text, one object a unit as JSON."""
    code, text, _ = _run(list_units)
    assert code == 0
    assert [line.split()[0] for line in text.splitlines()] == [unit.id for unit in units()]
    code, text, _ = _run(list_units, True)
    assert code == 0
    found = json.loads(text)["units"]
    assert [(u["id"], u["title"], u["trouble"]) for u in found] == [(u.id, u.title, None) for u in units()]


def test_a_file_that_cannot_be_used_is_listed_as_such(tmp_path: Path) -> None:
    """The list says which file is in trouble, printably."""
    (tmp_path / "bad\x1b[2J.toml").write_bytes(b"x")
    code, text, _ = _run(list_units, folder=str(tmp_path))
    assert code == 0
    assert "cannot be used" in text
    assert text.replace("\n", "").isprintable()


def test_the_page_shows_every_part_of_a_unit() -> None:
    """Plate, supplies, tiers, kits, settings by address, topics, codes and procedures are all there."""
    for known in units():
        code, page, err = _run(show_unit, known.id)
        assert (code, err) == (0, "")
        equipment = load(known.path).equipment
        for tier in equipment.blower.tier:
            assert f"Tier {tier.id}: {tier.label}" in page
        for kit in equipment.heater:
            assert f"Heater kit {kit.id}: {kit.label}" in page
        for address in equipment.address:
            held = page.split(f"Settings at {address.id}: ")[1].split("\n\n")[0]
            listed = [line.split()[0] for line in held.splitlines()[2:]]
            assert listed == [s.id for s, place in equipment.places() if place == address.id]
        for topic in equipment.topic:
            block = page.split(f"Topic {topic.id}: ")[1].split("\n\n")[0]
            for option in topic.option:
                assert all(f"{setting} = {value}" in block for setting, value in option.set.items())
        for made in equipment.code:
            assert all(part in page for part in made.write)
        steps = [step for p in equipment.procedure.values() for _, steps in p for step in steps]
        assert all(step in page for step in steps)
        assert page.replace("\n", "").isprintable()


def test_the_page_of_a_small_unit_reads_as_written(tmp_path: Path) -> None:
    """Figures stand in people's units, and what the maker does not say is said to be so."""
    path = tmp_path / "sample.toml"
    path.write_text(SAMPLE, encoding="utf-8")
    code, page, _ = _run(show_unit, str(path))
    assert code == 0
    assert "stage 1, stage 2, blower: minimum 55.40 A, maximum 60.00 A, terminals 60 °C" in page
    for line in (
        "  240  240.0 V  1       60 Hz      216.0 V to 253.0 V",
        "  Rated external static    0.20 in. w.c.",
        "  Highest external static  0.60 in. w.c.",
        "  Rated external static    the maker does not say",
        "    0.10      1200  350",
        "    0.40      1100",
        "  Cut-out                  -4.0 °F",
        "  Cut-out differential     the maker does not say",
        "  bank  Bank   parameter           none | one | both  (after air)",
        "  high    High   upflow    air = 2  high",
        "  both    Both   kit K9  bank = both  stages 1, 2",
        "  10     W10           W?          at 10",
        "  long    Long   always  wait = 30  30 min",
        "  B  High (high)",
    ):
        assert line in page.splitlines()
    _, page, _ = _run(show_unit, str(path), system="si")
    assert "    100  550  380" in page.splitlines()


def test_the_page_says_what_a_write_resets_and_what_error_texts_mean(tmp_path: Path) -> None:
    """Beside the setting, and in a table of their own."""
    path = tmp_path / "sample.toml"
    error = '[[control.error]]\nshown = "E 1"\nmeans = "Locked."\ndo = "Unlock it."\n'
    path.write_text(spoilt('factory = "1"\n', 'factory = "1"\nresets = ["bank"]\n') + error, "utf-8")
    code, page, _ = _run(show_unit, str(path))
    assert code == 0
    assert "1 | 2 | 3  (resets bank)" in page
    assert "Error texts of the control\n  shown  means    do\n  E 1    Locked.  Unlock it." in page


def test_a_unit_with_only_the_compulsory_parts_has_a_page(tmp_path: Path) -> None:
    """A sparse file is shown without gaps that look like faults."""
    path = tmp_path / "sparse.toml"
    path.write_text(SAMPLE[: SAMPLE.index("[[heater]]")].replace('serial_pattern = "R3-[0-9]{4}"\n', ""))
    code, page, _ = _run(show_unit, str(path))
    assert code == 0
    assert "Heat pump" not in page
    assert "Serial numbers    the maker does not say" in page


def test_a_unit_as_json_is_strict_and_in_base_units() -> None:
    """Scripts get the whole model, its hash and where it came from."""
    known = units()[0]
    code, text, _ = _run(show_unit, known.id, True)
    found = json.loads(text, parse_constant=lambda name: pytest.fail(name))
    loaded = load(known.path)
    assert code == 0
    assert found["sha256"] == loaded.sha256
    supply = loaded.equipment.supply[0]
    assert found["equipment"]["supply"][0]["lowest"] == supply.lowest


def test_showing_what_is_not_there_or_not_right(tmp_path: Path) -> None:
    """An unknown id, a wrong file and a missing file differ in their exit codes."""
    assert _run(show_unit, "no-such-unit")[0] == 2
    path = tmp_path / "bad.toml"
    path.write_text(spoilt('"216 V"', '"216 A"'), encoding="utf-8")
    code, out, err = _run(show_unit, str(path))
    assert (code, out) == (1, "")
    assert "supply.1.lowest" in err
    code, out, err = _run(show_unit, str(tmp_path / "none.toml"))
    assert (code, out) == (3, "")
    assert "cannot be read" in err


def test_checking_says_everything_wrong_in_every_file(tmp_path: Path) -> None:
    """Right files are said to be fine; each error is a line that names its file."""
    good, bad = tmp_path / "good.toml", tmp_path / "bad.toml"
    good.write_text(SAMPLE, encoding="utf-8")
    bad.write_text(spoilt('"216 V"', '"216 A"').replace('"unit"\nvalues', '"unti"\nvalues'), encoding="utf-8")
    assert _run(check_files, [str(good)])[:2] == (0, f"{good}: fine, Osmere Reed 3\n")
    code, out, _ = _run(check_files, [str(bad), str(good)])
    assert code == 1
    lines = out.splitlines()
    assert lines[0].startswith(f"{bad}:14:10: supply.1.lowest: found ")
    assert lines[1].startswith(f"{bad}:")
    assert "setting.2.address" in lines[1]
    assert lines[2:] == [f"{good}: fine, Osmere Reed 3"]
    code, out, _ = _run(check_files, [str(bad), str(good)], True)
    assert code == 1
    first, second = json.loads(out)["files"]
    assert [e["field"] for e in first["errors"]] == ["supply.1.lowest", "setting.2.address"]
    assert (first["errors"][0]["line"], first["errors"][0]["column"]) == (14, 10)
    assert second == {"file": str(good), "fine": True, "errors": [], "warnings": []}


def test_what_is_odd_is_a_warning_and_no_error(tmp_path: Path) -> None:
    """The file stays fine, exit 0; each warning is a line of its own, and an object in JSON."""
    odd, bad = tmp_path / "odd.toml", tmp_path / "bad.toml"
    odd.write_text(spoilt('maximum = "60 A"', 'maximum = "59 A"'), encoding="utf-8")
    bad.write_text(spoilt('maximum = "60 A"', 'maximum = "59 Ω"'), encoding="utf-8")
    line, column = place(odd.read_text(encoding="utf-8"), '"59 A"')
    found = '"59 A", with no standard device between it and the marked minimum, "55.4 A"'
    expected = "the two figures marked on the kit; the next standard size is 60 A"
    field = "heater.1.circuit.1.maximum"
    code, out, err = _run(check_files, [str(odd)])
    assert (code, err) == (0, "")
    assert out.splitlines() == [
        f"{odd}:{line}:{column}: warning: {field}: found {found}, expected {expected}",
        f"{odd}: fine, Osmere Reed 3, 1 warning",
    ]
    code, out, _ = _run(check_files, [str(odd)], True)
    assert code == 0
    warning = {"line": line, "column": column, "field": field, "found": found, "expected": expected}
    assert json.loads(out)["files"] == [{"file": str(odd), "fine": True, "errors": [], "warnings": [warning]}]
    code, out, _ = _run(check_files, [str(odd), str(bad)], True)
    assert code == 1
    warned, wrong = json.loads(out)["files"]
    assert (len(warned["warnings"]), warned["errors"], wrong["warnings"]) == (1, [], [])
    assert wrong["errors"][0].keys() == warning.keys()


def test_the_units_of_the_program_are_checked_without_a_warning() -> None:
    """Every file beside the program."""
    code, out, _ = _run(check_files, [str(known.path) for known in units()])
    assert code == 0
    assert "warning" not in out


def test_a_file_that_cannot_be_read_is_not_called_wrong(tmp_path: Path) -> None:
    """A missing file, a folder or an impossible name gives exit code 3; no file at all, 2."""
    for path in (str(tmp_path / "none"), str(tmp_path), "a\0b"):
        code, out, err = _run(check_files, [path])
        assert (code, out) == (3, "")
        assert "cannot be read" in err
        assert err.strip().isprintable()
    code, out, _ = _run(check_files, [str(tmp_path)], True)
    assert (code, json.loads(out)["files"][0]["fine"]) == (3, False)
    assert _run(check_files, [])[0] == 2


SPARSE = """\
format = 1

[unit]
id = "plain-1"
maker = "Osmere"
model = "Plain 1"

[[supply]]
id = "230"
nominal = "230 V"
frequency = 50
lowest = "207 V"
highest = "253 V"

[[blower.tier]]
id = "only"
label = "Only"

[[blower.tier.speed]]
use = "cooling"
units = ["Pa", "L/s", "W"]
rows = [[10, 500, 200], [100, 300, ""]]
"""


@pytest.mark.parametrize(("name", "text"), [("unit.toml", SPARSE), ("unit.txt", SPARSE), ("unit", SAMPLE)])
def test_a_visit_can_begin_and_be_played_at_any_valid_file(
    name: str, text: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """By its path, whatever it is called and however little it says."""
    path = tmp_path / name
    path.write_text(text, "utf-8")
    folder = str(tmp_path / "visits")
    assert main(["new", "--equipment", str(path), "--out", folder, "--json"]) == 0
    assert Path(json.loads(capsys.readouterr().out)["file"]).is_file()
    played = ["demo", "--unattended", "--headless", "--equipment", str(path), "--out", folder, "--json"]
    assert main(played) in (0, 1)
    (session,) = json.loads(capsys.readouterr().out)["sessions"]
    assert session["outcome"] in ("commissioned", "not commissioned")


def test_a_visit_at_a_wrong_file_is_refused_in_one_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Missing, a folder, or wrong inside: exit 2, and no traceback."""
    path = tmp_path / "bad.toml"
    path.write_text(spoilt('"216 V"', '"216 A"'), "utf-8")
    for wrong in (str(path), str(tmp_path / "none.toml"), str(tmp_path), "no-such-unit", "a\x1b[2J/b"):
        for command in (["new"], ["demo", "--unattended", "--headless"]):
            assert main([*command, "--equipment", wrong]) == 2
            told = capsys.readouterr().err
            assert told.startswith("asleft: ")
            assert told.removesuffix("\n").isprintable()
