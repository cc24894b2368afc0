"""Keys that come all at once, as over a slow line, do what they do one by one."""

from __future__ import annotations

import asyncio
import random
from collections.abc import Callable, Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from textual.app import App
from textual.events import Key, Paste
from textual.pilot import Pilot
from textual.widgets import Input

from asleft.equipment.library import find
from asleft.settings import update
from asleft.tui import Wizard
from asleft.tui.board import BoardApp
from asleft.tui.drawn import drawn_text
from asleft.tui.replay import ReplayApp
from asleft.unattended import begin
from played import cut_after, session_bytes
from review.sessions import session
from tui.test_board import a_class
from tui.test_home import home, put
from tui.test_replay import app_of, looked_through

UNIT, SEED = "tarnfield-lowmoor-36", 3
KEYS = (
    *("a", "B", "7", ".", "space"),
    *("backspace", "left", "right", "home", "end", "ctrl+u", "ctrl+w", "delete"),
    *("enter", "down", "up", "tab", "shift+tab", "f2", "escape", "pagedown"),
    *("f4", "f1", "f8", "f6", "ctrl+l"),
)


def key(name: str) -> Key:
    """A key as the terminal's driver hands it over."""
    return Key(name, " " if name == "space" else name if len(name) == 1 else None)


def stands(pilot: Pilot[None]) -> tuple[Any, ...]:
    """What is drawn, what is typed and what is saved."""
    app: Any = pilot.app
    state = app._wizard.view.state
    saved = [e.what for e in state.history]
    return drawn_text(app), app._wizard.query_one("#entry", Input).value, saved


async def after(folder: Path, keys: Sequence[str], *, burst: bool) -> tuple[Any, ...]:
    """Where these keys lead in a new visit."""
    job = begin(folder, find(UNIT), SEED)
    app = Wizard(job.visit)
    try:
        async with app.run_test(size=(80, 24)) as pilot:
            for name in keys:
                app.post_message(key(name))
                if not burst:
                    await quiet(pilot)
            await quiet(pilot)
            return stands(pilot)
    finally:
        job.close()


async def quiet(pilot: Pilot[Any]) -> None:
    """Until no key waits to be obeyed, or the program was left."""
    app: Any = pilot.app
    await asyncio.sleep(0)
    while app.return_code is None and (app._stuck is not None or app._waiting):
        await asyncio.sleep(0.005)
    await pilot.pause()


@pytest.mark.parametrize(
    ("keys", "saved"),
    [
        (["A", "d", "a", "enter", "H", "i", "l", "l", "enter", "L", "M", "enter"], ["Ada", "Hill", "LM"]),
        (["A", "b", "backspace", "d", "a", "enter"], ["Ada"]),
        (["X", "ctrl+u", "A", "d", "a", "enter"], ["Ada"]),
        (["A", "d", "a", "down", "H", "up", "x", "enter"], ["Adax"]),
        (["A", "d", "a", "f4", "escape", "x", "enter"], ["Adax"]),
    ],
)
async def test_a_burst_of_keys_is_obeyed_in_its_order(
    tmp_path: Path, keys: list[str], saved: list[str]
) -> None:
    """No letter behind Enter goes before it, and Backspace takes the letter that it was pressed after."""
    *_, history = await after(tmp_path, keys, burst=True)
    assert [done.typed for done in history] == saved


@pytest.mark.parametrize("seed", range(4))
async def test_any_keys_at_once_lead_where_they_lead_one_by_one(tmp_path: Path, seed: int) -> None:
    """Drawn, typed and saved alike."""
    keys = random.Random(seed).choices(KEYS, k=60)
    together = await after(tmp_path / "a", keys, burst=True)
    apart = await after(tmp_path / "b", keys, burst=False)
    assert together == apart, keys


