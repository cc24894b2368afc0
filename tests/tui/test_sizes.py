"""Whatever the size of the window: nothing fails, no line is too wide, nothing is cut without a sign.

`PYTHONPATH=tests python -m tui.test_sizes` goes through every size, pane, page and point of a visit, which
takes an hour, and with 12 behind it every twelfth size; the suite takes a sample, drawn from a seed.
"""

from __future__ import annotations

import asyncio
import errno
import itertools
import random
import re
import sys
from collections.abc import Sequence
from contextlib import nullcontext
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest
from textual.app import App
from textual.pilot import Pilot

from asleft.tui import Wizard
from asleft.tui.drawing import SMALL
from asleft.tui.drawn import drawn_text
from asleft.tui.keys import ACTIONS
from tui.looking import POINTS, ROOMY, troubles, visit_at
from tui.test_elsewhere import failing

WIDTHS = (
    1,
    2,
    3,
    5,
    8,
    13,
    20,
    33,
    40,
    50,
    59,
    60,
    61,
    70,
    79,
    80,
    81,
    99,
    100,
    101,
    109,
    110,
    120,
    160,
    187,
    188,
    250,
)
HEIGHTS = (1, 2, 3, 4, 6, 10, 15, 16, 17, 20, 23, 24, 25, 30, 40, 60, 80)
SIZES = list(itertools.product(WIDTHS, HEIGHTS))
PANES = 7
NOT_SAVED = (*"Hill 7", "enter", "ctrl+u", "f6", "f6")
"""On a full disk: a technician at the beginning, later something to take back."""
OPENERS: dict[str, tuple[str, ...]] = {
    **{f"pane {n}": ("tab",) * n for n in range(PANES)},
    "last row": ("tab", "pagedown", "pagedown", "pagedown", "pagedown"),
    "settings' last row": ("tab",) * 5 + ("pagedown",) * 4,
    "typed": tuple("238.2 V ± 1.8 and more than there is room for, by far, as it happens"),
    "refused": (*"1,5", "enter"),
    "undo": ("f6",),
    "help": ("f1",),
    "working": ("tab", "f4"),
    "palette": ("ctrl+p",),
    "not saved": NOT_SAVED,
    "elsewhere": (*NOT_SAVED, "f5"),
}
"""Screens by the keys that lead to them from the beginning."""
DRAWN_S = 30.0


async def shown_at(pilot: Pilot[Any], size: tuple[int, int]) -> list[str]:
    """What is wrong at a size; a screen that is not drawn in time is wrong."""
    try:
        async with asyncio.timeout(DRAWN_S):
            await pilot.resize_terminal(*size)
            await pilot.pause()
    except TimeoutError:
        return [f"not drawn within {DRAWN_S:g} s"]
    found = list(troubles(pilot.app))
    return found + ([] if len(pilot.app.screen_stack) > 2 else card(pilot.app))


def card(app: App[Any]) -> list[str]:
    """What the card of a small window keeps from a person: what is next, and whether all is saved."""
    width, height = app.size
    if (width >= SMALL[0] and height >= SMALL[1]) or width < 20 or height < 6:
        return []
    text = " ".join(" ".join(drawn_text(app)).split()).lower()
    return [f"no {word!r} at {width} x {height}: {text}" for word in ("next", "saved") if word not in text]


async def opened(folder: Path, point: str, screen: str, sizes: Sequence[tuple[int, int]]) -> list[str]:
    """One screen at a point of a visit, at these sizes."""
    visit = visit_at(folder, point)
    failed = failing(visit.path, "write", errno.ENOSPC) if screen in ("not saved", "elsewhere") else None
    app, found = Wizard(visit), []
    try:
        with failed or nullcontext():
            async with app.run_test(size=ROOMY) as pilot:
                await pilot.press(*OPENERS[screen])
                await pilot.pause()
                for size in sizes:
                    found += [f"{point}, {screen}, {size}: {why}" for why in await shown_at(pilot, size)]
    finally:
        visit.close()
    return found


@pytest.mark.parametrize("part", range(3))
async def test_a_sample_of_sizes_on_every_screen(tmp_path: Path, part: int) -> None:
    """Every screen at one point of a visit: at 80 x 24, at a size below it and at one above, by a seed."""
    drawn, found = random.Random(part), []
    below = [size for size in SIZES if size[0] < ROOMY[0] or size[1] < ROOMY[1]]
    above = [size for size in SIZES if size not in below]
    for n, screen in enumerate(list(OPENERS)[part::3]):
        sizes = (drawn.choice(below), ROOMY, drawn.choice(above))
        found += await opened(tmp_path / str(n), drawn.choice(list(POINTS)), screen, sizes)
    assert not found, "\n".join(found)


async def test_the_help_shows_every_key_with_what_it_does(tmp_path: Path) -> None:
    """Each line of the table of keys, on a screen high enough for all of them."""
    visit = visit_at(tmp_path, "begun")
    app = Wizard(visit)
    async with app.run_test(size=(120, 200)) as pilot:
        await pilot.press("f1", "end")
        await pilot.pause()
        page = " ".join(re.sub(r"[│─┼├┤]", " ", "\n".join(drawn_text(app))).split())
    visit.close()
    assert not [a.help for a in ACTIONS if a.help not in page]


def main(every: int) -> int:
    """Every size, or every so-manieth, on every screen at every point; 1 where anything is wrong."""
    wrong = 0
    for n, (point, screen) in enumerate(itertools.product(POINTS, OPENERS)):
        sizes = SIZES[n % every :: every]
        with TemporaryDirectory() as folder:
            found = asyncio.run(opened(Path(folder), point, screen, sizes))
        wrong += len(found)
        print(f"{point}, {screen}: {len(sizes)} sizes, {len(found)} troubles", flush=True)
        for line in {re.sub(r"\d+", "0", line): line for line in found}.values():
            print("  " + line, flush=True)
    return bool(wrong)


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]) if len(sys.argv) > 1 else 1))
