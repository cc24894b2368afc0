"""A file begun from a data plate is valid, sparse, and written whole or not at all."""

from __future__ import annotations

import io
import json
from pathlib import Path
from typing import Any

import pytest
import tomli
from hypothesis import given, settings
from hypothesis import strategies as st

from asleft.checks.catalogue import catalogue
from asleft.cli import main
from asleft.equipment.load import load, load_bytes
from asleft.line.equipment_interview import Ended, Interview
from asleft.line.equipment_new import interview, run
from asleft.line.equipment_parts import rests
from asleft.line.equipment_sparse import as_toml, possible, wanted
from asleft.line.text import plain
from equipment.sample import SAMPLE

PLATE = {
    "Maker": "Osmere",
    "Model": "Brook B24",
    "Short name": "",
    "Cooling": "24000 Btu/h",
    "Orientations": "upflow, downflow",
    "Nominal": "",
    "Phases": "",
    "Frequency": "",
    "Lowest voltage": "",
    "Highest voltage": "253 V",
    "more supplies": "",
    "Full-load": "2.8 A",
    "Lowest airflow": "550 cfm",
    "Highest airflow": "950 cfm",
    "Highest static": "",
    "Tier": "",
    "Units": "",
    "row 1": "0.10 842 171",
    "row 2": "0.30 791",
    "no more rows": "",
    "Kit": "5 kW kit",
    "Power": "5 kW",
    "Voltage": "",
    "Stages": "2.5 kW, 2.5 kW",
    "Minimum": "29.6 A",
    "Maximum": "30 A",
    "Feeds": "",
    "Least": "600 cfm",
    "no more kits": "",
    "Leaving": "150 degF",
}


def _told(**other: str) -> list[str]:
    """The answers to a plate; ``other`` with _ for blanks replaces some, a ";;" in one is two lines."""
    answers = {**PLATE, **{key.replace("_", " "): text for key, text in other.items()}}
    return [line for text in answers.values() for line in text.split(";;")]


def _run(lines: list[str], path: Path | None, folder: Path, **more: Any) -> tuple[int, str, str]:
    out, err = io.StringIO(), io.StringIO()
    source = io.StringIO("".join(f"{line}\n" for line in lines))
    code = run(path, as_json=more.get("as_json", False), folder=folder, source=source, out=out, err=err)
    return code, out.getvalue(), err.getvalue()


def test_the_file_says_what_was_answered_and_nothing_more(tmp_path: Path) -> None:
    """Left out on the plate is left out of the file."""
    path = tmp_path / "unit.toml"
    assert _run(_told(), path, tmp_path)[0] == 0
    unit = load(path).equipment
    assert (unit.unit.id, unit.unit.maker, unit.unit.model) == ("osmere-brook-b24", "Osmere", "Brook B24")
    assert unit.unit.orientations == ("upflow", "downflow")
    assert unit.unit.serial_pattern is None
    (supply,) = unit.supply
    assert (supply.id, supply.nominal, supply.lowest, supply.highest) == ("240", 240.0, 216.0, 253.0)
    assert unit.blower.full_load_current == 2.8
    assert unit.blower.highest_static is None
    (tier,) = unit.blower.tier
    assert [(row.power_w is None) for row in tier.speed[0].rows] == [False, True]
    (kit,) = unit.heater
    assert [(stage.id, stage.power) for stage in kit.stage] == [("1", 2500.0), ("2", 2500.0)]
    (circuit,) = kit.circuit
    assert (circuit.stages, circuit.minimum, circuit.feeds_blower) == (("1", "2"), 29.6, True)
    assert (unit.heat_pump, unit.setting, unit.topic) == (None, (), ())


def test_a_figure_that_was_offered_says_where_it_comes_from(tmp_path: Path) -> None:
    """A band taken for want of the maker's is marked in the file, one that was typed is not."""
    path = tmp_path / "unit.toml"
    _run(_told(), path, tmp_path)
    lowest, highest = (
        line for line in path.read_text("utf-8").splitlines() if line.startswith(("lowest = ", "highest = "))
    )
    assert "NEMA MG 1, from memory" in lowest
    assert "#" not in highest


