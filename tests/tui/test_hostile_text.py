"""Text from a person, a maker or a file that tries to act is drawn as text, on every screen, cell by cell.

`PYTHONPATH=tests python -m tui.test_hostile_text` goes through every row of every pane with its working, for
every unit; the suite takes a sample of the same.
"""

from __future__ import annotations

import asyncio
import sys
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest
from textual.events import Paste
from textual.pilot import Pilot

from asleft.drill.technician import Stuck, headless
from asleft.equipment.library import find, shipped, units
from asleft.equipment.model import EquipmentFile
from asleft.face.drafts import Drafts
from asleft.face.rows import rows
from asleft.session.fields import PANES
from asleft.tui import Wizard
from asleft.tui.drawn import drawn_text
from asleft.tui.safe import plain
from asleft.unattended import Job, begin
from asleft.visit import Visit
from hostile import ACTING, LONG, VISIBLE, hostile_unit
from tui.looking import cell_width, troubles

UNIT = "tarnfield-lowmoor-36"
SEED = 2
STEP = 16
"""Every so-manieth row is looked at in the suite."""


@cache
def unit_of(id: str) -> tuple[EquipmentFile, dict[str, str]]:
    """A unit of the library with every free string hostile."""
    return hostile_unit((shipped() / f"{id}.toml").read_text("utf-8"))


@pytest.fixture
def job(tmp_path: Path) -> Iterator[Job]:
    """An empty visit to a unit as it comes."""
    made = begin(tmp_path / "visits", find(UNIT), SEED)
    yield made
    made.close()


def begins(text: str, cells: int = 10) -> str:
    """As much of a text, made harmless, as fills so many cells."""
    taken = ""
    for character in plain(text).strip():
        if sum(map(cell_width, taken + character)) > cells:
            break
        taken += character
    return taken


async def paste(pilot: Pilot[Any], text: str) -> None:
    """A text as a terminal hands it over in one piece."""
    pilot.app.post_message(Paste(text))
    await pilot.pause()


async def test_what_a_person_may_write_is_saved_and_drawn_as_it_is(job: Job) -> None:
    """Typed, saved and told; no letter of it is markup, and no cell is lost."""
    app, found = Wizard(job.visit), []
    async with app.run_test(size=(80, 24)) as pilot:
        for name, text in VISIBLE.items():
            app.screen.action_row(-1000)  # type: ignore[attr-defined]
            await paste(pilot, text)
            typed = list(troubles(app))
            await pilot.press("enter", "shift+tab", "tab")
            drawn = "\n".join(drawn_text(app))
            found += [f"{name}: {why}" for why in (*typed, *troubles(app))]
            if any(c.isalnum() for c in text):
                assert job.visit.view.state.text("identity.technician") == text, name
                if begins(text) not in drawn:
                    found.append(f"{name}: {begins(text)!r} is not drawn")
            await pilot.press("ctrl+u")
    assert not found, "\n".join(found)


async def test_what_would_act_on_a_terminal_is_refused_and_harmless_where_it_stands(
    job: Job, tmp_path: Path
) -> None:
    """Pasted, it stays in the entry with a reason and nothing acts; so it does as a draft of another day."""
    app, found = Wizard(job.visit, drafts=Drafts(tmp_path / "drafts.json")), []
    refused = {**ACTING, "long": LONG, "surrogate": "a\ud800b"}
    async with app.run_test(size=(80, 24)) as pilot:
        for name, text in refused.items():
            await paste(pilot, f"{text} 7")
            found += [f"{name}, typed: {why}" for why in troubles(app)]
            await pilot.press("enter")
            found += [f"{name}, entered: {why}" for why in troubles(app)]
            if "Not taken" not in "\n".join(drawn_text(app)) and len(f"{text} 7".splitlines()) == 1:
                found.append(f"{name}: taken")
            app.screen.action_row(-1000)  # type: ignore[attr-defined]
            await pilot.press("ctrl+u")
        await paste(pilot, "".join(refused.values()))
    again = Wizard(job.visit, drafts=Drafts(tmp_path / "drafts.json"))
    async with again.run_test(size=(80, 24)):
        found += [f"as a draft: {why}" for why in troubles(again)]
    assert not found, "\n".join(found)


@dataclass
class Seen:
    """All that was drawn on the way through a screen, and what was wrong with it."""

    text: str = ""
    wrong: tuple[str, ...] = ()

    def look(self, app: Wizard, where: str) -> None:
        """Take in what is drawn now."""
        self.text += "\n".join(drawn_text(app)) + "\n"
        self.wrong += tuple(f"{where}: {why}" for why in troubles(app))


async def through_every_pane(visit: Visit, size: tuple[int, int], step: int) -> Seen:
    """Every pane, every so-manieth row of it with its working, in both unit systems."""
    app, seen = Wizard(visit), Seen()
    async with app.run_test(size=size) as pilot:
        for pane in PANES:
            await pilot.press("tab")
            app.screen.action_row(-1000)  # type: ignore[attr-defined]
            made = rows(visit.view, app.screen._standing.pane, "ip")  # type: ignore[attr-defined]
            for at in range(0, len(made), step):
                app.screen.action_row(step if at else 0)  # type: ignore[attr-defined]
                await pilot.pause()
                seen.look(app, f"{pane} row {at}")
                if at % (2 * step) == 0:
                    await pilot.press("f4")
                    await pilot.pause()
                    seen.look(app, f"{pane} row {at} working")
                    await pilot.press("escape")
        for keys in (("f2",), ("f5",), ("f8",), ("ctrl+p",)):
            await pilot.press(*keys)
            await pilot.pause()
            seen.look(app, keys[0])
    return seen


def played(folder: Path, unit: EquipmentFile, most_acts: int) -> Job:
    """A visit to a unit, so many acts of it done; its remarks hostile too."""
    job = begin(folder, unit, SEED)
    with suppress(Stuck):
        headless(job.visit, job.rig, most_acts=most_acts)
    for text in VISIBLE.values():
        job.visit.enter("note", text)
    return job


@pytest.mark.parametrize(("acts", "size"), [(60, (80, 24)), (150, (120, 40))], ids=str)
async def test_a_file_of_hostile_strings_is_drawn_as_it_is_written(
    tmp_path: Path, acts: int, size: tuple[int, int]
) -> None:
    """Every pane, row and page of a visit to such a unit."""
    unit, made = unit_of(UNIT)
    job = played(tmp_path, unit, acts)
    try:
        seen = await through_every_pane(job.visit, size, STEP)
    finally:
        job.close()
    assert not seen.wrong, "\n".join(seen.wrong)
    labels = {s.label for s in unit.equipment.setting} | {unit.equipment.unit.maker}
    assert labels <= set(made.values())
    assert begins(unit.equipment.unit.maker, 8) in seen.text


def main() -> int:
    """Every row of every pane, for every unit, at two sizes; 1 where anything is wrong."""
    wrong = 0
    for known in units():
        unit, _ = unit_of(known.id)
        for acts, size in ((60, (80, 24)), (150, (120, 40)), (1000, (80, 24))):
            with TemporaryDirectory() as folder:
                job = played(Path(folder), unit, acts)
                seen = asyncio.run(through_every_pane(job.visit, size, 1))
                job.close()
            wrong += len(seen.wrong)
            print(f"{known.id}, {acts} acts, {size}: {len(seen.wrong)} troubles", flush=True)
            for line in dict.fromkeys(seen.wrong[:20]):
                print("  " + line, flush=True)
    return bool(wrong)


if __name__ == "__main__":
    sys.exit(main())
