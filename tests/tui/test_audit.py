"""An audit on the screen: worst first, a filter, a page of marks, accepted or sent back with a reason."""

from __future__ import annotations

import os
import subprocess
import sys
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from threading import Event

import pytest

from asleft.journal import read
from asleft.review.audit import FEW
from asleft.review.going_on import Auditing
from asleft.review.rules import mark
from asleft.review.store import Run
from asleft.reviewing import acted
from asleft.tui.audit import AuditApp, AuditScreen
from asleft.tui.audit_lines import Bookmark, Chosen
from asleft.tui.drawn import drawn_text
from review.sessions import session
from review.test_examine import back, low_volts
from tui.looking import drawn, troubles
from tui.pictures import is_kept


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """No settings of a person, and colours."""
    monkeypatch.setenv("ASLEFT_HOME", str(tmp_path / "home"))
    monkeypatch.delenv("NO_COLOR", raising=False)


def a_tree(tmp_path: Path) -> Path:
    """Three sessions, one fine, one with a clock that went back, one that should not have been signed."""
    folder = tmp_path / "t"
    folder.mkdir()
    (folder / "clean.toml").write_bytes(session(id="a", sample=0))
    (folder / "clock.toml").write_bytes(session(back, id="b", sample=1))
    (folder / "low.toml").write_bytes(session(low_volts, id="c", sample=2))
    return folder


def audit_of(run: Run, folder: Path) -> AuditApp:
    """The screen on a tree."""
    return AuditApp(AuditScreen(Auditing([folder], run), Bookmark(), acted))


