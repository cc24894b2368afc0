"""A visit with a kit and nobody's insulation tester at hand, by keys: it ends commissioned, with waivers."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from textual.pilot import Pilot

from asleft.checks import CONCLUDING
from asleft.session.acts import Acknowledge, Choose, Enter, Sign
from asleft.session.payloads import CouldNot, Waived
from asleft.tui import Wizard
from asleft.tui.drawn import drawn_text
from asleft.unattended import Job
from played import begun_at

READY = "electrical.insulation.electronics_off"
STAGES = [f"electrical.stage.{n}.to_frame" for n in (1, 2)]
WHY = "no insulation tester"


@pytest.fixture
def job(tmp_path: Path) -> Job:
    """A healthy visit with a kit, isolated, in which the insulation is next."""
    return begun_at(tmp_path / "visit", READY)


def text_of(app: Wizard) -> str:
    """The screen on one line."""
    return " ".join(" ".join(drawn_text(app)).split())


async def obey(pilot: Pilot[Any], job: Job) -> None:
    """What is next, as the virtual unit and the recommendation have it."""
    act, saved = job.visit.view.next.act, job.visit.view.state.last_n
    await pilot.press("f2")
    if isinstance(act, Acknowledge):
        await pilot.press(*"yes")
    elif not isinstance(act, Choose | Sign):
        await pilot.press("f3")
    await pilot.press("enter")
    assert job.visit.view.state.last_n > saved, text_of(pilot.app)  # type: ignore[arg-type]


async def test_without_an_insulation_tester_the_house_gets_its_heat(job: Job) -> None:
    """One stage is waived from its own row, the other noted and waived at the sign-off; then it is signed."""
    app, visit = Wizard(job.visit, job.rig), job.visit
    async with app.run_test(size=(80, 24)) as pilot:
        app._wizard.go_to(Enter(STAGES[0]))
        await pilot.press("ctrl+l")
        assert "Why not? Enter notes it. Ctrl+L again: waive EL-23 stage.1." in text_of(app)
        await pilot.press("ctrl+l")
        assert "Waive EL-23 stage.1, because >" in text_of(app)
        await pilot.press(*WHY, "enter")
        assert "waived EL-23 stage.1" in text_of(app)
        for field in (READY, STAGES[1]):
            assert visit.view.next.field == field
            await pilot.press("f2", "ctrl+l", *WHY, "enter")
        while not visit.view.next.text.startswith("Waive"):
            await obey(pilot, job)
        open_ = [f.key for f in visit.view.findings if f.open and f.id not in CONCLUDING]
        assert open_ == ["EL-23 stage.2", "SQ-5 unit"]
        await pilot.press("f2")
        told = text_of(app)
        assert "Waive what is open at Sign-off, or switch power off." in told
        assert "Open: EL-23 stage.2, not measured." in told
        await pilot.press("tab", "tab", "tab", "tab", "tab")
        await pilot.press(*["pageup"] * 3)
        assert "Open: 2" in text_of(app)
        assert "▸ EL-23 Insulation of elements, stage 2 open" in text_of(app)
        assert f"Noted: {WHY}" in text_of(app)
        assert "Measure it, or type why it may stand: that waives it." in text_of(app)
        await pilot.press(*WHY, "enter")
        while visit.view.next.do != "nothing":
            await obey(pilot, job)
    view = visit.view
    assert view.state.signature
    assert view.state.signature.outcome == "commissioned"
    assert view.state.power == "on"
    happened = [event.what for event in view.state.history]
    waived = [(what.finding.key, what.why) for what in happened if isinstance(what, Waived)]
    assert waived == [("EL-23 stage.1", WHY), ("EL-23 stage.2", WHY)]
    assert [what.what for what in happened if isinstance(what, CouldNot)] == [Enter(READY), Enter(STAGES[1])]
    assert not any(field in view.state.entries for field in (READY, *STAGES))
