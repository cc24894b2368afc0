"""Where nothing can be saved any more: said at once, nothing typed lost, and another folder to go on in."""

from __future__ import annotations

import errno
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Input

from asleft.equipment.library import find
from asleft.face.drafts import Drafts
from asleft.face.entries import Entries
from asleft.face.folders import folder_of, offered
from asleft.face.rows import Row
from asleft.journal import Chain, Contents, classify
from asleft.session.acts import Enter
from asleft.tui import Wizard
from asleft.tui.drawn import drawn_text
from asleft.tui.keys import ACTIONS, words
from asleft.unattended import Job, begin
from asleft.visit import Refused


@pytest.fixture
def job(tmp_path: Path) -> Iterator[Job]:
    """An empty visit in a folder of its own."""
    made = begin(tmp_path / "visits", find("tarnfield-lowmoor-36"), 3)
    yield made
    made.close()


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty home folder."""
    folder = tmp_path / "home"
    folder.mkdir()
    monkeypatch.setenv("HOME", str(folder))
    monkeypatch.setenv("USERPROFILE", str(folder))
    return folder


@contextmanager
def failing(path: Path, operation: str, number: int) -> Iterator[None]:
    """From inside, one operation fails on this file, as a full or broken drive makes it fail."""
    real, inode = getattr(os, operation), path.stat().st_ino

    def call(descriptor: int, *rest: bytes) -> object:
        if os.fstat(descriptor).st_ino == inode:
            raise OSError(number, os.strerror(number))
        return real(descriptor, *rest)

    setattr(os, operation, call)
    try:
        yield
    finally:
        setattr(os, operation, real)


@contextmanager
def vanished(path: Path) -> Iterator[None]:
    """From inside, the folder of this file is gone, as when a drive is pulled out."""
    away = path.parent.with_name("pulled-out")
    path.parent.rename(away)
    try:
        yield
    finally:
        away.rename(path.parent)


FAULTS = {
    "full": lambda path: failing(path, "write", errno.ENOSPC),
    "read-only": lambda path: failing(path, "write", errno.EROFS),
    "drive fails": lambda path: failing(path, "fsync", errno.EIO),
    "vanished": vanished,
}


def text_of(app: Wizard) -> str:
    """All that is drawn but the rail at the left, as one text."""
    return "\n".join(line.rpartition("│")[2] for line in drawn_text(app))


def whole(path: Path) -> Contents:
    """What a session file holds, which must be in order to the last byte."""
    contents = classify(path.read_bytes())
    assert contents.chain is Chain.WHOLE
    return contents


async def to_folder(pilot: Pilot[None], folder: Path | str) -> None:
    """Type a folder over the one that is offered, and Enter."""
    pilot.app.screen.query_one("#folder", Input).value = str(folder)
    await pilot.press("enter")
    await pilot.pause()


@pytest.mark.parametrize("fault", FAULTS)
@pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=str)
async def test_an_entry_that_cannot_be_saved_goes_to_another_folder(
    job: Job, home: Path, fault: str, size: tuple[int, int]
) -> None:
    """Said at once, kept, F5 offers home; there the same bytes go on; the old file stays as it was."""
    visit, old = job.visit, job.visit.path
    visit.enter("identity.technician", "Ada")
    before = old.read_bytes()
    app = Wizard(visit, job.rig)
    async with app.run_test(size=size) as pilot:
        with FAULTS[fault](old):
            await pilot.press("f2")
            label = app.screen.row.label  # type: ignore[attr-defined]
            await pilot.press(*"Hill 7", "enter")
            assert "NOT SAVED" in drawn_text(app)[0]
            assert "Not saved; F5 saves in another folder" in text_of(app)
            assert "> Hill 7" in text_of(app)
            assert old.name in text_of(app).replace("\n", "").replace(" ", "")
            assert visit.view.state.last_n == 1

            await pilot.press("f5")
            await pilot.pause()
            assert "Save in folder > " in text_of(app)
            assert app.screen.query_one("#folder", Input).value == str(home)
            await to_folder(pilot, home / "not there")
            assert "Not there:" in text_of(app)
            await to_folder(pilot, home)
            assert "saved 2" in drawn_text(app)[0]
            assert f"Saved 2: {label}: Hill 7"[: size[0] - 2] in text_of(app)
            assert visit.path == home / old.name
            assert str(visit.path) in text_of(app).replace("\n", "").replace(" ", "")
            visit.enter("note", "goes on")
        assert old.read_bytes() == before
        assert visit.path.read_bytes().startswith(before)
    assert [e.get("typed", e.get("text")) for e in whole(visit.path).events] == ["Ada", "Hill 7", "goes on"]


async def test_a_folder_that_cannot_be_written_says_so_and_esc_goes_back(
    job: Job, home: Path, tmp_path: Path
) -> None:
    """No folder, a file, nothing: each is said, the line stays; going back loses nothing, a kill neither."""
    kept = tmp_path / "drafts.json"
    app = Wizard(job.visit, job.rig, drafts=Drafts(kept))
    old = job.visit.path
    async with app.run_test(size=(80, 24)) as pilot:
        with failing(old, "write", errno.ENOSPC):
            await pilot.press(*"Ada", "enter", "f5")
            await pilot.pause()
            for folder in (tmp_path / "nowhere", old, "", "~nobody-of-this-name/x", "[/red]"):
                await to_folder(pilot, folder)
                assert "Not there:" in text_of(app)
                assert "Save in folder >" in text_of(app)
                assert job.visit.path == old
            await pilot.press("escape")
            await pilot.pause()
            assert "> Ada" in text_of(app)
            assert "NOT SAVED" in drawn_text(app)[0]
            await pilot.press("tab", "shift+tab")
            assert "> Ada" in text_of(app)
            assert "NOT SAVED" in drawn_text(app)[0]
        assert list(home.iterdir()) == []
        assert Drafts(kept).get("identity.technician") == "Ada"
        await pilot.press("enter")
        assert "saved 1" in drawn_text(app)[0]
    assert len(whole(old).events) == 1
    assert Drafts(kept).get("identity.technician") == ""


async def test_a_screen_too_small_does_not_say_that_all_is_saved(job: Job) -> None:
    """It says that it is, until it is not."""
    app = Wizard(job.visit, job.rig)
    async with app.run_test(size=(80, 24)) as pilot:
        with failing(job.visit.path, "write", errno.ENOSPC):
            await pilot.press(*"Ada", "enter")
        await pilot.resize_terminal(40, 10)
        await pilot.pause()
        assert "Not saved" in text_of(app)
        assert "All entries are saved" not in text_of(app)


async def test_a_small_screen_names_what_waits_although_something_else_was_saved_since(job: Job) -> None:
    """One entry fails, the next is saved: the first still waits, and the card says so."""
    app = Wizard(job.visit, job.rig)
    async with app.run_test(size=(80, 24)) as pilot:
        with failing(job.visit.path, "write", errno.ENOSPC):
            await pilot.press(*"Ada", "enter")
        await pilot.press("down", *"Hill 7", "enter")
        assert job.visit.view.state.last_n == 1
        await pilot.resize_terminal(40, 10)
        await pilot.pause()
        assert "Not saved yet: Technician" in " ".join(text_of(app).split())
        assert "All entries are saved" not in text_of(app)


async def test_several_entries_that_failed_go_along_as_they_were_entered(job: Job, home: Path) -> None:
    """In their order, a bare number in the units it was typed under; one changed since waits for Enter."""
    app = Wizard(job.visit, job.rig)
    async with app.run_test(size=(80, 24)) as pilot:
        with failing(job.visit.path, "write", errno.ENOSPC):
            await pilot.press(*"Ada", "enter")
            while "identity.altitude" not in app.screen.row.left:  # type: ignore[attr-defined]
                await pilot.press("down")
            await pilot.press(*"100", "enter", "f8", "up")
            changed = app.screen.row.act  # type: ignore[attr-defined]
            await pilot.press("x", "enter", "y")
            await pilot.press("f5")
            await pilot.pause()
            await pilot.press("enter")
            await pilot.pause()
        state = job.visit.view.state
        assert [e.written()["field"] for e in state.history] == ["identity.technician", "identity.altitude"]
        assert state.history[1].written()["value"] == pytest.approx(30.48)  # 100 ft
        assert state.latest(changed.field) is None
        assert app.screen._entries.of(changed) == "xy"  # type: ignore[attr-defined]


def test_what_is_refused_in_the_new_place_no_longer_counts_as_not_saved(
    job: Job, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It stays typed to be mended, like any refusal."""
    entries = Entries(job.visit, Drafts(None), words(ACTIONS))
    row = Row(Enter("identity.technician"), "Technician")

    def refuse(*_: str, **__: str) -> None:
        raise Refused("no longer so", "something else")

    with failing(job.visit.path, "write", errno.ENOSPC):
        assert entries.take(row, "Ada", "ip").bad
    assert entries.unsaved == ("Technician",)
    monkeypatch.setattr(job.visit, "submit", refuse)
    assert entries.moved(job.visit.path).text.startswith("Not taken: no longer so")
    assert entries.unsaved == ()
    assert entries.of(Enter("identity.technician")) == "Ada"