@pytest.mark.parametrize("size", [(80, 24), (120, 40), (200, 60), (40, 10)], ids=str)
async def test_sessions_stand_worst_first_with_what_speaks_against_them(
    tmp_path: Path, size: tuple[int, int], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Two lines each; nothing is cut without a sign."""
    monkeypatch.chdir(a_tree(tmp_path))
    with Run(datetime(2026, 12, 1, tzinfo=UTC)) as run:
        app = audit_of(run, Path())
        async with app.run_test(size=size) as pilot:
            lines = await drawn(pilot, "1 to 3 of 3")
            await pilot.pause(0.1)
            lines = drawn_text(app)
            assert not list(troubles(app))
            assert "failing-hold: EL-2 unit fails since" in lines[2]
            if size[1] >= 24:
                assert "clock-back: the clock went back at event 51" in lines[4]
                assert "nothing speaks against it" in lines[6]
            if size in ((80, 24), (120, 40)):
                await is_kept(app, f"audit-{size[0]}x{size[1]}")


async def test_a_filter_narrows_it_as_it_is_typed(tmp_path: Path) -> None:
    """Escape empties it."""
    with Run(datetime(2026, 12, 1, tzinfo=UTC)) as run:
        app = audit_of(run, a_tree(tmp_path))
        async with app.run_test(size=(80, 24)) as pilot:
            await drawn(pilot, "1 to 3 of 3")
            await pilot.press(*"clock")
            lines = await drawn(pilot, "1 to 1 of 1")
            assert "clock-back" in lines[2]
            await pilot.press(*"zz")
            await drawn(pilot, "No session stands here.")
            await pilot.press("escape")
            await drawn(pilot, "1 to 3 of 3")


async def test_marks_sums_and_help_are_pages(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Each mark with why it matters."""
    monkeypatch.chdir(a_tree(tmp_path))
    with Run(datetime(2026, 12, 1, tzinfo=UTC)) as run:
        app = audit_of(run, Path())
        async with app.run_test(size=(120, 40)) as pilot:
            await drawn(pilot, "1 to 3 of 3")
            await pilot.press("f4")
            await drawn(pilot, "Esc closes")
            await is_kept(app, "audit-marks-120x40")
            await drawn(pilot, "Why it matters: Either the rules have become stricter")
            await pilot.press("escape", "f6")
            await drawn(pilot, "Checks that fail most")
            await is_kept(app, "audit-sums-120x40")
            await pilot.press("escape", "f1")
            await drawn(pilot, "Audits")
            await pilot.press("escape")


async def test_a_session_is_sent_back_and_accepted_with_a_reason(tmp_path: Path) -> None:
    """Recorded in the file, which stays signed and whole; without a reason nothing is."""
    folder = a_tree(tmp_path)
    with Run(datetime(2026, 12, 1, tzinfo=UTC)) as run:
        app = audit_of(run, folder)
        async with app.run_test(size=(80, 24)) as pilot:
            await drawn(pilot, "1 to 3 of 3")
            await pilot.press("f3", "enter")
            await drawn(pilot, "Nothing was typed")
            await pilot.press(*"volts", "enter")
            await drawn(pilot, "Sent back, recorded")
            assert any("sent back" in line for line in drawn_text(app)[1:3])
            await pilot.press("f2", "escape")
            await pilot.press("f2", *"mended since", "enter")
            await drawn(pilot, "Accepted, recorded")
    contents = read(folder / "low.toml")
    assert contents.chain.value == "whole"
    last = contents.events[-2:]
    assert [(e["kind"], e["outcome"], e["why"]) for e in last] == [
        ("reviewed", "sent back", "volts"),
        ("reviewed", "accepted", "mended since"),
    ]
    assert not any(e["kind"] == "resumed" for e in last)


@pytest.mark.parametrize("meanwhile", ["down", "pagedown", "a click", "worse ones come"])
async def test_a_reason_lands_in_the_session_that_it_was_asked_of(
    tmp_path: Path, meanwhile: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Wherever the mark is by then: but for a click, a page of one, on which another comes to stand."""
    monkeypatch.setattr("asleft.tui.audit.PAGE", 3 if meanwhile == "a click" else 1)
    folder = a_tree(tmp_path)
    untouched = [path for path in folder.iterdir() if path.stem != "low"]
    before = [path.read_bytes() for path in untouched]
    with Run(datetime(2026, 12, 1, tzinfo=UTC)) as run:
        app = audit_of(run, folder)
        async with app.run_test(size=(80, 24)) as pilot:
            await drawn(pilot, "of 3")
            await pilot.press("f3", *"volts")
            if meanwhile == "a click":
                await pilot.click("#audit", offset=(4, 2))
            elif meanwhile == "worse ones come":
                other = str(folder / "clean.toml")
                run.again(
                    replace(
                        next(r for r in run.rows() if r.file == other), marks=(mark("unreadable", why="x"),)
                    )
                )
                app.screen._draw()  # type: ignore[attr-defined]
            else:
                await pilot.press(meanwhile)
            await pilot.press("enter")
            await drawn(pilot, "Sent back, recorded. low.toml")
    assert [path.read_bytes() for path in untouched] == before
    assert read(folder / "low.toml").events[-1]["why"] == "volts"


async def test_a_damaged_record_is_not_judged(tmp_path: Path) -> None:
    """Nobody accepts what cannot be verified."""
    folder = tmp_path / "t"
    folder.mkdir()
    (folder / "one.toml").write_bytes(session().replace(b"238", b"239", 1))
    with Run(datetime(2026, 12, 1, tzinfo=UTC)) as run:
        app = audit_of(run, folder)
        async with app.run_test(size=(80, 24)) as pilot:
            await drawn(pilot, "1 to 1 of 1")
            await pilot.press("f2")
            await drawn(pilot, "Only a whole record")


async def test_left_while_it_goes_on_it_is_one_audit_and_no_row_stands_twice(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A session is replayed meanwhile; the table comes back where it was, with all that came since."""
    monkeypatch.setattr("asleft.review.audit.FEW", 1)
    monkeypatch.setattr("asleft.review.audit.BATCH", 1)
    monkeypatch.setattr("asleft.review.audit.os.cpu_count", lambda: 1)
    folder = a_tree(tmp_path)
    gate = Event()
    with Run(datetime(2026, 12, 1, tzinfo=UTC)) as run:
        work, place = Auditing([folder], run), Bookmark()
        told = work._told
        monkeypatch.setattr(work, "_told", lambda files: (told(files), gate.wait(20)))
        first = AuditApp(AuditScreen(work, place, acted))
        async with first.run_test(size=(80, 24)) as pilot:
            await drawn(pilot, "1 to 1 of 1")
            await pilot.press("enter")
        assert first.return_value == Chosen("replay", Path(place.chosen))
        assert not work.over
        gate.set()
        second = AuditApp(AuditScreen(work, place, acted))
        async with second.run_test(size=(80, 24)) as pilot:
            await drawn(pilot, "1 to 3 of 3")
        work.stop()
        assert run.count() == 3


def test_an_audit_that_is_wanted_no_more_ends_soon(tmp_path: Path) -> None:
    """And has let go of its run; one that cannot be done says why."""
    with Run(datetime(2026, 12, 1, tzinfo=UTC)) as run:
        work = Auditing([a_tree(tmp_path)], run)
        work.stop()
        work.start()
        work.stop()
        assert work.over
        assert run.count() <= 3
        lost = Auditing([tmp_path / "none"], run)
        lost.start()
        lost.stop()
        assert "none" in lost.trouble


ON_ALL_CORES = """
import asyncio, sys
from datetime import datetime, UTC
from pathlib import Path
from asleft.review.going_on import Auditing
from asleft.review.store import Run
from asleft.reviewing import acted
from asleft.tui.audit import AuditApp, AuditScreen
from asleft.tui.audit_lines import Bookmark

async def main():
    with Run(datetime.now(UTC)) as run:
        work = Auditing([Path(sys.argv[1])], run)
        app = AuditApp(AuditScreen(work, Bookmark(), acted))
        async with app.run_test(size=(80, 24)) as pilot:
            while not work.over:
                await pilot.pause(0.05)
        print(run.count(), work.trouble)

if __name__ == "__main__":
    asyncio.run(main())
"""


def test_more_files_than_one_process_judges_are_all_judged_from_the_screen(tmp_path: Path) -> None:
    """A screen puts the standard error aside, which Python's own helper of other processes asks for."""
    folder = tmp_path / "t"
    folder.mkdir()
    for n in range(3 * FEW):
        (folder / f"n{n}.toml").write_bytes(b"nothing of ours")
    script = tmp_path / "script.py"
    script.write_text(ON_ALL_CORES)
    env = {**os.environ, "PYTHONPATH": ":".join(filter(None, sys.path))}
    words = [sys.executable, str(script), str(folder)]
    done = subprocess.run(words, capture_output=True, text=True, env=env, timeout=120)
    assert done.stdout.strip() == str(3 * FEW), done.stderr
