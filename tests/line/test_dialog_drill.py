"""A drill as questions and answers: what the screen can, line by line."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from asleft.drill.classroom.client import Lesson
from asleft.session.payloads import Broke
from asleft.visit import Visit
from drill.drills import begun, lesson_of, played_to, taken
from talking import talk, turns

OPEN = ("element-open", 1.0, "1")


def said(visit: Visit, lesson: Lesson | None, *typed: str, **more: Any) -> list[str]:
    """What was written after each of these lines, in one line each; the typed line is left off."""
    rig = lesson.rig if lesson else None
    _, text = talk(visit, typed, rig, lesson=lesson, **more)
    return [" ".join(turn.partition("\n")[2].split()) for turn in turns(text)[1 : len(typed) + 1]]


def test_title_and_aims_are_read_out_first(tmp_path: Path) -> None:
    """And how a drill is worked."""
    visit, lesson = begun(tmp_path, lesson_of(OPEN, more='aims = ["See both stages."]'))
    _, text = talk(visit, (), lesson.rig, lesson=lesson)
    assert "Drill: A test." in text
    assert "Aim: See both stages." in text
    visit.close()


def test_an_instrument_is_asked_for_dial_range_and_place(tmp_path: Path) -> None:
    """By number; what was left as it is by Enter alone; OL is said and nothing entered."""
    visit, lesson = begun(tmp_path, lesson_of(OPEN, more='hands = "own"'))
    played_to(visit, lesson, "electrical.line.l1_l2")
    n = visit.view.state.last_n
    dial, range_, leads, over, *_ = said(visit, lesson, ".rig", "2", "2", "1", ".rig", "", "", "")
    assert "1 off, 2 V ac, 3 V dc, 4 ohm." in dial
    assert "1 auto, 2 60 V 0.01 V" in range_
    assert "1 Line to line, heat off" in leads
    assert "Instrument: the display shows OL" in over
    assert visit.view.state.last_n == n
    *_, taken_ = said(visit, lesson, ".rig", "2", "1", "1")
    assert "Rig: 2" in taken_
    visit.close()


def test_a_wrong_number_reads_nothing(tmp_path: Path) -> None:
    """It is said, and the question stays."""
    visit, lesson = begun(tmp_path, lesson_of(OPEN, more='hands = "own"'))
    played_to(visit, lesson, "electrical.line.l1_l2")
    _, wrong = said(visit, lesson, ".rig", "9")
    assert "'9' is none of them" in wrong
    _, off = said(visit, lesson, ".rig", "1")
    assert "It is off" in off
    visit.close()


def test_ohms_on_a_live_circuit_are_read_out_as_a_breach(tmp_path: Path) -> None:
    """And recorded."""
    visit, lesson = begun(tmp_path, lesson_of(OPEN, more='hands = "own"'))
    played_to(visit, lesson, "electrical.line.l1_l2")
    *_, breach = said(visit, lesson, ".rig", "4", "1", "1")
    assert "BREACH of EL-1" in breach
    assert "What would have happened" in breach
    assert [note.hold for _, note in visit.view.state.noted(Broke)] == ["EL-1"]
    visit.close()


def test_a_lock_is_told_first_where_the_sheet_says_so(tmp_path: Path) -> None:
    """Asked for again, it is done all the same, and a breach."""
    visit, lesson = begun(tmp_path, lesson_of(OPEN, more="warned = true"))
    played_to(visit, lesson, "power")
    _, told, done = said(visit, lesson, ".go electrical.circuit.1.device", ".rig", ".rig")
    assert told.startswith("Locked: ")
    assert "BREACH of EL-1" in done
    visit.close()


def test_reports_hints_and_the_end(tmp_path: Path) -> None:
    """Everything a drill needs can be done by ear."""
    visit, lesson = begun(tmp_path, lesson_of(OPEN, more='hints = ["Look at the stages."]'))
    played_to(visit, lesson, "electrical.stage.1.current")
    taken(visit, lesson, "electrical.stage.1.current")
    kinds, bad, good, hint, none, asked, debrief, over = said(
        visit,
        lesson,
        ".report",
        ".report gremlins by EL-15",
        ".report element-open@1 by electrical.stage.1.current",
        ".hint",
        ".hint",
        ".finish",
        "y",
        ".report element-open@1 by electrical.stage.1.current",
    )
    assert "element-open: Element open; at 1, 2" in kinds
    assert "is no kind of fault" in bad
    assert "Saved as entry" in good
    assert "Look at the stages." in hint
    assert "no hint is left" in none
    assert "It is not signed yet." in asked
    assert "1 of 1 found, 1 with proof" in debrief
    assert "over" in over
    visit.close()


def test_on_a_visit_the_commands_of_a_drill_say_that_it_is_none(tmp_path: Path) -> None:
    """And do nothing."""
    visit, _ = begun(tmp_path, lesson_of())
    for text in said(visit, None, ".report element-open by x", ".hint", ".finish"):
        assert text.startswith("Not taken: this is no drill.")
    visit.close()
