"""Rows that only a drill has: what was reported, a hint, the end."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from asleft.face.rows.row import Row
from asleft.visit.drill_acts import HINT, REPORT, RIGHT, next_hint
from asleft.visit.visit import FINISH

if TYPE_CHECKING:
    from asleft.session.state import Note
    from asleft.visit import View


def drill_rows(view: View) -> Iterator[Row]:
    """The rows of a drill, before what any visit has; none where the visit is no drill."""
    state = view.state
    if not state.drilled:
        return
    reports = [note for note in state.notes if note.reports]
    over = state.revealed
    yield Row(
        "" if over else REPORT,
        "Report a fault",
        now=str(len(reports)) if reports else "",
        group="Drill",
        help=f"{RIGHT}. On the screen Ctrl+F reports it from the row that shows it.",
        details=tuple(f"Event {note.n}: {note.text}" for note in reports),
        done=bool(reports),
    )
    yield Row(
        "" if over else f"{HINT}:{next_hint(view)}",
        f"Hint {next_hint(view)}",
        now=str(next_hint(view) - 1) if next_hint(view) > 1 else "",
        help="The drill gives it, as it gives a reading. Each hint costs points.",
        details=tuple(f"Hint {note.hint}: {note.text}" for note in state.notes if note.hint),
        done=next_hint(view) > 1,
    )
    yield Row(
        "" if over else FINISH,
        "Finish the drill",
        now="finished" if over else "",
        verdict="over" if over else "",
        help="Ends it for good: the sheet is revealed, and the score told. Sign first.",
        choices=() if over else ("yes",),
        done=over,
    )


def remark(note: Note) -> str:
    """What a note is, in a word; empty for a plain remark."""
    if note.broke:
        return "breach"
    if note.reports:
        return "reported"
    if note.hint:
        return "hint"
    return "cannot" if note.refused else "mended" if note.mends else ""