async def test_a_paste_keeps_its_place_among_keys(tmp_path: Path) -> None:
    """What is pasted and the Enter behind it, twice."""
    job = begin(tmp_path, find(UNIT), SEED)
    app = Wizard(job.visit)
    async with app.run_test(size=(80, 24)) as pilot:
        for event in (Paste("Ada Cole"), key("enter"), Paste("Hill 7"), key("enter"), key("x")):
            app.post_message(event)
        await quiet(pilot)
        assert [e.written()["typed"] for e in job.visit.view.state.history] == ["Ada Cole", "Hill 7"]
        assert app.screen.query_one("#entry", Input).value == "x"
    job.close()


HOME_KEYS = ("n", "l", "s", "h", "d", "q", "1", "x", "up", "down", "end", "enter", "escape", "f1", "f10", "B")
REPLAY_KEYS = ("right", "left", "pagedown", "home", "end", "n", "p", "t", "tab", "escape", "f1", "f9", "x")


EVENTS = 48
"""Of a visit that is replayed: as far as the first readings."""


def a_home(folder: Path) -> App[Any]:
    """Home on one open visit."""
    update({"technician": "Ada Cole"})
    put(folder, open=cut_after(session_bytes()[1], 3))
    return home(folder)


def a_replay(folder: Path) -> App[Any]:
    """A replay of the beginning of a visit: how many events follow is nothing to the keys."""
    return app_of(session(lambda events: events[:EVENTS]), folder)


def a_board(folder: Path) -> App[Any]:
    """A class of thirty."""
    return BoardApp(a_class(folder / "class", 30), lambda: datetime(2031, 5, 4, 9, 14, tzinfo=UTC))


async def came(app: App[Any], keys: Sequence[str], *, burst: bool) -> tuple[Any, ...]:
    """What these keys leave on the screen of a program, and what it ends with."""
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        if isinstance(app, ReplayApp):
            await looked_through(app)
        for name in keys:
            app.post_message(key(name))
            if not burst:
                await quiet(pilot)
        await quiet(pilot)
        drawn = drawn_text(app) if app.return_code is None else []
    return drawn, _nowhere(app.return_value)


def _nowhere(value: Any) -> Any:
    """What a program ends with, by the names of files alone."""
    if not isinstance(value, tuple):
        return value
    return tuple(part.name if isinstance(part, Path) else part for part in value)


@pytest.mark.parametrize(
    ("program", "known", "seed"),
    [
        *((a_home, HOME_KEYS, seed) for seed in range(8)),
        *((a_replay, REPLAY_KEYS, seed) for seed in range(2)),
        *((a_board, ("up", "down", "end", "home", "f1", "escape", "f9", "q"), seed) for seed in range(3)),
    ],
)
async def test_any_keys_at_once_do_alike_in_every_program(
    tmp_path: Path,
    own_home: Path,
    program: Callable[[Path], App[Any]],
    known: Sequence[str],
    seed: int,
) -> None:
    """Where nothing has the focus the screen reads the keys: they wait for each other all the same."""
    keys = random.Random(seed).choices(known, k=12)
    made = []
    for way in ("together", "apart"):
        (tmp_path / way).mkdir()
        made.append(await came(program(tmp_path / way), keys, burst=way == "together"))
    assert made[0] == made[1], keys


@pytest.mark.parametrize(
    ("keys", "chosen"), [(["q", "d"], None), (["d", "q"], "demo"), (["f10", "f10", "d"], None)]
)
async def test_what_is_typed_behind_the_key_that_leaves_does_nothing(
    tmp_path: Path, own_home: Path, keys: list[str], chosen: str | None
) -> None:
    """Whoever has left is gone, and whoever has begun a demo is not thrown out of it."""
    _, ended = await came(a_home(tmp_path), keys, burst=True)
    assert (ended[0] if ended else None) == chosen


async def test_keys_that_wait_when_the_screens_go_break_nothing(own_home: Path, tmp_path: Path) -> None:
    """The terminal is gone while keys are still to be obeyed."""
    app = a_home(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        for name in ("down", "up") * 40:
            app.post_message(key(name))
        await asyncio.sleep(0)
    assert app.return_value is None
