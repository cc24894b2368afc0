"""Drills played without a person: only what is next, the instruments set as each row asks."""

from __future__ import annotations

from contextlib import ExitStack
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING

from asleft.drill.answers import RigError
from asleft.drill.classroom.client import begin
from asleft.drill.classroom.lesson_unit import LessonUnit
from asleft.drill.classroom.marks import Score, score
from asleft.drill.classroom.reference import of_events
from asleft.drill.rig import BuiltIn
from asleft.drill.technician import SimulatedClock, Stuck, headless
from asleft.equipment.library import instruments
from asleft.journal import read
from asleft.session.acts import Finish

if TYPE_CHECKING:
    from asleft.drill.classroom.sheet import Staged


@dataclass(frozen=True)
class PlayedDrill:
    """A drill played to its end: its file, how it was signed, what it scored; why, where the work stopped."""

    path: Path
    staged: Staged
    outcome: str
    events: int
    score: Score
    failed: dict[str, int]
    why: str = ""


def play_drill(folder: Path, staged: Staged, *, screen: bool = False, show: bool = False) -> PlayedDrill:
    """Play one drill, on the visit or through the real screen; the bytes are the same either way.

    Raises SaveFailed and JournalError. Work that does not go on is told, and the drill ended all the same.
    """
    seed = staged.sheet.seed
    own = sha256(f"asleft drill {staged.sheet.text}".encode()).hexdigest()
    rig = BuiltIn(LessonUnit(staged, own[:32]))
    with ExitStack() as opened:
        visit, _ = begin(
            rig,
            folder,
            {i.id: i for i in instruments()},
            by=staged.healthy.job["identity.technician"],
            clock=SimulatedClock(seed),
            session_id=own[32:48],
        )
        opened.callback(visit.close)
        why = ""
        try:
            if screen:
                from asleft.tui import Wizard
                from asleft.unattended.player import play_on_screen

                play_on_screen(Wizard(visit, rig), show=show)
            else:
                headless(visit, rig)
        except (RigError, Stuck) as trouble:
            why = str(trouble)
        view = visit.submit(Finish(), "yes")
        by = of_events(view, read(visit.path).events)
        marks = score(by.history, staged, by)
        signed = view.state.signature
        return PlayedDrill(
            visit.path,
            staged,
            signed.outcome if signed else "not signed",
            view.state.last_n,
            marks,
            dict(by.failed),
            why,
        )