def test_a_figure_typed_as_it_was_offered_is_the_makers(tmp_path: Path) -> None:
    """216 V read off the plate is not called an assumption."""
    path = tmp_path / "unit.toml"
    _run(_told(Lowest_voltage="216 V"), path, tmp_path)
    lowest = next(line for line in path.read_text("utf-8").splitlines() if line.startswith("lowest = "))
    assert lowest == 'lowest = "216 V"'


def test_an_offered_value_that_fits_is_taken_by_an_empty_line() -> None:
    """The least that can be said: maker, model and two rows."""
    told = [line if key in ("Maker", "Model", "row 1", "row 2") else "" for key, line in PLATE.items()]
    told = [*told[: list(PLATE).index("Kit") + 1], ""]
    asked = Interview(io.StringIO("\n".join(told) + "\n"), io.StringIO())
    raw = interview(asked)
    assert set(raw) == {"format", "unit", "supply", "blower"}
    load_bytes(as_toml(raw, asked.notes).encode(), "answers")


@pytest.mark.parametrize(
    ("question", "wrong", "said"),
    [
        ("Maker", "", "expected the maker as the data plate prints it"),
        ("Maker", "a\x1b[2Jb", "expected one line of printable characters"),
        ("Short_name", "a b", "expected letters, digits and hyphens"),
        ("Cooling", "24000", "expected a heat rate with its unit"),
        ("Phases", "2", "expected 1 or 3"),
        ("Frequency", "fifty", "expected a whole number"),
        ("Lowest_voltage", "250 V", "expected a nominal from lowest to highest"),
        ("Highest_voltage", "230 V", "expected a nominal from lowest to highest"),
        ("Highest_airflow", "500 cfm", "expected at least what lowest_airflow says"),
        ("Units", "inH2O, furlong, W", "furlong"),
        ("row_1", "a b c", "expected a plain number"),
        ("row_1", "0.1 2 3 4", "expected a row [static, airflow, power]"),
        ("row_2", "0.05 700 90", "expected static strictly increasing"),
        ("row_2", "", "expected the fan table"),
        ("Stages", "2.5 kW, 2 kW", "expected stages that add up to the kit"),
        ("Maximum", "20 A", "expected at least the marked minimum"),
        ("Feeds", "maybe", "expected true or false"),
    ],
)
def test_a_wrong_answer_is_told_what_would_be_right_and_asked_again(
    question: str, wrong: str, said: str, tmp_path: Path
) -> None:
    """The next line answers the same question, and the file is the same as without the slip."""
    right = PLATE[question.replace("_", " ")]
    path = tmp_path / "unit.toml"
    code, _, err = _run(_told(**{question: f"{wrong};;{right}"}), path, tmp_path)
    assert code == 0
    assert said in " ".join(err.split())
    assert err.replace("\n", "").isprintable()
    _run(_told(), tmp_path / "plain.toml", tmp_path)
    assert path.read_bytes() == (tmp_path / "plain.toml").read_bytes()


def test_a_question_mark_says_what_is_meant(tmp_path: Path) -> None:
    """From the same words as explain."""
    _, _, err = _run(_told(), tmp_path / "a.toml", tmp_path)
    assert "In a file:" not in err
    told = _told(Maker="?;;Osmere")
    _, _, err = _run(told, tmp_path / "b.toml", tmp_path)
    assert 'In a file: maker = "Osmere"' in err


@pytest.mark.parametrize("count", range(0, len(_told()), 3))
def test_input_that_ends_early_leaves_no_file(count: int, tmp_path: Path) -> None:
    """Whatever was asked last: exit 2, one reason, nothing on disk."""
    path = tmp_path / "unit.toml"
    code, out, err = _run(_told()[:count], path, tmp_path)
    assert (code, out) == (2, "")
    assert err.splitlines()[-1].startswith("asleft: The input ended")
    assert list(tmp_path.iterdir()) == []


def test_an_interrupt_leaves_no_file(tmp_path: Path) -> None:
    """Ctrl-C at a question stops it."""

    class Interrupted(io.StringIO):
        def readline(self, *_: Any) -> str:
            raise KeyboardInterrupt

    err = io.StringIO()
    with pytest.raises(KeyboardInterrupt):
        run(None, as_json=False, folder=tmp_path / "own", source=Interrupted(), err=err)
    assert "nothing was written" in err.getvalue()
    assert list(tmp_path.iterdir()) == []


