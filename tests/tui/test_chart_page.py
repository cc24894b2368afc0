"""The page of charts: the chart of the pane and row in focus, as large as the terminal, or as a table."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from textual.pilot import Pilot

from asleft.charts import chart_for
from asleft.tui import Wizard
from asleft.tui.chart_page import ChartPage
from asleft.tui.drawn import drawn_text
from asleft.tui.wizard import WizardScreen
from asleft.unattended import Job
from tui.pictures import is_kept

Played = Callable[[str], Job]


def _text(pilot: Pilot[None]) -> str:
    return "\n".join(drawn_text(pilot.app))


async def _on(pilot: Pilot[None], pane: str) -> None:
    """Turn to a pane."""
    screen = pilot.app.screen
    assert isinstance(screen, WizardScreen)
    while screen._standing.pane != pane:
        await pilot.press("tab")


@pytest.mark.parametrize("key", ["f11", "ctrl+g"])
async def test_the_key_opens_the_chart_of_the_pane_and_escape_closes_it(played: Played, key: str) -> None:
    """Whatever stood in the entry line stands there still."""
    job = played("sign")
    app = Wizard(job.visit, job.rig)
    async with app.run_test(size=(80, 24)) as pilot:
        await _on(pilot, "delay")
        await pilot.press("7", key)
        assert isinstance(app.screen, ChartPage)
        assert "How far the room falls" in _text(pilot)
        await pilot.press("escape")
        assert isinstance(app.screen, WizardScreen)
        assert app.screen.query_one("#entry").value == "7"  # type: ignore[attr-defined]


@pytest.mark.parametrize("key", ["f11", "ctrl+g", "f10", "enter", "escape"])
async def test_every_key_that_leaves_a_page_leaves_this_one(played: Played, key: str) -> None:
    """And the wizard goes on."""
    job = played("blower.")
    app = Wizard(job.visit, job.rig)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("f11", key)
        assert isinstance(app.screen, WizardScreen)
        assert app.is_running


async def test_left_and_right_go_through_the_charts_the_panes_own_first(played: Played) -> None:
    """Cooling before heating on the blower pane, then those of the other panes, and round again."""
    job = played("sign")
    app = Wizard(job.visit, job.rig)
    async with app.run_test(size=(100, 30)) as pilot:
        await _on(pilot, "blower")
        await pilot.press("f11")
        seen = []
        for _ in range(7):
            seen.append(drawn_text(app)[1].strip("│ "))
            await pilot.press("right")
        assert [title.partition(",")[2].split(",")[0] for title in seen[:2]] == [" cooling", " heating"]
        assert seen[6] == seen[0]
        assert len(set(seen)) == 6
        await pilot.press("left", "left")
        assert drawn_text(app)[1].strip("│ ") == seen[6 - 1]


@pytest.mark.parametrize("key", ["space", "t"])
async def test_space_shows_the_table_and_the_picture_again(played: Played, key: str) -> None:
    """The same figures as rows."""
    job = played("sign")
    app = Wizard(job.visit, job.rig)
    async with app.run_test(size=(110, 30)) as pilot:
        await _on(pilot, "blower")
        await pilot.press("f11")
        assert "└" in _text(pilot)
        await pilot.press(key)
        text = _text(pilot)
        assert "Design airflow:" in text
        assert all(word in text for word in ("tier", "airflow,", "static,", "pass"))
        await pilot.press(key)
        assert "Design airflow:" not in _text(pilot)


async def test_units_change_under_the_page_and_in_the_wizard(played: Played) -> None:
    """F8 is the wizard's own: what it changes stays changed."""
    job = played("sign")
    app = Wizard(job.visit, job.rig)
    async with app.run_test(size=(110, 30)) as pilot:
        await _on(pilot, "blower")
        await pilot.press("f11")
        assert "airflow, cfm" in _text(pilot)
        await pilot.press("f8")
        assert "airflow, L/s" in _text(pilot)
        await pilot.press("escape")
        assert job.visit.view.ledger.system == "si"


async def test_the_chart_of_the_topic_in_focus_comes_first(played: Played) -> None:
    """On a row that chooses, the chart that helps to choose."""
    job = played("choose:")
    app = Wizard(job.visit, job.rig)
    async with app.run_test(size=(110, 30)) as pilot:
        screen = app.screen
        assert isinstance(screen, WizardScreen)
        await _on(pilot, "heat")
        topic = job.visit.view.equipment.role("outdoor-lockout")
        assert topic is not None
        await pilot.press(*["pageup"] * 4)
        while screen.row is not None and screen.row.left != f"choose:{topic.id}":
            await pilot.press("down")
        await pilot.press("f11")
        assert "House, heat pump and kit" in _text(pilot)


async def test_signs_of_a_typewriter_are_one_key_away(played: Played) -> None:
    """For a terminal whose letters lack the finer dots."""
    job = played("sign")
    app = Wizard(job.visit, job.rig)
    async with app.run_test(size=(110, 30)) as pilot:
        await _on(pilot, "blower")
        await pilot.press("f11")
        assert any(0x2800 < ord(sign) < 0x2900 for sign in _text(pilot))
        await pilot.press("a")
        assert not any(0x2800 < ord(sign) < 0x2900 for sign in _text(pilot))
        assert "AAA" in _text(pilot)


async def test_any_size_can_be_had_while_the_page_is_open(played: Played) -> None:
    """From one cell up; what is drawn is never wider than the screen."""
    job = played("choose:")
    app = Wizard(job.visit, job.rig)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("f11")
        for size in [(1, 1), (5, 3), (20, 8), (60, 12), (1, 40), (200, 2), (160, 60)]:
            await pilot.resize_terminal(*size)
            await pilot.pause()
            for _ in range(6):
                await pilot.press("right")
            await pilot.press("space")
            await pilot.press("space")
            assert isinstance(app.screen, ChartPage)
        assert "└" in _text(pilot) or "┌" in _text(pilot)


@pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=["80x24", "120x40"])
@pytest.mark.parametrize("pane", ["electrical", "blower", "heat", "delay", "sequence"])
async def test_every_chart_is_the_picture_that_is_kept(
    played: Played, pane: str, size: tuple[int, int], monkeypatch: pytest.MonkeyPatch
) -> None:
    """With its title, note and keys; the picture is kept beside the code."""
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.delenv("TERM", raising=False)
    job = played("heat.stage.1.")
    app = Wizard(job.visit, job.rig)
    async with app.run_test(size=size) as pilot:
        await _on(pilot, pane)
        await pilot.press("f11")
        chart = chart_for(job.visit.view, pane)
        assert chart is not None
        lines = drawn_text(app)
        assert chart.title in lines[1]
        assert "Esc closes" in lines[-1]
        assert chart.note.split(".")[0].split()[0] in " ".join(lines)
        await is_kept(app, f"chart-{pane}-{size[0]}x{size[1]}")
