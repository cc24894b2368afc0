"""The class board: what each file says, and nothing that it does not."""

from __future__ import annotations

import os
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from asleft.drill.classroom.board import Board
from asleft.line.board import text
from drill.class_files import (
    BREACH,
    DRILLED,
    FALSE,
    GROUND,
    HINT,
    NAMED,
    REPORT,
    REVEALED,
    SIGNED,
    told,
    written,
)

NOW = datetime(2031, 5, 4, 9, 20, tzinfo=UTC)


def test_a_drill_under_way_tells_who_is_where_and_what_was_broken(tmp_path: Path) -> None:
    """Minutes since the first and the last entry; nothing of faults that nobody knows yet."""
    written(tmp_path, "one", [DRILLED, NAMED, GROUND, BREACH, REPORT, HINT])
    (row,) = Board(tmp_path).look(NOW).rows
    assert (row.who, row.level, row.state, row.pane) == ("Ada Cole", 2, "working", "electrical")
    assert (row.breaches, row.reports, row.hints, row.entries) == (1, 1, 1, 6)
    assert (row.minutes, row.still) == (20.0, 13.0)
    assert (row.found, row.missed, row.hidden) == (0, (), ())


def test_over_it_tells_what_was_found_missed_and_false(tmp_path: Path) -> None:
    """From the sheet revealed; the class's most missed first."""
    written(tmp_path, "one", [DRILLED, NAMED, GROUND, REPORT, FALSE, SIGNED, REVEALED])
    written(tmp_path, "two", [DRILLED, NAMED, GROUND, SIGNED, REVEALED])
    now = Board(tmp_path).look(NOW)
    one, two = now.rows
    assert (one.state, one.found, one.missed, one.false) == ("over", 1, ("one-leg-open",), 1)
    assert (two.found, two.missed) == (0, ("ground-open", "one-leg-open"))
    assert [(m.kind, m.missed, m.hidden) for m in now.missed] == [
        ("one-leg-open", 2, 2),
        ("ground-open", 1, 2),
    ]
    assert one.minutes == 9.0


def test_a_report_taken_back_counts_no_more_and_a_breach_does(tmp_path: Path) -> None:
    """What happened happened."""
    back = [told(6, "retracted", of=n, why="no") for n in (4, 5)]
    written(tmp_path, "one", [DRILLED, NAMED, GROUND, BREACH, REPORT, *back])
    (row,) = Board(tmp_path).look(NOW).rows
    assert (row.breaches, row.reports) == (1, 0)


def test_only_drills_are_on_it(tmp_path: Path) -> None:
    """Visits, sheets and equipment files in the same folder are none; folders below are looked into."""
    written(tmp_path, "visit", [NAMED], mode="job")
    (tmp_path / "lesson.toml").write_text('format = 1\nmode = "other"\n', "utf-8")
    (tmp_path / "below" / "deeper").mkdir(parents=True)
    written(tmp_path / "below" / "deeper", "one", [DRILLED, NAMED])
    (row,) = Board(tmp_path).look(NOW).rows
    assert row.file == os.path.join("below", "deeper", "one.toml")


def test_a_file_that_did_not_change_is_not_read_again(tmp_path: Path) -> None:
    """And one that did is."""
    path = written(tmp_path, "one", [DRILLED, NAMED])
    board, reads = Board(tmp_path), []
    row_of = board._row
    board._row = lambda path, size: reads.append(path) or row_of(path, size)  # type: ignore[func-returns-value,method-assign]
    board.look(NOW)
    later = board.look(NOW + timedelta(minutes=3))
    assert reads == [path]
    assert later.rows[0].still == 22.0
    path.unlink()
    written(tmp_path, "one", [DRILLED, NAMED, GROUND])
    assert board.look(NOW).rows[0].entries == 3
    path.unlink()
    assert board.look(NOW).rows == ()


def test_a_folder_that_is_not_there_says_so(tmp_path: Path) -> None:
    """No row, and why."""
    now = Board(tmp_path / "none").look(NOW)
    assert now.rows == ()
    assert "no folder" in now.trouble


def test_a_folder_of_more_files_than_are_looked_at_says_so(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """No drill is left out unsaid."""
    monkeypatch.setattr("asleft.drill.classroom.board.MOST", 3)
    for n in range(4):
        assert not Board(tmp_path).look().cut
        (tmp_path / f"{n}.toml").write_text("other = 1\n")
    now = Board(tmp_path).look()
    assert now.cut
    assert any("Only 3 files" in line for line in text(now))
