"""Sealing a signed visit from its sign-off pane."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import pytest
from textual.widgets import Input

from asleft.journal import read, seals_of
from asleft.session.acts import Seal
from asleft.tui import Wizard
from asleft.tui.drawn import drawn_text
from asleft.visit import Visit

pytestmark = pytest.mark.skipif(shutil.which("ssh-keygen") is None, reason="no OpenSSH on this machine")

SAMPLE = sorted((Path(__file__).parents[2] / "sessions").glob("*.toml"))[0]


@pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=str)
async def test_a_signed_visit_is_sealed_with_a_key_and_stays_signed(
    tmp_path: Path, size: tuple[int, int]
) -> None:
    """A wrong path is refused and stays typed; the right one seals all entries; what it means is told."""
    key = tmp_path / "key"
    subprocess.run(["ssh-keygen", "-q", "-t", "ed25519", "-N", "", "-f", str(key)], check=True)
    path = Path(shutil.copy(SAMPLE, tmp_path / "visit.toml"))
    visit = Visit.open(path, {}, by="Ada", clock=lambda: "2031-05-04T10:00:00Z")
    last = visit.view.state.last_n
    app = Wizard(visit)
    async with app.run_test(size=size) as pilot:
        app._wizard.go_to(Seal())
        await pilot.pause()
        text = " ".join(" ".join(drawn_text(app)).split())
        assert "A seal shows whose key" in text
        app.screen.query_one("#entry", Input).value = str(tmp_path / "none")
        await pilot.press("enter")
        assert "Not taken" in " ".join(drawn_text(app))
        app.screen.query_one("#entry", Input).value = str(key)
        await pilot.press("enter")
        await pilot.pause()
        assert visit.view.state.last_n == last + 1
        assert "signed commissioned" in drawn_text(app)[0]
        app._wizard.go_to(Seal())
        await pilot.pause()
        assert f"1 to {last}" in next(line for line in drawn_text(app) if "▸ Seal" in line)
    visit.close()
    (seal,) = seals_of(read(path).events)
    assert (seal.result, seal.of, seal.event) == ("valid", last, last + 1)
    assert visit.sealed_with == str(key)
