"""A supervisor seals a review from the audit, and a replay tells of each seal where it stands."""

from __future__ import annotations

import shutil
import subprocess
from datetime import UTC, datetime
from pathlib import Path

import pytest
from textual.widgets import Input

from asleft.cli import main
from asleft.journal import read
from asleft.line.replay import opened
from asleft.review.going_on import Auditing
from asleft.review.store import Run
from asleft.reviewing import acted
from asleft.tui.audit import AuditApp, AuditScreen
from asleft.tui.audit_lines import Bookmark
from asleft.tui.replay import ReplayApp, Replayed
from review.sessions import session
from tui.looking import drawn

pytestmark = pytest.mark.skipif(shutil.which("ssh-keygen") is None, reason="no OpenSSH on this machine")


@pytest.fixture
def key(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A key of the supervisor's, and no settings of a person."""
    monkeypatch.setenv("ASLEFT_HOME", str(tmp_path / "home"))
    path = tmp_path / "key"
    subprocess.run(["ssh-keygen", "-q", "-t", "ed25519", "-N", "", "-C", "", "-f", str(path)], check=True)
    return path


@pytest.fixture
async def file(tmp_path: Path, key: Path) -> Path:
    """A session that was accepted in an audit and sealed there, by keys."""
    folder = tmp_path / "t"
    folder.mkdir()
    file = folder / "one.toml"
    file.write_bytes(session())
    with Run(datetime(2026, 12, 1, tzinfo=UTC)) as run:
        app = AuditApp(AuditScreen(Auditing([folder], run), Bookmark(), acted))
        async with app.run_test(size=(80, 24)) as pilot:
            await drawn(pilot, "1 to 1 of 1")
            await pilot.press("f2", *"fine", "enter")
            await drawn(pilot, "Accepted, recorded")
            await pilot.press("f7")
            await drawn(pilot, "A seal shows whose")
            await drawn(pilot, " Key >")
            await pilot.press(*"none", "enter")
            await drawn(pilot, "Not recorded: none is no file")
            app.screen.query_one("#audit-typed", Input).value = str(key)
            await pilot.press("enter")
            await drawn(pilot, "Sealed, recorded")
    return file


async def test_a_review_is_sealed_by_its_key(tmp_path: Path, key: Path, file: Path) -> None:
    """The record stays whole and signed; whose the seal is, a signers file tells in the replay."""
    contents = read(file)
    assert contents.chain.value == "whole"
    reviewed, sealed = contents.events[-2:]
    assert (reviewed["kind"], sealed["kind"], sealed["of"]) == ("reviewed", "sealed", reviewed["n"])

    signers = tmp_path / "signers"
    signers.write_text(f'bo@mill.example namespaces="asleft-session" {key.with_suffix(".pub").read_text()}')
    assert main(["replay", str(file), "--json", "--signers", str(signers)]) == 0
    found, replay = opened(file, "ip", signers)
    app = ReplayApp(Replayed(replay, file, "job"), "ip", found.contents.trouble)
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.press("end")
        await drawn(pilot, f"sealed, events 1 to {reviewed['n']}; good, bo@mill.example")


async def test_a_seal_by_nobody_known_is_a_trouble_where_it_stands(tmp_path: Path, file: Path) -> None:
    """Marked on the line of the session at once, and found by n."""
    nobody = tmp_path / "nobody"
    nobody.write_text("")
    assert main(["replay", str(file), "--json", "--signers", str(nobody)]) == 1
    found, replay = opened(file, "ip", nobody)
    assert replay.troubles_known(len(replay))
    app = ReplayApp(Replayed(replay, file, "job"), "ip", found.contents.trouble)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("end", "left", "left", "n")
        lines = await drawn(pilot, "! seal unknown")
        assert any(f"event {len(replay)} of {len(replay)}" in line for line in lines)
