"""The program on a terminal of its own in trouble: a silent rig, a window of no size, a folder of no use."""

from __future__ import annotations

import shlex
import signal
import struct
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from time import monotonic

import pytest

from faults.test_screen_kill import COLUMNS, DOWN, ENTER, F2, F10, ROWS, Terminal

termios = pytest.importorskip("termios")
fcntl = pytest.importorskip("fcntl")

F3, ESCAPE = b"\x1bOR", b"\x1b"
LEAVES_S = 10.0
SILENT = shlex.join([sys.executable, "-c", "import sys, time\nfor line in sys.stdin: time.sleep(600)"])
DYING = shlex.join([sys.executable, "-c", "import sys\nsys.stdin.readline(); sys.exit('no link')"])


@pytest.fixture
def terminals(tmp_path: Path) -> Iterator[list[Terminal]]:
    """Those that a test starts."""
    started: list[Terminal] = []
    yield started
    for terminal in started:
        terminal.close()


def begin(terminals: list[Terminal], tmp_path: Path, *more: str) -> Terminal:
    """A demo on a terminal, the technician's row under the mark."""
    terminals.append(Terminal(["demo", "--out", str(tmp_path / "visits"), *more], tmp_path / "state"))
    terminals[-1].see("next F2:")
    return terminals[-1]


def test_a_silent_rig_is_stopped_and_does_not_hold_up_leaving(
    terminals: list[Terminal], tmp_path: Path
) -> None:
    """Esc goes on by hand; asked again and left, the program ends at once, not when the rig is given up."""
    terminal = begin(terminals, tmp_path, "--rig", SILENT)
    terminal.send(F2, F3)
    terminal.see("Asking the rig")
    terminal.send(ESCAPE)
    terminal.see("type it by hand")
    terminal.send(b"Ada", ENTER)
    terminal.until(lambda lines: lines[0].endswith("saved 1"), "it is not entered")
    terminal.send(F3)
    terminal.see("Asking the rig")
    began = monotonic()
    terminal.send(F10)
    assert terminal.ended() == 0
    assert monotonic() - began < LEAVES_S


def test_a_rig_that_ends_is_told_with_its_last_words(terminals: list[Terminal], tmp_path: Path) -> None:
    """And the visit goes on by hand."""
    terminal = begin(terminals, tmp_path, "--rig", DYING)
    terminal.send(F2, F3)
    terminal.see("no link")
    terminal.send(b"Ada", ENTER)
    terminal.until(lambda lines: lines[0].endswith("saved 1"), "it is not entered")
    terminal.send(F10)
    assert terminal.ended() == 0


def test_a_window_that_loses_its_size_gets_it_back_with_what_was_typed(
    terminals: list[Terminal], tmp_path: Path
) -> None:
    """No rows, no columns, one cell, huge: as multiplexers and phones report on the way."""
    terminal = begin(terminals, tmp_path)
    terminal.send(b"Ada")
    terminal.see("> Ada")
    for columns, rows in ((0, 0), (1, 1), (80, 1), (1, 24), (3000, 2), (COLUMNS, ROWS)):
        fcntl.ioctl(terminal.slave, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))
        terminal.program.send_signal(signal.SIGWINCH)
        until = monotonic() + 0.4
        while monotonic() < until:
            terminal._listen()
    terminal.send(DOWN, b"\x1b[A", b" Cole")
    terminal.see("> Ada Cole")
    terminal.send(ENTER)
    terminal.until(lambda lines: lines[0].endswith("saved 1"), "it is not entered")
    terminal.send(F10)
    assert terminal.ended() == 0


@pytest.mark.parametrize("place", ["a file", "no such drive"])
def test_a_folder_that_cannot_be_used_is_said_in_one_line(tmp_path: Path, place: str) -> None:
    """Nothing begun is nothing lost: where, why, and no traceback."""
    (tmp_path / "file").write_text("")
    folder = tmp_path / "file" / "visits" if place == "a file" else Path("/proc/asleft/visits")
    for command in (["demo", "--unattended", "--headless"], ["new", "--equipment", "tarnfield-lowmoor-36"]):
        words = [sys.executable, "-m", "asleft.cli", *command, "--out", str(folder)]
        told = subprocess.run(words, capture_output=True, text=True, check=False)
        assert told.returncode in (2, 3), told
        assert told.stdout == ""
        assert len(told.stderr.splitlines()) == 1
        assert "file" in told.stderr or "proc" in told.stderr
        assert "unforeseen" not in told.stderr
