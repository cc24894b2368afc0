"""What reaches the terminal, byte by byte: the driver's own sequences and text, whatever a file holds."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Iterator
from contextlib import suppress
from pathlib import Path

import pytest

from asleft.drill.technician import Stuck, headless
from asleft.equipment.library import shipped
from asleft.unattended import begin
from faults.test_screen_kill import F2, F10, Terminal
from hostile import ACTING, VISIBLE, hostile_unit

TAB, ESCAPE, F1, F4, F5, PALETTE, CLEAR = b"\t", b"\x1b", b"\x1bOP", b"\x1bOS", b"\x1b[15~", b"\x10", b"\x15"
QUIET = 4
"""Looks in which nothing comes, a twentieth of a second each, after which all is drawn."""
OWN = re.compile(
    r"\x1b\[[0-9;]*[mHJK]"  # colour, cursor, clearing
    r"|\x1b\[[?>=<][0-9;]*[hlu]|\x1b\[[<>=?]?u"  # modes of the screen, mouse and keyboard
    r"|\x1b\[\?[0-9;]*\$p|\x1b\[[?0-9]*n"  # asking the terminal what it can do
    r"|\x1b\[23t|\x1b\[22;0t|\x1b\[[0-9;]*t"  # its title and size
    r"|\x1b\]22;[a-z]*\x07"  # shape of the mouse's pointer
    r"|\x1b[78=>]"
)
"""Every sequence that the screen library sends of itself."""


@pytest.fixture
def session(tmp_path: Path) -> Path:
    """A visit to a unit whose file tries to act, with remarks that do."""
    unit, _ = hostile_unit((shipped() / "tarnfield-lowmoor-36.toml").read_text("utf-8"))
    job = begin(tmp_path / "visits [bold]\u202e \x1b[31m", unit, 2)
    with suppress(Stuck):
        headless(job.visit, job.rig, most_acts=60)
    for text in VISIBLE.values():
        job.visit.enter("note", text)
    job.close()
    return job.visit.path


@pytest.fixture
def terminal(session: Path, tmp_path: Path) -> Iterator[Terminal]:
    """The program on it."""
    made = Terminal(["open", str(session)], tmp_path / "state")
    yield made
    made.close()


def turn(terminal: Terminal, *keys: bytes, until: Callable[[str], object] = lambda drawn: False) -> None:
    """Keys, and what they draw, if anything: until that stands there, or nothing more comes."""
    terminal.send(*keys)
    quiet = 0
    while quiet < QUIET and not until("\n".join(terminal.lines())):
        quiet = 0 if terminal._listen() else quiet + 1


def test_no_byte_of_a_file_or_a_paste_acts_on_the_terminal(terminal: Terminal) -> None:
    """Every pane, working, help, palette, the folder, and each hostile text pasted."""
    terminal.see("next F2:")
    closed = "next F2:"
    for _ in range(7):
        turn(terminal, TAB)
        turn(terminal, F4, until=lambda drawn: closed not in drawn)
        turn(terminal, ESCAPE, until=lambda drawn: closed in drawn)
    for page in (F1, PALETTE):
        turn(terminal, page)
        turn(terminal, ESCAPE)
    turn(terminal, F5)
    turn(terminal, F2)
    for n, text in enumerate([*ACTING.values(), *VISIBLE.values(), "\x1b[201", "\x1b]52;c;eA==\x07"], 7001):
        pasted = text.encode("utf-8", "surrogatepass") + f" {n}".encode()
        turn(terminal, b"\x1b[200~" + pasted + b"\x1b[201~", until=lambda drawn, n=n: f"{n}" in drawn)
        turn(terminal, b"\r", until=lambda drawn: "Not taken" in drawn or "Saved" in drawn)
        turn(terminal, CLEAR, until=lambda drawn, n=n: f"{n}" not in drawn)
    terminal.send(F10)
    assert terminal.ended() == 0
    left = OWN.sub("", terminal.raw.decode("utf-8"))
    wrong = [
        left[max(0, n - 20) : n + 20]
        for n, c in enumerate(left)
        if c not in "\r\n" and unicodedata.category(c) in ("Cc", "Cf", "Zl", "Zp", "Co", "Cs")
    ]
    assert not wrong, wrong[:10]


def test_keys_that_are_no_text_do_not_end_the_program(terminal: Terminal) -> None:
    """Bytes that are no UTF-8, a cut sequence, a flood: it goes on, and takes what comes after."""
    terminal.see("next F2:")
    for junk in (
        b"\xff\xfe",
        b"\xc3",
        b"\x1b[",
        b"\x1b[99999999~",
        b"\xed\xa0\x80",
        b"\x80" * 40,
        b"\x1b[<0;999;999M",
    ):
        terminal.send(junk)
        while terminal._listen():
            pass
        terminal.send(ESCAPE, ESCAPE, CLEAR)
    turn(terminal, CLEAR, b"still here")
    terminal.see("still here")
    terminal.send(F10)
    assert terminal.ended() == 0
