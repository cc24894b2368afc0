"""The commands as a whole: help, exit codes, and no traceback whatever happens."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from asleft import cli
from asleft.line.arguments import read
from played import UNIT, session_file

ASLEFT = [sys.executable, "-m", "asleft.cli"]


def run(*words: str, **more: object) -> subprocess.CompletedProcess[str]:
    """The program itself, in a process of its own."""
    return subprocess.run([*ASLEFT, *words], capture_output=True, text=True, **more)  # type: ignore[call-overload,no-any-return]


def test_starting_imports_nothing_heavy() -> None:
    """Neither the screen nor the models nor the units library are there before they are needed."""
    code = (
        "import sys, asleft.cli, asleft.line.arguments\n"
        "print(sorted({'textual', 'rich', 'pydantic', 'pint', 'tomli'} & set(sys.modules)))"
    )
    assert subprocess.check_output([sys.executable, "-c", code], text=True).strip() == "[]"


@pytest.mark.parametrize("command", [c for c in cli.COMMANDS if c != "home"])
def test_every_command_explains_itself_with_an_example(
    command: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """--help gives a sentence, the arguments and an example, and exits 0."""
    assert cli.main([command, "--help"]) == 0
    page = capsys.readouterr().out
    assert f"usage: asleft {command}" in page
    assert f"Example:\n  asleft {command}" in page


def test_help_of_the_program_lists_every_command(capsys: pytest.CaptureFixture[str]) -> None:
    """And says what the exit codes mean."""
    assert cli.main(["--help"]) == 0
    page = capsys.readouterr().out
    assert all(command in page for command in cli.COMMANDS if command != "home")
    assert "Exit codes" in page


@pytest.mark.parametrize(
    "words",
    [
        ["frobnicate"],
        ["next"],
        ["next", "a", "b"],
        ["enter", "visit.toml"],
        ["enter", "visit.toml", "--frm", "x.csv"],
        ["demo", "--seed", "-1"],
        ["demo", "--seed", "1.5"],
        ["demo", "--count", "0"],
        ["rig"],
        ["equipment"],
        ["equipment", "show", "no-such-unit"],
        ["fields", "--equipment", "no-such-unit"],
        ["new"],
        ["demo", "--unattended", "--equipment", "no-such-unit"],
    ],
)
def test_wrong_usage_is_2_and_short(words: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    """What was wrong is said on standard error, and nothing on standard output."""
    assert cli.main(words) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err
    assert "Traceback" not in said.err


@pytest.mark.parametrize("words", [[], ["demo"], ["open", "visit.toml"]])
def test_screens_without_a_terminal_say_so(words: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    """Exit 2 and a sentence that names the way out, rather than control sequences in a pipe."""
    assert cli.main(words) == 2
    assert "needs a terminal" in capsys.readouterr().err


def test_options_may_stand_between_the_acts() -> None:
    """The order of options and words is free."""
    options = read(["enter", "visit.toml", "power=off", "--json", "sign=commissioned"])
    assert options.acts == ["power=off", "sign=commissioned"]
    assert options.json


def test_a_mistake_of_ours_is_one_sentence(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """An error that nobody foresaw ends in exit 3 and a line that asks to report it."""

    def fail(options: object) -> int:
        raise ZeroDivisionError("no \x1b[31msuch luck")

    monkeypatch.setitem(cli.COMMANDS, "plan", fail)
    assert cli.main(["plan", "visit.toml"]) == 3
    said = capsys.readouterr().err
    assert said.startswith("asleft: Something unforeseen happened (ZeroDivisionError")
    assert said.count("\n") == 1
    assert "\x1b" not in said


def test_control_c_is_130(monkeypatch: pytest.MonkeyPatch) -> None:
    """As shells expect it."""

    def stop(options: object) -> int:
        raise KeyboardInterrupt

    monkeypatch.setitem(cli.COMMANDS, "plan", stop)
    assert cli.main(["plan", "visit.toml"]) == 130


def test_a_reader_that_goes_away_is_no_trouble() -> None:
    """Piped into something that stops reading, the program ends without a word."""
    process = subprocess.Popen(
        [*ASLEFT, "fields", "--json"], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    )
    assert process.stdout
    assert process.stderr
    process.stdout.close()
    said = process.stderr.read()
    process.stderr.close()
    assert process.wait() == 0
    assert said == ""


def test_a_terminal_of_few_characters_gets_question_marks(tmp_path: Path) -> None:
    """Characters that standard output lacks are replaced, never an error."""
    path = session_file(tmp_path)
    done = run("check", str(path), env={**os.environ, "PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0"})
    assert done.returncode == 0
    assert done.stdout.isascii()
    assert done.stderr == ""


def test_the_rig_command_speaks_a_line_each_way() -> None:
    """Requests in, answers out, nonsense refused; the end of input ends it."""
    asked = [
        '{"do": "power", "state": "off"}',
        '{"do": "read", "field": "identity.site", "kind": "text", "instrument": ""}',
        "nonsense",
        '{"do": "dance"}',
        "[]",
    ]
    done = run("rig", "--healthy", "--seed", "3", "--equipment", UNIT, input="\n".join(asked) + "\n")
    answers = [json.loads(line) for line in done.stdout.splitlines()]
    assert (done.returncode, done.stderr) == (0, "")
    assert answers[0] == {"done": True}
    assert answers[1]["typed"]
    assert all(set(answer) == {"refused"} for answer in answers[2:])
    assert len(answers) == len(asked)


def test_new_makes_a_session_and_says_where(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Without a terminal, new prints the path of the empty session."""
    words = ["new", "--equipment", UNIT, "--site", "Höhe 3/..", "--by", "Ada", "--out", str(tmp_path)]
    assert cli.main([*words, "--json"]) == 0
    path = Path(json.loads(capsys.readouterr().out)["file"])
    assert path.parent == tmp_path
    assert "Hohe-3" in path.name
    assert cli.main(["next", str(path), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["do"] == "enter"
