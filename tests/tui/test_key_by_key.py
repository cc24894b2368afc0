"""Keys that come all at once, as over a slow line, do what they do one by one."""

from __future__ import annotations

import asyncio
import random
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest
from textual.events import Key, Paste
from textual.pilot import Pilot
from textual.widgets import Input

from asleft.equipment.library import find
from asleft.tui import Wizard
from asleft.tui.drawn import drawn_text
from asleft.unattended import begin

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
    saved = [(e.kind, dict(e.data)) for e in state.history]
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


async def quiet(pilot: Pilot[None]) -> None:
    """Until no key waits to be obeyed."""
    app: Any = pilot.app
    await asyncio.sleep(0)
    while app._stuck is not None or app._waiting:
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
    assert [data["typed"] for _, data in history] == saved


@pytest.mark.parametrize("seed", range(6))
async def test_any_keys_at_once_lead_where_they_lead_one_by_one(tmp_path: Path, seed: int) -> None:
    """Drawn, typed and saved alike."""
    keys = random.Random(seed).choices(KEYS, k=40)
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
        assert [e.data["typed"] for e in job.visit.view.state.history] == ["Ada Cole", "Hill 7"]
        assert app.screen.query_one("#entry", Input).value == "x"
    job.close()
