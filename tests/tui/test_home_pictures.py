"""Home, the first start, settings and a new visit are the pictures that are kept."""

from __future__ import annotations

import os
from datetime import UTC, datetime
from pathlib import Path

import pytest

from asleft.desk import closer, lessons, units
from asleft.face.listing import sessions
from asleft.settings import settings_file, update
from asleft.tui import Desk
from asleft.tui.drawn import drawn_text
from asleft.tui.home import Home
from asleft.tui.themes import NAMES
from played import cut_after, session_bytes
from tui.pictures import is_kept

SIZES = pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=["80x24", "120x40"])


@pytest.fixture(autouse=True)
def home_of_ada(own_home: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Two open visits, one of them cut short, two signed sessions, and a file that is none."""
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setenv("HOME", str(own_home.parent))
    monkeypatch.setenv("USERPROFILE", str(own_home.parent))
    monkeypatch.setenv("ASLEFT_HOME", str(own_home.parent / "asleft"))
    folder = own_home.parent / "asleft" / "sessions"
    for old in (*folder.glob("*"), settings_file()):
        old.unlink(missing_ok=True)
    folder.mkdir(parents=True, exist_ok=True)
    files = {
        "morning": cut_after(session_bytes(4)[1], 58)[:-90],
        "day-before": cut_after(session_bytes(11)[1], 96),
        "last-week": session_bytes(2)[1],
        "before-that": session_bytes(1)[1],
        "shopping": b"milk = 2\n",
    }
    for age, (name, content) in enumerate(files.items()):
        (folder / f"{name}.toml").write_bytes(content)
        os.utime(folder / f"{name}.toml", (1_800_000_000 - age, 1_800_000_000 - age))
    return folder


def home(folder: Path) -> Home:
    """Home on that folder, on a day after all of it."""
    now = datetime(2026, 12, 1, 8, 0, tzinfo=UTC)
    return Home(Desk(lambda: sessions(folder), units, closer, lessons, login="ada", now=lambda: now))


@SIZES
async def test_home_is_drawn(home_of_ada: Path, size: tuple[int, int]) -> None:
    """With what comes next in every open visit."""
    update({"technician": "Ada Cole"})
    app = home(home_of_ada)
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        await app.workers.wait_for_complete()
        await pilot.pause()
        assert "\n".join(drawn_text(app)).count("saved · next: ") == 2
        await is_kept(app, f"home-{size[0]}x{size[1]}")
        await pilot.press("n", *"field")
        await is_kept(app, f"new-visit-{size[0]}x{size[1]}")
        await pilot.press("escape", "l", "down")
        await is_kept(app, f"lessons-{size[0]}x{size[1]}")


@SIZES
async def test_the_first_start_is_drawn(home_of_ada: Path, size: tuple[int, int]) -> None:
    """At the question that has most to choose from."""
    app = home(home_of_ada)
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        await pilot.press(*"Ada Cole", "enter", "enter", "down")
        assert "▸ Meter" in "\n".join(drawn_text(app))
        await is_kept(app, f"first-start-{size[0]}x{size[1]}")


@SIZES
async def test_settings_are_drawn(home_of_ada: Path, size: tuple[int, int]) -> None:
    """With one of them open."""
    update(
        {
            "technician": "Ada Cole",
            "instruments.meter": "meter-corwen",
            "instruments.clamp": "clamp-corwen",
            "instruments.manometer": "My manometer | static_pressure 1 % | 2031-06-30",
            "altitude": "1200 ft",
        }
    )
    app = home(home_of_ada)
    async with app.run_test(size=size) as pilot:
        await pilot.press("s", *["down"] * 7, "enter", "down", "down", "down")
        assert "▸ NEC 2023" in "\n".join(drawn_text(app))
        await is_kept(app, f"settings-{size[0]}x{size[1]}")


def test_every_look_can_be_set() -> None:
    """The setting's choices are the looks there are."""
    from asleft.settings import setting_of

    assert [value for value, _ in setting_of("theme").choices] == list(NAMES)
