"""The home screen over a folder full of hostile files, at any size: nothing acts, nothing is cut unsaid."""

from __future__ import annotations

import os
import random
from contextlib import suppress
from pathlib import Path
from typing import Any

import pytest
from textual.pilot import Pilot

from asleft.desk import closer, units
from asleft.drill.technician import Stuck, headless
from asleft.equipment.library import shipped
from asleft.face.listing import sessions
from asleft.journal import classify, event_bytes, header_bytes
from asleft.tui.drawn import drawn_text
from asleft.tui.home import Desk, Home
from asleft.tui.safe import as_typed
from asleft.unattended import begin
from hostile import ACTING, LONG, VISIBLE, hostile_unit
from tui.looking import troubles
from tui.test_hostile_text import paste
from tui.test_sizes import HEIGHTS, SIZES, WIDTHS

SCREENS: dict[str, tuple[str, ...]] = {
    "home": (),
    "last": ("end",),
    "new": ("n",),
    "none found": ("n", *"zzz"),
    "new site": ("n", "enter"),
    "new name": ("n", "enter", *"Hill 7", "enter"),
    "help": ("h",),
    "settings": ("s",),
    "a setting": ("s", "enter"),
    "third setting": ("s", "down", "down", "enter"),
}
"""Screens by the keys that lead to them."""


@pytest.fixture
def folder(own_home: Path) -> Path:
    """Sessions of hostile names and contents, damaged and foreign files, a hostile unit of one's own."""
    from asleft.line.places import equipment_folder, sessions_folder

    unit, _ = hostile_unit((shipped() / "osmere-corrie-24.toml").read_text("utf-8"))
    equipment_folder().mkdir(parents=True)
    (equipment_folder() / "[bold]x\u202e.toml").write_text(unit.text, "utf-8")
    (equipment_folder() / "no \x1b[31m unit.toml").write_text("[/red", "utf-8")
    here = sessions_folder()
    here.mkdir(parents=True)
    for n, text in enumerate([*VISIBLE.values()][:6]):
        job = begin(here, unit, n)
        with suppress(Stuck):
            headless(job.visit, job.rig, most_acts=n)
        job.visit.enter("identity.site", text if any(map(str.isalnum, text)) else "x")
        job.close()
        job.visit.path.rename(here / f"{n} {text.replace('/', '-')}.toml")
    drawn = random.Random(1)
    for n, text in enumerate(ACTING.values()):
        name = (
            os.fsencode(str(here))
            + b"/"
            + text.replace("/", "-").replace("\0", "").encode("utf-8", "replace")
        )
        with open(name + b"\xff.toml", "wb") as file:
            header = header_bytes(
                id="x",
                mode="job",
                app=text,
                rules="x",
                opened_by=text,
                follows=None,
                equipment_text=unit.text,
            )
            event = {"n": 1, "at": text, "by": text, "kind": "entered", "field": "identity.site"}
            event |= {"typed": text, "value": text}
            data = header
            with suppress(ValueError):
                data += event_bytes(classify(header).link, event)[0]
            file.write(data if n % 3 else data[: drawn.randrange(len(data))] + drawn.randbytes(40))
    (here / "folder.toml").mkdir()
    (here / "nowhere.toml").symlink_to(here / "gone")
    (here / "empty.toml").write_bytes(b"")
    return here


def desk(folder: Path) -> Desk:
    """The home screen's wants, from this folder."""
    notice = f"[/] {LONG[:300]}"
    return Desk(lambda: sessions(folder), units, closer, login="\x1b[31mme", notice=notice)


async def settled(pilot: Pilot[Any]) -> None:
    """Until what is looked at in threads stands too."""
    await pilot.pause()


@pytest.mark.parametrize("first", [False, True], ids=["known", "first start"])
async def test_nothing_in_a_folder_acts_on_the_terminal_at_any_size(
    folder: Path, own_home: Path, first: bool
) -> None:
    """Every screen of home, at 80 x 24 and a few sizes of the sweep."""
    if not first:
        from asleft.settings import update

        update({"technician": "❤\ufe0f [bold]Ada"})
    found, drawn = [], random.Random(7)
    for name, keys in SCREENS.items() if not first else [("first", ()), ("first, next", ("enter",))]:
        app = Home(desk(folder))
        async with app.run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            await pilot.press(*keys)
            sizes = [(80, 24), (120, 40), *drawn.sample(SIZES, 2), (1, 1), (80, 24)]
            for size in sizes:
                await pilot.resize_terminal(*size)
                found += [f"{name} {size}: {why}" for why in troubles(app)]
    assert not found, "\n".join(dict.fromkeys(found))


async def test_what_is_pasted_into_a_new_visit_is_refused_or_drawn_harmlessly(
    folder: Path, own_home: Path
) -> None:
    """Site and name, each hostile text in turn."""
    from asleft.settings import update

    update({"technician": "Ada"})
    app, found = Home(desk(folder)), []
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("n", *"Lowmoor", "enter")
        for name, text in [*ACTING.items(), *VISIBLE.items(), ("long", LONG)]:
            await paste(pilot, text)
            found += [f"{name}: {why}" for why in troubles(app)]
            if len(text.splitlines()) == 1:
                shown = as_typed(text)[:4].strip() if text in VISIBLE.values() else ""
                drawn = "\n".join(drawn_text(app))
                assert shown in drawn, name
                if text in ACTING.values():
                    await pilot.press("enter")
                    assert "printable letters" in "\n".join(drawn_text(app)), name
                    found += [f"{name}: {why}" for why in troubles(app)]
            await pilot.press("ctrl+u")
    assert not found, "\n".join(dict.fromkeys(found))


def test_the_sweep_has_the_least_and_the_most() -> None:
    """One cell, and more than any screen."""
    assert (min(WIDTHS), min(HEIGHTS)) == (1, 1)
    assert max(WIDTHS) >= 250
    assert max(HEIGHTS) >= 80
