"""The program itself on a terminal of its own, ended in every way: nothing entered or typed is lost."""

from __future__ import annotations

import os
import re
import select
import signal
import struct
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from time import monotonic

import pytest

from asleft.journal import Chain, read

termios = pytest.importorskip("termios")
fcntl = pytest.importorskip("fcntl")

WAIT_S = 90.0
ROWS, COLUMNS = 24, 80
ENTER, DOWN, F2, F10 = b"\r", b"\x1b[B", b"\x1bOQ", b"\x1b[21~"
LEAVE_ALTERNATE, SHOW_CURSOR = b"\x1b[?1049l", b"\x1b[?25h"

# The terminal is made the controlling one, as a login does, so that a dropped line reaches the program.
LOGIN = """
import fcntl, sys, termios
fcntl.ioctl(0, termios.TIOCSCTTY, 0)
from asleft.cli import main
sys.exit(main(sys.argv[1:]))
"""
SEQUENCE = re.compile(
    rb"\x1b\[([0-9;?<=>]*)[ -/]*([@-~])"  # control sequence
    rb"|\x1b[\]P_^X][^\x07\x1b]*(?:\x07|\x1b\\)"  # a string for the terminal
    rb"|\x1b[ -/]*[0-Z\\^-~]"  # anything shorter
    rb"|[\x00-\x1f\x7f]"
    rb"|[^\x00-\x1f\x7f]+"
)


class Terminal:
    """A pseudo-terminal with a program on it: bytes in, and the cells that a person would see."""

    def __init__(self, words: list[str], state: Path) -> None:
        self._master, self.slave = os.openpty()
        fcntl.ioctl(self.slave, termios.TIOCSWINSZ, struct.pack("HHHH", ROWS, COLUMNS, 0, 0))
        self.modes = termios.tcgetattr(self.slave)
        self.raw, self._rest = b"", b""
        self._cells = [[" "] * COLUMNS for _ in range(ROWS)]
        self._row = self._column = 0
        self.program = subprocess.Popen(
            [sys.executable, "-c", LOGIN, *words],
            stdin=self.slave,
            stdout=self.slave,
            stderr=self.slave,
            start_new_session=True,
            env={**os.environ, "TERM": "xterm-256color", "XDG_STATE_HOME": str(state)},
        )

    def send(self, *keys: bytes) -> None:
        """Bytes, as a keyboard sends them."""
        for key in keys:
            os.write(self._master, key)

    def hang_up(self) -> None:
        """The line drops."""
        os.close(self._master)
        self._master = -1

    def lines(self) -> list[str]:
        """The screen as it stands."""
        return ["".join(row).rstrip() for row in self._cells]

    def until(self, seen: Callable[[list[str]], object], wanted: str) -> None:
        """Look until something is seen; a screen that never shows it is the error."""
        deadline = monotonic() + WAIT_S
        while not seen(self.lines()):
            assert monotonic() < deadline, wanted + "\n" + "\n".join(self.lines())
            assert self.program.poll() is None, f"it ended: {wanted}\n" + self.raw.decode(errors="replace")
            self._listen()

    def see(self, text: str) -> None:
        """Look until a text stands somewhere on the screen."""
        self.until(lambda lines: any(text in line for line in lines), f"{text!r} is not drawn")

    def ended(self) -> int:
        """The code that the program ends with of itself."""
        deadline = monotonic() + WAIT_S
        while self.program.poll() is None:
            assert monotonic() < deadline, "it does not end\n" + "\n".join(self.lines())
            self._listen()
        while self._listen():
            pass
        return self.program.wait()

    def close(self) -> None:
        """End whatever still runs."""
        if self.program.poll() is None:
            self.program.kill()
            self.program.wait()
        for fd in (self._master, self.slave):
            if fd >= 0:
                os.close(fd)

    def _listen(self) -> bool:
        if self._master < 0:
            select.select([], [], [], 0.05)
            return False
        if not select.select([self._master], [], [], 0.05)[0]:
            return False
        data = os.read(self._master, 65536)
        self.raw += data
        self._draw(data)
        return True

    def _draw(self, data: bytes) -> None:
        data = self._rest + data
        at = 0
        while found := SEQUENCE.match(data, at):
            # What is cut off in the middle of a character or a sequence waits for its end.
            if found.end() == len(data) and data[at] >= 0x20:
                text = data[at:].decode(errors="ignore")
                self._rest = data[at + len(text.encode()) :]
                self._write(text)
                return
            at = found.end()
            if found[2] == b"H":
                row, _, column = found[1].decode().partition(";")
                self._row, self._column = int(row or 1) - 1, int(column or 1) - 1
            elif found[2] == b"J":
                self._cells = [[" "] * COLUMNS for _ in range(ROWS)]
            elif found[0] == b"\r":
                self._column = 0
            elif found[0] == b"\n":
                self._row += 1
            elif found[0][0] >= 0x20:
                self._write(found[0].decode(errors="replace"))
        self._rest = data[at:]

    def _write(self, text: str) -> None:
        for character in text:
            if self._row < ROWS and self._column < COLUMNS:
                self._cells[self._row][self._column] = character
            self._column += 1