def test_a_write_that_fails_leaves_no_half_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A full disk is said, and the file taken away again."""

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", full)
    with pytest.raises(OSError, match="No space"):
        _run(_told(), tmp_path / "unit.toml", tmp_path)
    assert list(tmp_path.iterdir()) == []


def test_a_file_that_is_there_is_never_written_over(tmp_path: Path) -> None:
    """Refused before the first question, or at the end where the id names the file."""
    path = tmp_path / "unit.toml"
    path.write_text("mine", "utf-8")
    code, out, err = _run(_told(), path, tmp_path)
    assert (code, out, path.read_text("utf-8")) == (2, "", "mine")
    assert "there already" in err
    assert "Maker" not in err
    own = tmp_path / "osmere-brook-b24.toml"
    own.write_text("mine", "utf-8")
    assert _run(_told(), None, tmp_path)[0] == 2
    assert own.read_text("utf-8") == "mine"


def test_without_a_path_the_id_names_the_file_in_the_own_folder(tmp_path: Path) -> None:
    """So that the id alone finds it."""
    code, out, _ = _run(_told(), None, tmp_path / "own")
    assert code == 0
    assert load(tmp_path / "own" / "osmere-brook-b24.toml").equipment.unit.id == "osmere-brook-b24"
    assert out.startswith(f"Written: {tmp_path / 'own' / 'osmere-brook-b24.toml'}")


def test_the_outcome_names_checks_and_what_to_look_up(tmp_path: Path) -> None:
    """As text and as JSON, every check is either possible or waits for a figure."""
    _, text, _ = _run(_told(), tmp_path / "a.toml", tmp_path)
    assert "BL-11 Airflow over the heater" in text.partition("To look up next")[0].replace("\n", " ")
    assert "unit.serial_pattern, for ID-2" in text.partition("To look up next")[2]
    _, text, _ = _run(_told(), tmp_path / "b.toml", tmp_path, as_json=True)
    told = json.loads(text)
    waiting = [check for want in told["wanted"] for check in want["checks"]]
    assert sorted((*told["possible"], *waiting)) == sorted(rests())
    assert set(waiting) <= {rule.id for rule in catalogue()}
    assert told["file"] == str(tmp_path / "b.toml")


def test_a_file_with_every_figure_waits_for_nothing() -> None:
    """And one with none has no check that needs something."""
    whole = tomli.loads(SAMPLE)
    lacking = {want.field for want in wanted(whole)}
    assert lacking >= {"topic:outdoor-lockout", "topic:heat-on-lost-communication", "limits.leaving_air"}
    assert not lacking & {
        "heater",
        "heater.least_airflow",
        "topic:blower-tier",
        "setting",
        "blower.highest_static",
    }
    assert possible({}) == tuple(id for id, told in rests().items() if not told["needs"])


@given(st.lists(st.text(max_size=40), max_size=80))
@settings(max_examples=40, deadline=None)
def test_any_answers_end_in_a_valid_file_or_in_none(lines: list[str]) -> None:
    """No answer whatever gets past the rules, or the terminal."""
    shown = io.StringIO()
    source = io.StringIO("".join(" ".join(line.split("\n")) + "\n" for line in lines))
    asked = Interview(source, shown)
    try:
        raw = interview(asked)
    except Ended:
        raw = {}
    if raw:
        load_bytes(as_toml(raw, asked.notes).encode(), "answers")
    told = shown.getvalue().replace("\n", "")
    assert plain(told) == told


def test_the_command_reads_standard_input(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Questions on standard error, the outcome alone on standard output, and the file checks."""
    path = tmp_path / "unit.toml"
    monkeypatch.setattr("sys.stdin", io.StringIO("".join(f"{line}\n" for line in _told())))
    assert main(["equipment", "new", "--out", str(path), "--json"]) == 0
    shown = capsys.readouterr()
    assert json.loads(shown.out)["id"] == "osmere-brook-b24"
    assert "Nominal voltage [240 V]" in shown.err
    assert main(["equipment", "check", str(path)]) == 0
