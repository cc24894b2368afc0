"""Troubles with the file and the rig as a person sees them: said in a sentence, nothing lost, a way on."""

from __future__ import annotations

import errno
import os
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import Any

import pytest
from textual.pilot import Pilot
from textual.widgets import Input

from asleft.drill.rig import RigError
from asleft.equipment.library import find, instruments
from asleft.face.drafts import Drafts
from asleft.journal import Chain, classify
from asleft.tui import Wizard
from asleft.tui.drawn import drawn_text
from asleft.unattended import Job, begin
from asleft.visit import Visit
from tui.test_elsewhere import failing

SIZES = [(80, 24), (120, 40)]


@pytest.fixture
def job(tmp_path: Path) -> Iterator[Job]:
    """An empty visit in a folder of its own."""
    made = begin(tmp_path / "visits", find("tarnfield-lowmoor-36"), 3)
    yield made
    made.close()


def words(pilot: Pilot[None]) -> str:
    """All that is drawn, in one line."""
    return " ".join(" ".join(drawn_text(pilot.app)).split())


def grown(path: Path) -> None:
    """Another program that does not heed the lock adds to the file."""
    with path.open("ab") as file:
        file.write(b"# mine\n")


def shrunk(path: Path) -> None:
    """The file loses its end."""
    os.truncate(path, path.stat().st_size - 10)


def replaced(path: Path) -> None:
    """Something puts a copy in its place, as tools that keep folders alike do."""
    copy = path.with_suffix(".copy")
    shutil.copy(path, copy)
    copy.replace(path)


def linked(path: Path) -> None:
    """A folder stands where the file was."""
    path.unlink()
    path.mkdir()


@pytest.mark.parametrize("size", SIZES, ids=str)
@pytest.mark.parametrize("fault", [Path.unlink, grown, shrunk, replaced, linked])
async def test_a_file_meddled_with_is_left_alone_and_the_visit_goes_on_elsewhere(
    job: Job, tmp_path: Path, fault: Callable[[Path], None], size: tuple[int, int]
) -> None:
    """Not said to be saved, the entry kept; in another folder everything stands that was saved before."""
    other = tmp_path / "other"
    other.mkdir()
    job.visit.enter("identity.technician", "Ada")
    path, before = job.visit.path, job.visit.path.read_bytes()
    app = Wizard(job.visit)
    async with app.run_test(size=size) as pilot:
        await pilot.press("f2")
        fault(path)
        meddled = path.read_bytes() if path.is_file() else None
        await pilot.press(*"Hill 7", "enter")
        assert "NOT SAVED" in drawn_text(app)[0]
        assert "F5 saves in another folder" in words(pilot)
        assert "> Hill 7" in words(pilot)
        assert job.visit.view.state.last_n == 1
        assert (path.read_bytes() if path.is_file() else None) == meddled
        await pilot.press("f5")
        await pilot.pause()
        app.screen.query_one("#folder", Input).value = str(other)
        await pilot.press("enter")
        await pilot.pause()
        assert "saved 2" in drawn_text(app)[0]
    contents = classify(job.visit.path.read_bytes())
    assert job.visit.path.parent == other
    assert contents.chain is Chain.WHOLE
    assert job.visit.path.read_bytes().startswith(before)
    assert [e["typed"] for e in contents.events] == ["Ada", "Hill 7"]


async def test_no_folder_has_room_and_leaving_keeps_what_was_typed(job: Job, tmp_path: Path) -> None:
    """Here full and there full: both are said, and the entry is a draft for the next day."""
    kept, full = tmp_path / "drafts.json", tmp_path / "full"
    full.mkdir()
    app = Wizard(job.visit, drafts=Drafts(kept))
    async with app.run_test(size=(80, 24)) as pilot:
        with failing(job.visit.path, "write", errno.ENOSPC):
            await pilot.press(*"Ada", "enter", "f5")
            await pilot.pause()
            real = os.write

            def write(descriptor: int, data: bytes) -> int:
                if b"[session]" in bytes(data):
                    raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
                return real(descriptor, data)

            os.write = write  # type: ignore[assignment]
            try:
                app.screen.query_one("#folder", Input).value = str(full)
                await pilot.press("enter")
                await pilot.pause()
            finally:
                os.write = real
            assert "no room" in words(pilot)
            assert list(full.iterdir()) == []
            await pilot.press("escape", "f10")
    assert Drafts(kept).get("identity.technician") == "Ada"
    path = job.visit.path
    job.visit.close()
    named = {i.id: i for i in instruments()}
    again = Visit.open(path, named, by="Ada", clock=lambda: "2031-05-04T09:00:00Z")
    app = Wizard(again, drafts=Drafts(kept))
    async with app.run_test(size=(80, 24)) as pilot:
        assert "> Ada" in words(pilot)
        await pilot.press("enter")
        assert "saved 1" in drawn_text(app)[0]
    again.close()


