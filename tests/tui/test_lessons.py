"""A drill begun from home: the lessons with their aims, by keyboard and mouse, and the drill itself."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from textual.app import App

from asleft import cli
from asleft.desk import lessons
from asleft.drill.classroom.sheet import Ready
from asleft.installation.faults import FAULTS
from asleft.settings import update
from asleft.tui import Desk, HomeChoice
from asleft.tui.drawn import drawn_text
from asleft.tui.home import Home
from tui.looking import troubles


@pytest.fixture(autouse=True)
def asked_before(own_home: Path) -> None:
    """Somebody who is known."""
    update({"technician": "Ada Cole"})


def home() -> Home:
    """Home without a session."""
    from asleft.face.listing import Listing

    return Home(Desk(Listing, list, lambda _: pytest.fail("nothing to look at"), lessons, login="ada"))


def text_of(app: App[Any]) -> str:
    """All that is drawn."""
    return " ".join(" ".join(drawn_text(app)).split())


@pytest.mark.parametrize("size", [(80, 24), (120, 40), (200, 60), (44, 12)], ids=str)
async def test_lessons_stand_easiest_first_with_what_each_is_for(size: tuple[int, int]) -> None:
    """Nothing is cut unsaid, and no fault is named."""
    app = home()
    async with app.run_test(size=size) as pilot:
        await pilot.press("l")
        await pilot.pause()
        assert not list(troubles(app))
        levels = [lesson.level for lesson in lessons()]
        assert levels == sorted(levels)
        assert len(levels) >= 5
        if size[1] >= 24:
            text = text_of(app)
            assert not [kind.called for kind in FAULTS.values() if kind.called in text]
            assert all(lesson.title in text for lesson in lessons())
            assert lessons()[0].aims[0][:30] in text
            await pilot.press("down")
            assert lessons()[1].aims[0][:30] in text_of(app)


@pytest.mark.parametrize(
    ("keys", "choice"),
    [
        (["l", "enter"], 0),
        (["L", "down", "down", "enter"], 2),
        (["l", "end", "enter"], -1),
        (["l", "escape", "q"], None),
        (["l", "f1", "escape", "escape", "f10"], None),
    ],
)
async def test_enter_begins_one_and_escape_goes_home(keys: list[str], choice: int | None) -> None:
    """The choice ends the screen."""
    app = home()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press(*keys)
    wanted = None if choice is None else HomeChoice("drill", lesson=lessons()[choice].name)
    assert app.return_value == wanted


async def test_a_click_begins_it() -> None:
    """On either line of it."""
    app = home()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("l")
        await pilot.click("#lessons", offset=(8, 3))
    assert app.return_value == HomeChoice("drill", lesson=lessons()[1].name)


def test_what_is_chosen_is_begun_as_the_command_does(monkeypatch: pytest.MonkeyPatch, own_home: Path) -> None:
    """A drill by a rig of its own, under the name that is remembered."""
    seen: list[Any] = []

    def sit(visit: Any, lesson: Any, units: Any, **more: Any) -> int:
        seen.append((visit.mode, visit.by, lesson.brief.title, more["tell"] is tell))
        lesson.rig.close()
        visit.close()
        return 0

    def tell(sentence: str) -> None:
        pytest.fail(sentence)

    monkeypatch.setattr("asleft.teaching.terminal", lambda: True)
    monkeypatch.setattr("asleft.teaching.sit", sit)
    first: Ready = lessons()[0]
    assert cli._begun(HomeChoice("drill", lesson=first.name), tell) == 0
    assert seen == [("drill", "Ada Cole", first.title, True)]
