"""A drill that is over, scored from its record alone."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from asleft.drill.classroom.debrief import debrief
from asleft.drill.classroom.marks import Score, score
from asleft.drill.classroom.reference import reference
from asleft.drill.classroom.sheet import Staged, staged
from asleft.session.commitment import commitment
from asleft.session.events import Event, read_all
from asleft.session.payloads import Drilled, Revealed

if TYPE_CHECKING:
    from asleft.equipment.model import EquipmentFile


class NotADrill(ValueError):
    """A session that is no drill, or one whose sheet is not revealed, or not the one promised."""


@dataclass(frozen=True)
class Ended:
    """A finished drill: its score, its sheet, and the debrief in lines."""

    score: Score
    staged: Staged
    history: tuple[Event, ...]
    lines: tuple[str, ...]


def ended(events: Sequence[Mapping[str, Any]], equipment: EquipmentFile) -> Ended:
    """Score a session by its events as they stand in its file, verdicts included.

    Raises NotADrill, and SheetErrors where the sheet revealed cannot be read.
    """
    history = read_all(events)
    begun = next((e.what for e in history if isinstance(e.what, Drilled)), None)
    told = next((e.what for e in history if isinstance(e.what, Revealed)), None)
    if begun is None:
        raise NotADrill("This is no drill; asleft check tells of a visit.")
    if told is None:
        raise NotADrill("This drill is not finished: its sheet is not revealed yet.")
    if commitment(told.sheet, told.salt) != begun.hash:
        raise NotADrill("The sheet revealed is not the one that this drill began with.")
    sheet = "\n".join(told.sheet).encode()
    lesson = staged(sheet, "the sheet revealed", lambda _: equipment)
    by = reference(lesson)
    marks = score(history, lesson, by)
    return Ended(marks, lesson, history, tuple(debrief(marks, lesson, history, by)))
