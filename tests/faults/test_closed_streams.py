"""Standard streams that are closed from the start: no command minds, and no file takes their place."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from asleft.journal import Chain, read
from played import session_file


def closed(how: str, *words: str, folder: Path) -> subprocess.CompletedProcess[bytes]:
    """The program with streams closed, as a shell does it."""
    line = ["sh", "-c", f'exec "$@" {how}', "sh", sys.executable, "-m", "asleft.cli", *words]
    return subprocess.run(line, cwd=folder, capture_output=True)


@pytest.mark.parametrize(
    ("how", "words"),
    [(">&-", ["equipment", "list"]), ("2>&-", ["next", "x.toml"]), ("<&- >&- 2>&-", ["check", "x.toml"])],
)
def test_a_command_does_what_it_does(how: str, words: list[str], tmp_path: Path) -> None:
    """With the same code, and nothing said of what is unforeseen."""
    session_file(tmp_path).rename(tmp_path / "x.toml")
    done = closed(how, *words, folder=tmp_path)
    assert (done.returncode, done.stderr) == (0, b"")
    assert done.stdout == (b"Signed commissioned.\n" if how == "2>&-" else b"")


def test_a_session_is_never_where_words_are_said(tmp_path: Path) -> None:
    """The first file opened would be standard output, were its place left free."""
    done = closed(
        "<&- >&- 2>&-", "demo", "--unattended", "--headless", "--seed", "4", "--out", "out", folder=tmp_path
    )
    assert done.returncode == 0
    (path,) = (tmp_path / "out").iterdir()
    assert read(path).chain is Chain.WHOLE
