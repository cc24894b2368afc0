"""`asleft open` on a damaged session: said, left alone, and a way on."""

from __future__ import annotations

import io
import re
from pathlib import Path

import pytest

from asleft.cli import main
from asleft.journal import Chain, read
from played import session_file


@pytest.fixture
def damaged(tmp_path: Path) -> Path:
    """A played session in which a byte of its twelfth entry is changed."""
    path = session_file(tmp_path)
    data = bytearray(path.read_bytes())
    data[data.index(b'by = "', data.index(b"\nn = 12\n")) + 6] ^= 1
    path.write_bytes(data)
    return path


def test_without_being_asked_nothing_is_begun(damaged: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Through a pipe nobody can say yes: which entry is wrong, and what goes on."""
    before = damaged.read_bytes()
    assert main(["open", str(damaged), "--text"]) == 2
    said = capsys.readouterr().err
    assert "Event 12 " in said
    assert "--carry-on" in said
    assert list(damaged.parent.glob("*.toml")) == [damaged]
    assert damaged.read_bytes() == before


def test_asked_it_goes_on_in_a_new_session(
    damaged: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where that is, is said; the damaged one stays as it was, and what is verified is still reported."""
    before = damaged.read_bytes()
    monkeypatch.setattr("sys.stdin", io.StringIO(".leave\n"))
    main(["open", str(damaged), "--text", "--carry-on"])
    out = capsys.readouterr().out
    (new,) = (path for path in damaged.parent.glob("*.toml") if path != damaged)
    assert str(new) in out
    contents = read(new)
    assert contents.chain is Chain.WHOLE
    assert contents.header["session"]["follows"] == read(damaged).header["session"]["id"]
    assert damaged.read_bytes() == before
    main(["check", str(new)])
    follows = re.search(r"^Follows +session (\w+)$", capsys.readouterr().out, re.MULTILINE)
    assert follows is not None
    assert follows[1] == contents.header["session"]["follows"]
    assert main(["check", str(damaged)]) == 1
    page = capsys.readouterr().out
    assert "broken, 11 events" in page
    assert "Event 12 " in page


def ended() -> str:
    """A person who ends the input in place of an answer."""
    raise EOFError


@pytest.mark.parametrize(("answer", "begun"), [("y", True), ("n", False), ("", False)])
def test_at_a_terminal_it_is_asked(
    damaged: Path,
    answer: str,
    begun: bool,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """Yes begins it, anything else does not."""
    monkeypatch.setattr("asleft.visiting.terminal", lambda: True)
    monkeypatch.setattr("builtins.input", lambda _: answer or ended())
    monkeypatch.setattr("sys.stdin", io.StringIO(".leave\n"))
    main(["open", str(damaged), "--text"])
    assert (len(list(damaged.parent.glob("*.toml"))) == 2) == begun
    assert "left as it is" in capsys.readouterr().out
