"""Drills begun for tests: a sheet in words, its rig in this process, its visit on disk."""

from __future__ import annotations

from pathlib import Path

from asleft.drill.classroom.client import Lesson, begin
from asleft.drill.classroom.lesson_unit import LessonUnit
from asleft.drill.classroom.sheet import Staged, staged
from asleft.drill.rig import BuiltIn, ask
from asleft.drill.technician import SimulatedClock, act
from asleft.equipment.library import find, instruments
from asleft.session.acts import parse
from asleft.visit import Visit

SALT = "0123456789abcdef0123456789abcdef"
UNIT = "tarnfield-lowmoor-36"


def lesson_of(*faults: tuple[str, float, str], unit: str = UNIT, seed: int = 1, more: str = "") -> Staged:
    """A sheet with these faults."""
    lines = ["format = 1", 'title = "A test"', f'unit = "{unit}"', f"seed = {seed}", more]
    for kind, size, where in faults:
        lines += ["[[fault]]", f'kind = "{kind}"', f"size = {size}"]
        lines += [f'where = "{where}"'] if where else []
    return staged("\n".join(lines).encode(), "test.toml", find)


def begun(folder: Path, lesson: Staged) -> tuple[Visit, Lesson]:
    """The drill of a sheet, its rig in this process."""
    return begin(
        BuiltIn(LessonUnit(lesson, SALT)),
        folder,
        {i.id: i for i in instruments()},
        by="Ada",
        clock=SimulatedClock(lesson.sheet.seed),
        session_id="drill-of-a-test",
    )


def played_to(visit: Visit, lesson: Lesson, left: str) -> None:
    """Do what is next until it is this, or nothing is left."""
    for _ in range(400):
        following = visit.view.next
        if following.enter == left or following.do == "nothing":
            return
        visit.submit(*act(visit.view, lesson.rig))
    raise AssertionError(f"{left} is never next")


def taken(visit: Visit, lesson: Lesson, left: str) -> int:
    """Take one reading and enter it; the number of its entry."""
    visit.enter(left, ask(lesson.rig, visit.view, parse(left)).typed)
    return visit.view.state.last_n
