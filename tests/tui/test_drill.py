"""A drill on the real screen: instruments in hand, breaches, reports, the end and its debrief."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from textual.pilot import Pilot

from asleft.drill.classroom.client import Lesson
from asleft.session.acts import parse
from asleft.session.payloads import Broke, Reported
from asleft.tui import Wizard
from asleft.visit import Visit
from drill.drills import begun, lesson_of, played_to, taken
from tui.looking import drawn
from tui.pictures import is_kept

OPEN = ("element-open", 1.0, "1")
OWN, WARNED = 'hands = "own"', "warned = true"
Stand = Callable[[Pilot[Any], str], Any]


async def stand_on(pilot: Pilot[Any], left: str) -> None:
    """Go to the row of an act."""
    pilot.app.screen.go_to(parse(left))  # type: ignore[attr-defined]
    await pilot.pause()


def drilled(folder: Path, *faults: tuple[str, float, str], more: str = "") -> tuple[Visit, Lesson, Wizard]:
    """A drill and its wizard."""
    visit, lesson = begun(folder, lesson_of(*faults, more=more))
    return visit, lesson, Wizard(visit, lesson.rig, lesson=lesson)


@pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=["80x24", "120x40"])
async def test_an_instrument_is_set_and_placed_before_it_reads(tmp_path: Path, size: tuple[int, int]) -> None:
    """Off and nowhere at first; the display of what was chosen comes into the entry line."""
    visit, lesson, app = drilled(tmp_path, OPEN, more=OWN)
    played_to(visit, lesson, "electrical.line.l1_l2")
    async with app.run_test(size=size) as pilot:
        await pilot.press("f2", "f3")
        await drawn(pilot, "Enter reads it")
        await pilot.press("enter")
        await drawn(pilot, "It is off")
        await pilot.press("right", "enter")
        await drawn(pilot, "nowhere yet.")
        await pilot.press("down", "down", "right")
        await drawn(pilot, "> Leads    < Line to line, heat off >")
        await is_kept(app, f"instrument-{size[0]}x{size[1]}")
        await pilot.press("enter")
        lines = await drawn(pilot, "Rig: ")
        assert any("Line to line, heat off [V] > 2" in line for line in lines)
        await pilot.press("enter")
        await drawn(pilot, "Saved ")
        await pilot.press("f3")
        await drawn(pilot, "> Leads    < Line to line, heat off >")
    visit.close()


async def test_a_range_too_small_shows_ol_and_takes_nothing(tmp_path: Path) -> None:
    """What a display shows is no reason why a row cannot be done."""
    visit, lesson, app = drilled(tmp_path, OPEN, more=OWN)
    played_to(visit, lesson, "electrical.line.l1_l2")
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("f2", "f3")
        await drawn(pilot, "Enter reads it")
        await pilot.press("right", "down", "right", "down", "right", "enter")
        lines = await drawn(pilot, "Instrument: the display shows OL")
        assert any(line.rstrip().endswith("heat off [V] >") for line in lines)
    visit.close()


async def test_ohms_on_a_live_circuit_are_a_breach_and_nothing_is_read(tmp_path: Path) -> None:
    """What would have happened is read out; it is recorded, and cannot be taken back out of the score."""
    visit, lesson, app = drilled(tmp_path, OPEN, more=OWN)
    played_to(visit, lesson, "electrical.line.l1_l2")
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("f2", "f3")
        await drawn(pilot, "Enter reads it")
        await pilot.press("left", "down", "down", "right", "enter")
        await drawn(pilot, "What would have happened: A meter set for ohms")
        await is_kept(app, "breach-80x24")
        await pilot.press("escape")
        await drawn(pilot, "BREACH of EL-1")
    _, breach = [*visit.view.state.noted(Broke)][-1]
    assert breach.hold == "EL-1"
    assert "arcs" in breach.text
    visit.close()


@pytest.mark.parametrize("warned", [True, False])
async def test_hands_inside_with_power_on_are_a_breach(tmp_path: Path, warned: bool) -> None:
    """Told first where the sheet says so, at once where it does not."""
    visit, lesson, app = drilled(tmp_path, OPEN, more=WARNED if warned else "")
    played_to(visit, lesson, "power")
    async with app.run_test(size=(80, 24)) as pilot:
        await stand_on(pilot, "electrical.circuit.1.device")
        await pilot.press("f3")
        if warned:
            await drawn(pilot, "F3 again does it all the same: a breach")
            assert not [*visit.view.state.noted(Broke)]
            await pilot.press("f3")
        await drawn(pilot, "What would have happened: The unit was not proved dead")
    assert [breach.hold for _, breach in visit.view.state.noted(Broke)] == ["EL-1"]
    visit.close()


async def test_what_a_lock_forbids_no_act_of_the_record_does(tmp_path: Path) -> None:
    """Only hands break holds: what is typed on a locked row is refused, as on any visit."""
    visit, lesson, app = drilled(tmp_path, OPEN)
    played_to(visit, lesson, "power")
    async with app.run_test(size=(80, 24)) as pilot:
        await stand_on(pilot, "electrical.circuit.1.device")
        await pilot.press(*"60 A", "enter")
        await drawn(pilot, "Not taken")
    assert not [*visit.view.state.noted(Broke)]
    visit.close()


@pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=["80x24", "120x40"])
async def test_a_fault_is_reported_from_the_row_that_shows_it(tmp_path: Path, size: tuple[int, int]) -> None:
    """Its kind by a part of its name, then its place; the row's entry is the evidence."""
    visit, lesson, app = drilled(tmp_path, OPEN)
    played_to(visit, lesson, "electrical.stage.1.current")
    n = taken(visit, lesson, "electrical.stage.1.current")
    async with app.run_test(size=size) as pilot:
        await stand_on(pilot, "electrical.stage.1.current")
        await pilot.press("ctrl+f")
        await drawn(pilot, "Which fault?")
        await pilot.press(*"element")
        await drawn(pilot, "> Element open")
        await is_kept(app, f"report-{size[0]}x{size[1]}")
        await pilot.press("enter")
        await drawn(pilot, "Element open: where?")
        await pilot.press("enter")
        await drawn(pilot, "reported element-open@1")
    _, report = [*visit.view.state.noted(Reported)][-1]
    assert (report.reports, report.evidence) == ("element-open@1", (n,))
    visit.close()


