"""Where an entry cannot be saved: it stays, it is said, and another folder is asked for."""

from __future__ import annotations

import errno
import os
from collections.abc import Iterator
from pathlib import Path

import pytest
from textual.widgets import Input

from asleft.equipment.library import find
from asleft.journal import Chain, classify
from asleft.tui import Wizard
from asleft.tui.drawn import drawn_text
from asleft.unattended import Job, begin

SIZES = [(80, 24), (120, 40)]


@pytest.fixture
def job(tmp_path: Path) -> Iterator[Job]:
    """A visit with one entry saved."""
    made = begin(tmp_path / "visits", find("tarnfield-lowmoor-36"), 3)
    made.visit.submit("identity.technician", "Ada Calder")
    yield made
    made.close()


def full(descriptor: int, data: bytes) -> int:
    """A disk with no room."""
    raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


@pytest.mark.parametrize("size", SIZES, ids=str)
async def test_an_entry_that_a_full_disk_refused_is_saved_in_another_folder(
    job: Job, size: tuple[int, int], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What was typed stays, F5 asks where, a wrong folder is told, the session goes on in the right one."""
    first, stick = job.visit.path, tmp_path / "stick"
    stick.mkdir()
    before = first.read_bytes()
    app = Wizard(job.visit, job.rig)
    async with app.run_test(size=size) as pilot:
        with monkeypatch.context() as broken:
            broken.setattr(os, "write", full)
            await pilot.press(*"Mill 3", "enter")
            text = drawn_text(app)
            assert "NOT SAVED" in text[0]
            assert any("> Mill 3" in line for line in text)
            assert any("F5" in line for line in text)
            assert job.visit.view.state.last_n == 1
        await pilot.press("f5")
        folder = app.screen.query_one("#folder", Input)
        folder.value = str(tmp_path / "no such folder")
        await pilot.press("enter")
        assert any("Not there:" in line for line in drawn_text(app))
        folder.value = str(stick)
        await pilot.press("enter")
        await pilot.pause()
        text = drawn_text(app)
        assert "saved 2" in text[0]
        assert not any("> Mill 3" in line for line in text)
    assert job.visit.path.parent == stick
    assert first.read_bytes() == before
    found = classify(job.visit.path.read_bytes())
    assert found.chain is Chain.WHOLE
    assert [e.get("typed") for e in found.events] == ["Ada Calder", "Mill 3"]


async def test_going_back_leaves_all_as_it_was(job: Job, monkeypatch: pytest.MonkeyPatch) -> None:
    """Esc closes the question; with room again, Enter saves the same text in the same place."""
    path = job.visit.path
    app = Wizard(job.visit, job.rig)
    async with app.run_test(size=(80, 24)) as pilot:
        with monkeypatch.context() as broken:
            broken.setattr(os, "write", full)
            await pilot.press(*"Mill 3", "enter", "f5", "escape")
        text = drawn_text(app)
        assert any("> Mill 3" in line for line in text)
        assert "NOT SAVED" in text[0]
        await pilot.press("enter")
        assert "saved 2" in drawn_text(app)[0]
    assert job.visit.path == path


async def test_where_it_is_saved_is_said_at_any_time(job: Job) -> None:
    """F5 with nothing wrong names the file, and asks nothing."""
    app = Wizard(job.visit, job.rig)
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.press("f5")
        assert any("The session is saved in" in line for line in drawn_text(app))
