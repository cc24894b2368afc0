"""Files that a class board may meet: half written, damaged, foreign, hostile, gone."""

from __future__ import annotations

import os
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest

from asleft.drill.classroom.board import Board
from drill.class_files import BREACH, DRILLED, GROUND, NAMED, REPORT, REVEALED, SIGNED, told, written


def test_half_written_at_every_byte_it_is_a_row_or_none(tmp_path: Path) -> None:
    """Never a crash; as many entries as are whole, and never called damaged."""
    data = written(
        tmp_path / "", "whole", [DRILLED, NAMED, GROUND, BREACH, REPORT, SIGNED, REVEALED]
    ).read_bytes()
    (tmp_path / "whole.toml").unlink()
    path, board, before = tmp_path / "one.toml", Board(tmp_path), 0
    for size in range(len(data) + 1):
        path.write_bytes(data[:size])
        rows = board.look().rows
        assert len(rows) <= 1
        for row in rows:
            assert not row.trouble.startswith(("damaged", "cannot"))
            assert row.entries >= before
            before = row.entries
    assert before == 7
    assert rows[0].trouble == ""


def test_damaged_it_says_so_and_shows_what_is_verified(tmp_path: Path) -> None:
    """One bit anywhere behind the header."""
    path = written(tmp_path, "one", [DRILLED, NAMED, GROUND, BREACH])
    data = bytearray(path.read_bytes())
    data[data.index(b"9 Mohm")] ^= 1
    path.write_bytes(data)
    (row,) = Board(tmp_path).look().rows
    assert row.trouble.startswith("damaged")
    assert (row.entries, row.breaches) == (2, 0)


@pytest.mark.parametrize(
    "sheet",
    [
        ["not toml ["],
        ['[[fault]]\nkind = "gremlins"'.replace("\n", "")],
        ["[[fault]]", "kind = 7"],
        ["fault = 7"],
        ["[[fault]]", 'kind = "ground-open"', 'size = "big"'],
        ["[[fault]]"],
    ],
)
def test_a_sheet_of_nonsense_is_a_row(sheet: list[str], tmp_path: Path) -> None:
    """A rig of somebody's own may reveal anything."""
    written(tmp_path, "one", [DRILLED, NAMED, told(9, "revealed", sheet=sheet, salt="x" * 20)])
    (row,) = Board(tmp_path).look().rows
    assert row.missed == ()


def test_what_is_no_plain_file_is_not_opened(tmp_path: Path) -> None:
    """Pipes and devices would hang, links lead in circles."""
    written(tmp_path, "one", [DRILLED, NAMED])
    os.mkfifo(tmp_path / "pipe.toml")
    (tmp_path / "zero.toml").symlink_to("/dev/zero")
    (tmp_path / "loop").symlink_to(tmp_path)
    (tmp_path / "self.toml").symlink_to(tmp_path / "self.toml")
    (tmp_path / "folder.toml").mkdir()
    assert [row.file for row in Board(tmp_path).look().rows] == ["one.toml"]


def test_too_large_or_unreadable_it_is_a_row(tmp_path: Path) -> None:
    """With the reason; nothing is read into memory."""
    path = written(tmp_path, "one", [DRILLED, NAMED])
    with path.open("r+b") as file:
        file.truncate(40_000_000)
    (row,) = Board(tmp_path).look().rows
    assert "larger than 32 MB" in row.trouble


def test_a_name_that_acts_on_a_terminal_is_harmless(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """In text, JSON and the table, where no cell is a formula."""
    from asleft.cli import main

    hostile = "=cmd|'x'!A1 \u202e [bold]b[/] \u009b31m"
    written(
        tmp_path,
        "one",
        [DRILLED, told(1, "entered", field="identity.technician", typed=hostile, value=hostile)],
    )
    for words in ([], ["--json"], ["--csv"]):
        assert main(["board", str(tmp_path), *words]) == 0
        out = capsys.readouterr().out
        assert "\u202e" not in out
        assert "\u009b" not in out
    assert ",'=cmd" in out


def test_a_class_writing_while_it_is_looked_at(tmp_path: Path) -> None:
    """Eight processes append in dribbles; the board neither falls over nor calls any of them damaged."""
    code = (
        "import sys, time, pathlib\n"
        "data = pathlib.Path(sys.argv[1]).read_bytes()\n"
        "with open(sys.argv[2], 'ab', buffering=0) as file:\n"
        "    for at in range(0, len(data), 97):\n"
        "        file.write(data[at:at + 97]); time.sleep(0.002)\n"
    )
    source = written(tmp_path, "source", [DRILLED, NAMED, *[GROUND] * 40, SIGNED, REVEALED])
    data = source.rename(tmp_path / "source.bytes")
    folder = tmp_path / "class"
    folder.mkdir()
    writers = [
        subprocess.Popen([sys.executable, "-c", code, str(data), str(folder / f"{n}.toml")]) for n in range(8)
    ]
    board, looks, troubles = Board(folder), 0, set[str]()
    while any(writer.poll() is None for writer in writers):
        troubles |= {row.trouble for row in board.look().rows}
        looks += 1
        time.sleep(0.01)
    rows = board.look().rows
    assert looks > 3
    assert len(rows) == 8
    assert all(row.state == "over" and not row.trouble for row in rows)
    assert not [t for t in troubles if t.startswith(("damaged", "cannot"))]


def test_a_file_that_vanishes_between_listing_and_reading(tmp_path: Path) -> None:
    """It is gone, and the class is looked at all the same."""
    written(tmp_path, "stays", [DRILLED, NAMED])
    stop = threading.Event()

    def come_and_go() -> None:
        while not stop.is_set():
            path = written(tmp_path, "flits", [DRILLED, NAMED])
            path.unlink()

    flitting = threading.Thread(target=come_and_go)
    flitting.start()
    try:
        board = Board(tmp_path)
        for _ in range(60):
            assert "stays.toml" in [row.file for row in board.look().rows]
    finally:
        stop.set()
        flitting.join()