async def test_what_is_typed_where_drafts_cannot_be_kept_is_said_at_once(job: Job, tmp_path: Path) -> None:
    """A file stands where their folder would be; the entry itself is saved all the same."""
    (tmp_path / "state").write_text("")
    app = Wizard(job.visit, drafts=Drafts(tmp_path / "state" / "drafts" / "d.json"))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press(*"Ada")
        assert "cannot be kept if the terminal dies" in words(pilot)
        await pilot.press("enter")
        assert "saved 1" in drawn_text(app)[0]


class Dying:
    """A rig that answers a few times and then is dead."""

    def __init__(self, rig: Any, answers: int) -> None:
        self._rig, self._left = rig, answers

    def ask(self, request: Mapping[str, Any]) -> dict[str, Any]:
        """The answer, or what is said of one that ended."""
        if not self._left:
            raise RigError("The rig ended with exit code 1, saying: [/red] no link.")
        self._left -= 1
        answer: dict[str, Any] = self._rig.ask(request)
        return answer

    def close(self) -> None:
        """Nothing more."""


@pytest.mark.parametrize("size", SIZES, ids=str)
async def test_a_rig_that_dies_is_told_and_the_visit_goes_on_by_hand(job: Job, size: tuple[int, int]) -> None:
    """Its last answer was saved; asked again it is told again; what is half typed stays."""
    job.visit.enter("identity.technician", "Ada")
    app = Wizard(job.visit, Dying(job.rig, 1))
    async with app.run_test(size=size) as pilot:

        async def asked(said: str) -> None:
            await pilot.press("f3")
            for _ in range(100):
                if said in words(pilot):
                    return
                await pilot.pause(0.02)
            raise AssertionError(words(pilot))

        await pilot.press("f2")
        await asked("Enter takes it")
        await pilot.press("enter")
        assert "saved 2" in drawn_text(app)[0]
        await pilot.press(*"Low")
        for _ in range(2):
            await asked("[/red] no link. Go on by hand")
            assert "> Low" in words(pilot)
        await pilot.press(*"moor", "enter")
        assert "saved 3" in drawn_text(app)[0]


async def test_a_second_program_is_refused_and_the_first_goes_on(
    job: Job, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The one that came first writes; the other is told in a sentence, and may read."""
    from asleft import cli

    for module in ("cli", "visiting"):
        monkeypatch.setattr(f"asleft.{module}.terminal", lambda: True)
    job.visit.enter("identity.technician", "Ada")
    app = Wizard(job.visit)
    async with app.run_test(size=(80, 24)) as pilot:
        path = str(job.visit.path)
        assert cli.main(["open", path]) == 3
        words = [sys.executable, "-m", "asleft.cli", "enter", path, "identity.site=Hill 7"]
        told = subprocess.run(words, capture_output=True, text=True, check=False)
        assert (told.returncode, told.stdout) == (3, "")
        assert "another program" in told.stderr
        assert len(told.stderr.splitlines()) == 1
        assert cli.main(["next", path]) == 0
        await pilot.press("f2", *"Hill 7", "enter")
        assert "saved 2" in drawn_text(app)[0]


async def test_a_window_without_size_loses_nothing(job: Job) -> None:
    """As some terminals report while they are moved: what is typed goes on when there is room again."""
    app = Wizard(job.visit)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press(*"Ada")
        for size in ((0, 0), (80, 0), (0, 24), (1, 1), (2000, 1), (80, 24)):
            await pilot.resize_terminal(*size)
            await pilot.pause()
            await pilot.press("x", "backspace")
        await pilot.press(*" Cole", "enter")
        assert job.visit.view.state.text("identity.technician") == "Ada Cole"
