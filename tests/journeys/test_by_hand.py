"""A person at the keys: refusals stay to be mended, nothing typed is lost, hostile text is only text."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from asleft.equipment.library import find
from asleft.face.drafts import Drafts
from asleft.tui import Wizard
from asleft.tui.drawn import drawn_text
from asleft.unattended import Job, begin

SIZES = [(80, 24), (120, 40)]


@pytest.fixture
def job(tmp_path: Path) -> Iterator[Job]:
    """An empty visit with a virtual unit."""
    made = begin(tmp_path / "visits", find("tarnfield-lowmoor-36"), 3)
    yield made
    made.close()


@pytest.mark.parametrize("size", SIZES, ids=str)
async def test_a_refused_value_stays_with_its_reason_until_it_is_mended(
    job: Job, size: tuple[int, int]
) -> None:
    """The comma is explained, the text stays, and the mended value is saved."""
    job.visit.enter("identity.technician", "Ada")
    app = Wizard(job.visit, job.rig)
    async with app.run_test(size=size) as pilot:
        while "identity.altitude" not in app.screen.row.left:  # type: ignore[attr-defined]
            await pilot.press("down")
        await pilot.press(*"1,5", "enter")
        text = "\n".join(drawn_text(app))
        assert "Not taken" in text
        assert "> 1,5" in text
        await pilot.press("ctrl+u", *"1x", "enter")
        assert "> 1x" in "\n".join(drawn_text(app))
        await pilot.press("backspace", *"20", "enter")
        assert "saved 2" in drawn_text(app)[0]
    entry = job.visit.view.ledger.current("identity.altitude")
    assert entry is not None
    assert entry.typed == "120"


async def test_what_is_typed_survives_panes_sizes_and_a_kill(job: Job, tmp_path: Path) -> None:
    """Leave the pane, shrink the window to nothing, lose the process: the text is there again."""
    path = tmp_path / "drafts" / "d.json"
    app = Wizard(job.visit, job.rig, drafts=Drafts(path))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press(*"Ada Ca")
        await pilot.press("tab", "tab", "shift+tab", "shift+tab")
        assert "> Ada Ca" in "\n".join(drawn_text(app))
        for size in ((1, 1), (40, 10), (200, 60), (80, 24)):
            await pilot.resize_terminal(*size)
            await pilot.pause()
        assert "> Ada Ca" in "\n".join(drawn_text(app))
    assert job.visit.view.state.last_n == 0
    again = Wizard(job.visit, job.rig, drafts=Drafts(path))
    async with again.run_test(size=(80, 24)):
        assert "> Ada Ca" in "\n".join(drawn_text(again))


async def test_hostile_text_is_drawn_as_text(job: Job) -> None:
    """Markup and links are letters like any others."""
    app = Wizard(job.visit, job.rig)
    async with app.run_test(size=(120, 40)) as pilot:
        for text in ("[/red]", "[@click=app.quit]x[/]", "[bold"):
            job.visit.enter("identity.technician", text)
            await pilot.press("f2")
            app.screen.draw()  # type: ignore[attr-defined]
            await pilot.pause()
            assert text[:12] in "\n".join(drawn_text(app))


async def test_undo_says_what_it_will_do_before_it_does_it(job: Job) -> None:
    """One press tells, the second does."""
    job.visit.enter("identity.technician", "Ada")
    app = Wizard(job.visit, job.rig)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("f6")
        assert "Undo: event 1" in "\n".join(drawn_text(app))
        assert job.visit.view.state.last_n == 1
        await pilot.press("f6")
        assert job.visit.view.state.latest("identity.technician") is None


async def test_help_and_working_open_and_close(job: Job) -> None:
    """One key each, Esc goes back."""
    app = Wizard(job.visit, job.rig)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("f1")
        await pilot.pause()
        assert "Unit identity" in "\n".join(drawn_text(app))
        await pilot.press("escape")
        await pilot.press("f4")
        await pilot.pause()
        assert "Technician" in "\n".join(drawn_text(app))
        await pilot.press("escape")
        await pilot.pause()
        assert "next F2" in "\n".join(drawn_text(app))