Start = Callable[..., Terminal]


@pytest.fixture
def start(tmp_path: Path) -> Iterator[Start]:
    """Start the program on a new terminal, in one person's state folder."""
    terminals: list[Terminal] = []

    def begin(*words: str) -> Terminal:
        terminals.append(Terminal(list(words), tmp_path / "state"))
        return terminals[-1]

    yield begin
    for terminal in terminals:
        terminal.close()


@pytest.fixture
def visits(tmp_path: Path) -> Path:
    """Where the session goes."""
    return tmp_path / "visits"


ENTERED = ("Ada Cole", "Mill Lane 3", "Lowmoor LM36E")


def three_entries_and_a_draft(terminal: Terminal) -> None:
    """Three values entered, each seen to be saved, then an altitude that is only typed."""
    terminal.see("next F2:")
    for n, text in enumerate(ENTERED, 1):
        terminal.send(F2, text.encode())
        terminal.see(f"> {text}")
        terminal.send(ENTER)
        terminal.until(lambda lines, n=n: lines[0].endswith(f"saved {n}"), f"{text} is not saved")
    to_the_altitude(terminal)
    terminal.send(b"412")
    # What it would mean is said once the draft is kept.
    terminal.see("reads as 412")


def to_the_altitude(terminal: Terminal) -> None:
    """Down, row by row, to where the altitude is entered."""
    for _ in range(30):
        terminal.until(marked, "no row is marked")
        mark = marked(terminal.lines())
        if mark.startswith("Altitude"):
            terminal.see("Altitude of the site [ft] >")
            return
        terminal.send(DOWN)
        terminal.until(lambda lines, mark=mark: marked(lines) not in ("", mark), f"Down stays on {mark}")
    raise AssertionError("no row for the altitude\n" + "\n".join(terminal.lines()))


def marked(lines: list[str]) -> str:
    """The row that the mark stands on; none before its prompt is drawn too: frames may be half read."""
    label = next((line[2:].strip().partition("  ")[0] for line in lines if line.startswith("▸")), "")
    prompts = (line.lstrip() for line in lines if ">" in line)
    return label if label and any(prompt.startswith(label[:18]) for prompt in prompts) else ""


def only_session(visits: Path) -> Path:
    """The session file, whole, with exactly what was entered."""
    (path,) = visits.iterdir()
    contents = read(path)
    assert (contents.chain, contents.trouble) == (Chain.WHOLE, "")
    assert [(e["kind"], e["typed"]) for e in contents.events] == [("entered", text) for text in ENTERED]
    return path


def goes_on(start: Start, path: Path) -> None:
    """Opened again, the draft stands in its field; entered, it follows what says that the visit goes on."""
    terminal = start("open", str(path))
    terminal.see("next F2:")
    assert terminal.lines()[0].endswith("saved 3")
    to_the_altitude(terminal)
    terminal.see("> 412")
    terminal.send(ENTER)
    terminal.until(lambda lines: lines[0].endswith("saved 5"), "the draft is not entered")
    terminal.send(F10)
    assert terminal.ended() == 0
    contents = read(path)
    resumed, last = contents.events[len(ENTERED) :]
    assert (contents.chain, resumed["kind"]) == (Chain.WHOLE, "resumed")
    assert (last["field"], last["typed"]) == ("identity.altitude", "412")


def test_killed_at_once_it_has_what_was_entered_and_offers_what_was_typed(start: Start, visits: Path) -> None:
    """No warning, nothing of its own done at the end: the file is whole, and the work goes on."""
    terminal = start("demo", "--seed", "4", "--out", str(visits))
    three_entries_and_a_draft(terminal)
    terminal.program.send_signal(signal.SIGKILL)
    assert terminal.ended() == -signal.SIGKILL
    goes_on(start, only_session(visits))


@pytest.mark.parametrize("name", ["SIGHUP", "SIGTERM"])
def test_told_to_end_it_gives_the_terminal_back(name: str, start: Start, visits: Path) -> None:
    """It leaves in order: the screen from before, the cursor, keys that are echoed."""
    terminal = start("demo", "--seed", "4", "--out", str(visits))
    three_entries_and_a_draft(terminal)
    assert termios.tcgetattr(terminal.slave) != terminal.modes
    told = len(terminal.raw)
    terminal.program.send_signal(getattr(signal, name))
    assert terminal.ended() == 0
    after = terminal.raw[told:]
    assert LEAVE_ALTERNATE in after
    assert SHOW_CURSOR in after
    assert b"Traceback" not in after
    assert termios.tcgetattr(terminal.slave) == terminal.modes
    goes_on(start, only_session(visits))


def test_a_dropped_line_loses_nothing(start: Start, visits: Path) -> None:
    """The terminal itself goes away, as when a connection ends: so does the program, and work goes on."""
    terminal = start("demo", "--seed", "4", "--out", str(visits))
    three_entries_and_a_draft(terminal)
    terminal.hang_up()
    terminal.ended()
    goes_on(start, only_session(visits))
