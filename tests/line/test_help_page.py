"""`asleft help`: the guides and pages, in lines that any terminal and any reader takes."""

from __future__ import annotations

import json
import re

import pytest

from asleft import cli
from asleft.cli import COMMANDS
from asleft.help import GUIDES, page, pages, titles
from asleft.line.arguments import parser
from asleft.tui.keys import ACTIONS

WIDEST = 100


def printed(capsys: pytest.CaptureFixture[str], *words: str) -> str:
    """What a command prints."""
    assert cli.main(list(words)) == 0
    return capsys.readouterr().out


def test_bare_help_names_every_page_with_its_title_and_guides_first(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """One line a page."""
    lines = printed(capsys, "help").splitlines()
    named = [line.split()[0] for line in lines if line.startswith("  ")]
    assert named == list(titles())
    assert named[:3] == ["technician", "trainer", "supervisor"]
    assert sorted(named) == list(pages())


@pytest.mark.parametrize("subject", pages())
def test_a_page_is_printed_whole_without_marks(subject: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Every word of it, nothing wider than a page, no two blank lines on end."""
    out = printed(capsys, "help", subject)
    assert re.findall(r"\w+", out) == re.findall(r"\w+", re.sub(r"```\w+", "", page(subject)))
    assert "**" not in out
    assert "\n\n\n" not in out
    prose = [line for line in out.splitlines() if not line.startswith("  ")]
    assert max(map(len, prose)) <= WIDEST


def test_as_json_a_page_is_its_markdown(capsys: pytest.CaptureFixture[str]) -> None:
    """For a program that shows it in its own way."""
    assert json.loads(printed(capsys, "help", "trainer", "--json"))["markdown"] == page("trainer")
    listed = json.loads(printed(capsys, "help", "--json"))["pages"]
    assert [p["name"] for p in listed] == list(titles())


def test_a_page_that_there_is_not_is_refused_with_the_nearest(capsys: pytest.CaptureFixture[str]) -> None:
    """Wrong usage, said in one line."""
    assert cli.main(["help", "supervizor"]) == cli.REFUSED
    assert "expected supervisor" in capsys.readouterr().err


@pytest.mark.parametrize("subject", GUIDES)
def test_guides_name_only_commands_and_keys_that_there_are(subject: str) -> None:
    """Every command in a guide is read by the parser's own table, every key is some action's."""
    told = page(subject)
    commands = set(re.findall(r"asleft ([a-z]+)", told))
    assert commands <= set(COMMANDS)
    flags = set(re.findall(r"(--[a-z-]+[a-z])", told))
    known = {
        flag
        for sub in parser()._subparsers._group_actions[0].choices.values()
        for a in sub._actions
        for flag in a.option_strings
    }  # type: ignore[union-attr,index]
    assert flags <= known
    keys = {key.lower() for key in re.findall(r"\bF\d+\b", told)}
    assert keys <= {key for action in ACTIONS for key in action.keys}