async def test_an_undo_that_could_not_be_saved_is_one_key_away_in_the_other_folder(
    job: Job, home: Path
) -> None:
    """It is not done behind one's back; the key that failed does it."""
    job.visit.enter("identity.technician", "Ada")
    app = Wizard(job.visit, job.rig)
    async with app.run_test(size=(80, 24)) as pilot:
        with failing(job.visit.path, "write", errno.ENOSPC):
            await pilot.press("f6", "f6")
            assert "Not saved; F5 saves in another folder, F6 tries again." in text_of(app)
            await pilot.press("f5")
            await pilot.pause()
            await pilot.press("enter")
            await pilot.pause()
        assert job.visit.view.state.last_n == 1
        assert "saved 1" in drawn_text(app)[0]
        await pilot.press("f6")
        assert job.visit.view.state.latest("identity.technician") is None
    assert job.visit.path.parent == home
    assert len(whole(job.visit.path).events) == 2


async def test_while_saving_works_the_key_says_where(job: Job) -> None:
    """Nothing is moved that need not be."""
    app = Wizard(job.visit, job.rig)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("f5")
        assert str(job.visit.path) in text_of(app).replace("\n", "").replace(" ", "")
        assert "Save in folder" not in text_of(app)


async def test_a_message_longer_than_its_line_stands_whole_above_it(job: Job) -> None:
    """What would be right stands at the end of a refusal, and must be seen."""
    app = Wizard(job.visit, job.rig)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press(*["tab"] * 5, "f2")
        with pytest.raises(Exception, match="locked") as refused:
            job.visit.enter("power", "on")
        while app.screen.row.left != "power":  # type: ignore[attr-defined]
            await pilot.press("tab" if "Electrical checks" not in drawn_text(app)[2] else "down")
        await pilot.press("o", "n", "enter")
        shown = " ".join(text_of(app).split())
        assert len(str(refused.value)) > 80
        assert str(refused.value)[-40:] in shown
        await pilot.press("backspace")
        assert str(refused.value)[-40:] not in " ".join(text_of(app).split())


def test_what_is_offered_is_home_then_the_temporary_folder_never_the_present_one(
    home: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """And nothing where neither can be written."""
    monkeypatch.setattr("asleft.face.folders.gettempdir", lambda: str(tmp_path))
    assert offered(tmp_path / "visits") == str(home)
    assert offered(home) == str(tmp_path)
    home.rmdir()
    assert offered(tmp_path / "visits") == str(tmp_path)
    assert offered(tmp_path) == ""


@pytest.mark.skipif(sys.platform == "win32", reason="home has another name there")
def test_a_folder_may_be_typed_from_home_or_from_here(home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """`~` is home; a relative name counts from the present folder."""
    monkeypatch.chdir(home)
    assert folder_of(" ~/x ") == home / "x"
    assert folder_of("y") == home / "y"
    with pytest.raises(ValueError, match="type the name"):
        folder_of("a\0b")
