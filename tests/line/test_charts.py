"""`check --charts`: every chart of a session as a picture in plain characters and as a table."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from asleft.cli import main
from played import blocks, cut_after, relinked, session_bytes, session_file

TITLES = (
    "Circuits as declared",
    "Fan tables, cooling",
    "Fan tables, heating",
    "House, heat pump and kit",
    "How far the room falls",
    "The way through the settings",
)


@pytest.mark.parametrize(("units", "shown"), [("ip", "airflow, cfm"), ("si", "airflow, L/s")])
def test_every_chart_is_drawn_and_written_as_a_table(
    units: str, shown: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """In the units asked for, no line longer than the others that are printed, and nothing fine in them."""
    assert main(["check", str(session_file(tmp_path)), "--charts", "--units", units]) == 0
    page = capsys.readouterr().out
    for title in TITLES:
        assert page.count(f"\n{title}") == 1
    assert shown in page
    assert "recommended" in page
    assert max(map(len, page.splitlines())) <= 100
    assert {sign for sign in page if not sign.isascii()} <= set("°±×–…")


def test_what_cannot_be_drawn_yet_says_what_it_waits_for(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """And the exit code is that of `check`: something is open."""
    path = tmp_path / "visit.toml"
    path.write_bytes(cut_after(session_bytes()[1], 20))
    assert main(["check", str(path), "--charts"]) == 1
    page = capsys.readouterr().out
    house = page.partition("House, heat pump and kit")[2].partition("\n\n")[0]
    assert "Still to be entered: Heating load at design" in " ".join(house.split())


def test_a_changed_file_is_said_before_anything_is_drawn(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """What stands before the change is drawn all the same."""
    path = tmp_path / "visit.toml"
    path.write_bytes(session_bytes()[1][:-30])
    assert main(["check", str(path), "--charts"]) == 1
    page = capsys.readouterr().out
    assert page.splitlines()[1].startswith("Chain torn:")
    assert "Fan tables" in page


def test_a_file_of_which_nothing_is_sure_has_no_charts(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A header that was changed leaves nothing to draw."""
    path = tmp_path / "visit.toml"
    path.write_bytes(session_bytes()[1].replace(b'mode = "demo"', b'mode = "work"', 1))
    assert main(["check", str(path), "--charts"]) == 1
    assert "Nothing in it can be drawn." in capsys.readouterr().out


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["visit.toml", "--charts", "--json"], "--charts or --json"),
        (["visit.toml", "--charts", "--signers", "known"], "--charts or --signers"),
        (["--charts", "--explain", "EL-2"], "session FILE, or --explain"),
        (["--charts"], "session FILE, or --explain"),
    ],
)
def test_what_does_not_go_together_is_refused(
    arguments: list[str], says: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Exit 2 and one line."""
    assert main(["check", *arguments]) == 2
    out, err = capsys.readouterr()
    assert (out, err.count("\n")) == ("", 1)
    assert says in err


def test_hostile_words_of_a_session_are_harmless(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A label with escapes in the session's own equipment lines cannot act on the terminal."""
    parts = blocks(session_bytes()[1])
    parts[0] = re.sub(rb"Mild: ordinary ducts", rb"Mild [/red]\\u202e ducts", parts[0], count=1)
    path = tmp_path / "visit.toml"
    path.write_bytes(relinked(parts))
    main(["check", str(path), "--charts"])
    out, err = capsys.readouterr()
    assert (out + err).replace("\n", "").isprintable()
