"""The board on the screen: a line a drill, kept to its width, refreshed by itself."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest

from asleft.tui.board import BoardApp
from asleft.tui.drawn import drawn_text
from drill.class_files import BREACH, DRILLED, FALSE, GROUND, NAMED, REPORT, REVEALED, SIGNED, told, written
from tui.looking import drawn, troubles
from tui.pictures import is_kept


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """No settings of a person."""
    monkeypatch.setenv("ASLEFT_HOME", str(tmp_path / "home"))
    monkeypatch.delenv("NO_COLOR", raising=False)


def a_class(folder: Path, count: int) -> Path:
    """So many trainees, some over, some with a breach."""
    folder.mkdir()
    for n in range(count):
        name = told(1, "entered", field="identity.technician", typed=f"Pupil {n:02}", value=f"Pupil {n:02}")
        more = [[GROUND], [GROUND, BREACH, REPORT], [REPORT, FALSE, SIGNED, REVEALED]][n % 3]
        written(folder, f"drill-{n}", [DRILLED, name, GROUND, *more])
    return folder


@pytest.mark.parametrize("size", [(80, 24), (120, 40), (40, 10), (200, 60)], ids=str)
async def test_every_drill_has_a_line_of_its_own(tmp_path: Path, size: tuple[int, int]) -> None:
    """Who, where, breaches in words and signs, what came of it, what is missed most."""
    app = BoardApp(a_class(tmp_path / "class", 6), lambda: datetime(2031, 5, 4, 9, 14, tzinfo=UTC))
    async with app.run_test(size=size) as pilot:
        lines = await drawn(pilot, "Pupil 00")
        assert "4 working, 0 signed, 2 over" in lines[0] or size[0] < 60
        await pilot.pause(0.1)
        lines = drawn_text(app)
        assert not list(troubles(app))
        if size in ((80, 24), (120, 40)):
            await is_kept(app, f"board-{size[0]}x{size[1]}")
        if size[0] >= 80:
            row = next(line for line in lines if "Pupil 01" in line)
            assert "Electrical" in row
            assert "! 1" in row
            over = next(line for line in lines if "Pupil 02" in line)
            assert "1/2, 1 false" in over
            assert " not comm" in over
            assert any("Missed in 2 of 2: One leg open" in line for line in lines)


async def test_a_larger_class_is_scrolled(tmp_path: Path) -> None:
    """What stands below is counted."""
    app = BoardApp(a_class(tmp_path / "class", 40))
    async with app.run_test(size=(80, 24)) as pilot:
        lines = await drawn(pilot, "Pupil 00")
        assert "more below" in lines[-1]
        await pilot.press("end")
        lines = await drawn(pilot, "Pupil 39")
        assert "more above" in lines[-1]
        await pilot.press("home")
        await drawn(pilot, "Pupil 00")


async def test_the_end_stays_in_sight_as_the_room_changes(tmp_path: Path) -> None:
    """What is missed most takes a line from the rows: the last of them is still there, and counted so."""
    folder = a_class(tmp_path / "class", 40)
    app = BoardApp(folder)
    async with app.run_test(size=(80, 24)) as pilot:
        await drawn(pilot, "Missed in ")
        await pilot.press("end")
        await drawn(pilot, "Pupil 39")
        for height in (20, 30, 18, 24):
            await pilot.resize_terminal(80, height)
            lines = await drawn(pilot, "Pupil 39")
            assert "more above" in lines[-1]
            assert "more below" not in lines[-1]
        await pilot.press("up")
        await drawn(pilot, "1 more below")


async def test_it_follows_the_files_by_itself(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A new drill comes, an old one goes; an empty folder says what to do."""
    monkeypatch.setattr("asleft.tui.board.EVERY_S", 0.05)
    (tmp_path / "class").mkdir()
    app = BoardApp(tmp_path / "class")
    async with app.run_test(size=(80, 24)) as pilot:
        await drawn(pilot, "asleft drill LESSON --out")
        path = written(tmp_path / "class", "one", [DRILLED, NAMED])
        await drawn(pilot, "Ada Cole")
        path.unlink()
        await drawn(pilot, "No drill is in")


async def test_keys(tmp_path: Path) -> None:
    """Help, theme, leave."""
    app = BoardApp(a_class(tmp_path / "class", 2))
    async with app.run_test(size=(80, 24)) as pilot:
        await drawn(pilot, "Pupil 00")
        await pilot.press("f1")
        await drawn(pilot, "The class board")
        await pilot.press("escape")
        theme = app.theme
        await pilot.press("f9")
        assert app.theme != theme
        await pilot.press("q")
    assert app.return_code == 0
