"""Files that are torn, broken, locked, read-only, from the future, or no session at all: a sentence each."""

from __future__ import annotations

import os
import re
from pathlib import Path

import pytest

from asleft.cli import main
from asleft.journal import Journal
from played import blocks, relinked, session_bytes, session_file

READERS = ["next", "plan", "fields", "check"]


def said(capsys: pytest.CaptureFixture[str]) -> str:
    """The one line on standard error; nothing on standard output."""
    captured = capsys.readouterr()
    assert captured.out == ""
    assert captured.err.count("\n") == 1
    assert captured.err.startswith("asleft: ")
    assert "Traceback" not in captured.err
    return captured.err


@pytest.mark.parametrize("command", READERS)
@pytest.mark.parametrize(
    "content", [b"hello", b"\x00\xff" * 99, b'title = "another TOML"\n', b"\xef\xbb\xbf"]
)
def test_what_is_no_session_is_2(
    command: str, content: bytes, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Any other file is refused with its name, and left alone."""
    path = tmp_path / "something.toml"
    path.write_bytes(content)
    assert main([command, str(path)]) == 2
    assert "something.toml" in said(capsys)
    assert main(["enter", str(path), "power=off"]) == 2
    assert path.read_bytes() == content
    assert list(tmp_path.iterdir()) == [path]


@pytest.mark.parametrize("command", [*READERS, "enter"])
def test_a_file_that_is_not_there_is_2(
    command: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A name mistyped is wrong usage; so is a folder."""
    more = ["power=off"] if command == "enter" else []
    assert main([command, str(tmp_path / "nowhere.toml"), *more]) == 2
    assert "nowhere.toml" in said(capsys)
    assert main([command, str(tmp_path), *more]) == 2


@pytest.mark.parametrize("begun", [b"", b"format", b"format = 1\n\n[session]\nid = "])
def test_a_header_that_was_not_finished_holds_nothing(
    begun: bytes, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Check says torn; nothing can be read from it, and nothing is added."""
    path = tmp_path / "begun.toml"
    path.write_bytes(begun)
    assert main(["check", str(path), "--json"]) == 1
    assert '"chain": "torn"' in capsys.readouterr().out
    for words in (["next", str(path)], ["enter", str(path), "power=off"]):
        assert main(words) == 2
        assert "not completely written" in said(capsys)
    assert path.read_bytes() == begun


@pytest.mark.parametrize("command", [*READERS, "enter"])
def test_a_newer_format_is_not_understood_and_not_touched(
    command: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """It says which format, and that this version is older."""
    path = session_file(tmp_path)
    newer = path.read_bytes().replace(b"format = 1\n", b"format = 9\n", 1)
    path.write_bytes(newer)
    assert main([command, str(path), *(["power=off"] if command == "enter" else [])]) == 2
    assert "format 9" in said(capsys)
    assert path.read_bytes() == newer


@pytest.mark.parametrize("command", ["next", "plan", "fields"])
def test_a_broken_file_is_not_relied_on(
    command: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A byte changed in the middle: no advice is given from it."""
    path = session_file(tmp_path)
    data = bytearray(path.read_bytes())
    data[len(data) // 2] ^= 1
    path.write_bytes(data)
    assert main([command, str(path)]) == 2
    assert "asleft check" in said(capsys)


def test_a_broken_file_is_never_written_to(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Nothing is added behind damage."""
    path = session_file(tmp_path)
    data = bytearray(path.read_bytes())
    data[len(data) // 2] ^= 1
    path.write_bytes(data)
    assert main(["enter", str(path), "note=x"]) == 2
    said(capsys)
    assert path.read_bytes() == bytes(data)


def test_a_torn_tail_is_read_past_and_kept_when_written(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Reading leaves it; entering cuts it off, keeps it beside the file, and says so."""
    path = session_file(tmp_path)
    torn = path.read_bytes()[:-20]
    path.write_bytes(torn)
    assert main(["next", str(path), "--json"]) == 0
    assert path.read_bytes() == torn
    capsys.readouterr()
    assert main(["enter", str(path), "note=after the storm"]) == 0
    assert "torn tail" in capsys.readouterr().err
    kept = [p for p in tmp_path.iterdir() if p != path]
    assert len(kept) == 1
    assert kept[0].name.startswith(path.name + ".torn")
    # What was acknowledged at that visit no longer stands at this one.
    assert main(["check", str(path), "--json"]) == 1
    assert '"chain": "whole"' in capsys.readouterr().out


def test_a_session_open_elsewhere_is_3(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """One writer at a time; readers go on reading."""
    path = session_file(tmp_path)
    writer = Journal.open(path)
    try:
        assert main(["enter", str(path), "note=x"]) == 3
        said(capsys)
        assert main(["next", str(path)]) == 0
        assert main(["check", str(path)]) == 0
    finally:
        writer.close()


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="root may write anything")
def test_a_read_only_file_is_3(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """It says that it may not be written."""
    path = session_file(tmp_path)
    path.chmod(0o400)
    assert main(["enter", str(path), "note=x"]) == 3
    assert "not allowed" in said(capsys)


def test_a_folder_that_cannot_be_made_is_3(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A demo whose folder is a file says so."""
    (tmp_path / "taken").write_text("x")
    words = ["demo", "--unattended", "--headless", "--out", str(tmp_path / "taken")]
    assert main(words) in (2, 3)
    assert "taken" in said(capsys)


@pytest.mark.parametrize(
    ("old", "new"),
    [
        (rb'^unit = "V"$', b'unit = "furlong"'),
        (rb"^value = [0-9.]+$", b'value = "many"'),
        (rb"^value = [0-9.]+$", b"value = true"),
        (rb"^value = [0-9.]+$", b"value = 1e300"),
        (rb"^value = [0-9.]+$", b"value = 0.0"),
        (rb'^field = "[^"]*"$', b'field = "no.such.field"'),
        (rb'^option = "[^"]*"$', b'option = "no-such-option"'),
        (rb'^setting = "[^"]*"$', b'setting = "no-such-setting"'),
        (rb'^address = "[^"]*"$', b'address = "nowhere"'),
        (rb"^accuracy = .*$", b'accuracy = ["voltage lots"]'),
        (rb'^typed = "[^"]*"$', b'typed = ""'),
        (rb'^id = "EL[^"]*"$', b'id = "XX-99"'),
        (rb'^shown = "[^"]*"$', b'shown = "?"'),
    ],
)
def test_a_forged_file_of_nonsense_ends_in_a_sentence_or_a_verdict(
    old: bytes, new: bytes, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Links computed anew over senseless events: judged or refused, never a traceback and never fine."""
    parts = blocks(session_bytes()[1])
    forged = [parts[0], *(re.sub(old, new, part, flags=re.MULTILINE) for part in parts[1:])]
    assert forged != parts
    path = tmp_path / "forged.toml"
    path.write_bytes(relinked(forged))
    for command in READERS:
        code = main([command, str(path)])
        captured = capsys.readouterr()
        assert code in (0, 1, 2), captured.err
        assert "unforeseen" not in captured.err
        if command == "check":
            assert code != 0