async def test_a_row_without_an_entry_reports_nothing(tmp_path: Path) -> None:
    """A report rests on something."""
    visit, _, app = drilled(tmp_path, OPEN)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("ctrl+f")
        await drawn(pilot, "Stand on the row")
    assert visit.view.state.last_n == 1
    visit.close()


@pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=["80x24", "120x40"])
async def test_finished_it_is_scored_and_the_debrief_stands_on_the_screen(
    tmp_path: Path, size: tuple[int, int]
) -> None:
    """Hint, report, signature, end; then nothing more is taken."""
    visit, lesson, app = drilled(tmp_path, OPEN, more='hints = ["Look at the stages."]')
    played_to(visit, lesson, "sign")
    async with app.run_test(size=size) as pilot:
        await stand_on(pilot, "hint:1")
        await pilot.press("f3")
        await drawn(pilot, "Rig: Look at the stages.")
        await pilot.press("enter")
        await stand_on(pilot, "report")
        await pilot.press(*"element-open@1 by electrical.stage.1.current", "enter")
        await drawn(pilot, "Saved ")
        await pilot.press("f2", "enter")
        await drawn(pilot, "Signed. Finish the drill here")
        await pilot.press("y", "enter")
        lines = await drawn(pilot, "A test: ")
        assert any("1 of 1 found, 1 with proof" in line for line in lines)
        await is_kept(app, f"debrief-{size[0]}x{size[1]}")
        await pilot.press("escape")
        await pilot.press(*"x", "enter")
        await drawn(pilot, "nothing to enter on this row")
    assert visit.view.state.revealed
    assert visit.view.state.signature is not None
    visit.close()
