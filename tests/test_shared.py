"""What tests share: made once, whoever asks; a visit begun at an act is the visit that was played to it."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from textual.app import App, ComposeResult
from textual.widgets import Static

import stillness
from asleft.drill.technician import act
from asleft.equipment.library import find
from asleft.equipment.load import load_bytes
from asleft.journal import classify
from asleft.session.events import Event
from asleft.session.state import fold_all
from asleft.unattended import begin
from looked import Looked
from played import UNIT, begun_at, session_bytes
from shared import FOLDER, all_kept_once, made_once

SHORT = "quillfen-heron"
MAKER = """
import sys
from shared import made_once
def make():
    with open(sys.argv[1], "ab") as file:
        file.write(b"x")
    return b"made"
assert made_once("a thing", make) == b"made"
"""


def test_many_processes_make_a_thing_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """All of them get it."""
    monkeypatch.setenv(FOLDER, str(tmp_path))
    monkeypatch.setenv("PYTHONPATH", str(Path(__file__).parent))
    count = tmp_path / "count"
    all_ = [subprocess.Popen([sys.executable, "-c", MAKER, str(count)]) for _ in range(4)]
    assert [process.wait() for process in all_] == [0] * 4
    assert count.read_bytes() == b"x"


def test_what_could_not_be_made_is_made_by_the_next_who_asks(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nothing of the failure stays."""
    monkeypatch.setenv(FOLDER, str(tmp_path))
    with pytest.raises(ZeroDivisionError):
        made_once("a thing", lambda: bytes(1 // 0))
    assert made_once("a thing", lambda: b"made") == b"made"
    assert all_kept_once({"one": lambda: 1, "two": lambda: 2}) == [1, 2]


@pytest.mark.parametrize("left", ["", "power", "heat.stage.1."])
def test_a_visit_begun_at_an_act_goes_on_as_the_one_that_was_played(tmp_path: Path, left: str) -> None:
    """The bytes before and after are those of the whole visit, the unit's answers with them."""
    name, data = session_bytes(2)
    job = begun_at(tmp_path, left, 2)
    try:
        assert data.startswith(job.visit.path.read_bytes())
        assert job.visit.view.next.enter.startswith(left)
        while job.visit.view.next.do != "nothing":
            job.visit.submit(*act(job.visit.view, job.rig))
    finally:
        job.close()
    assert (job.visit.path.name, job.visit.path.read_bytes()) == (name, data)
    fresh = begin(tmp_path / "fresh", find(UNIT), 2)
    fresh.close()
    assert data.startswith(fresh.visit.path.read_bytes())


class Restless(App[None]):
    """Lays itself out anew whenever it was laid out."""

    def compose(self) -> ComposeResult:
        """Something to be laid out."""
        yield Static("never")

    def on_mount(self) -> None:
        """Begin."""
        self.again()

    def again(self) -> None:
        """And again."""
        self.screen.refresh(layout=True)
        self.call_after_refresh(self.again)


async def test_a_screen_that_never_rests_fails_its_test(monkeypatch: pytest.MonkeyPatch) -> None:
    """It is told, instead of being taken for done after a second."""
    monkeypatch.setattr(stillness, "MOST_S", 1.0)
    async with Restless().run_test() as pilot:
        with pytest.raises(AssertionError, match="does not come to rest"):
            await pilot.pause()


def test_a_session_looked_at_before_is_the_view_that_a_new_look_gives(looked: Looked) -> None:
    """In either system, at every event of a visit, for a unit read anew too; other tests get a new look."""
    assert not looked.on
    shared = Looked(looked.real)
    shared.on = True
    history = [Event.read(event) for event in classify(session_bytes(3, SHORT)[1]).events]
    states = [fold_all(history[:n]) for n in range(0, len(history) + 1, 5)]
    for _ in range(2):
        for system in ("ip", "si"):
            for state in states:
                equipment = load_bytes(find(SHORT).text.encode(), "again.toml").equipment
                found = shared(equipment, state, system)
                assert found.findings == looked.real(equipment, state, system).findings
                assert found.next == looked.real(equipment, state, system).next
    assert (shared.looks, shared.known) == (4 * len(states), 2 * len(states))
