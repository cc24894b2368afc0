"""Rows that only a drill has: what was reported, a hint, the end."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, assert_never

from asleft.face.rows.row import Row
from asleft.session.acts import Finish, Hint, Report
from asleft.session.payloads import Broke, CouldNot, Hinted, Mended, Noted, Reported
from asleft.visit.drill_acts import RIGHT, next_hint

if TYPE_CHECKING:
    from asleft.session.payloads import NotedDone
    from asleft.visit import View


def drill_rows(view: View) -> Iterator[Row]:
    """The rows of a drill, before what any visit has; none where the visit is no drill."""
    state = view.state
    if not state.drilled:
        return
    reports, following = list(state.noted(Reported)), next_hint(view)
    over = state.revealed
    yield Row(
        None if over else Report(),
        "Report a fault",
        now=str(len(reports)) if reports else "",
        group="Drill",
        help=f"{RIGHT}. On the screen Ctrl+F reports it from the row that shows it.",
        details=tuple(f"Event {n}: {note.text}" for n, note in reports),
        done=bool(reports),
    )
    yield Row(
        None if over else Hint(following),
        f"Hint {following}",
        now=str(following - 1) if following > 1 else "",
        help="The drill gives it, as it gives a reading. Each hint costs points.",
        details=tuple(f"Hint {note.n}: {note.text}" for _, note in state.noted(Hinted)),
        done=following > 1,
    )
    yield Row(
        None if over else Finish(),
        "Finish the drill",
        now="finished" if over else "",
        verdict="over" if over else "",
        help="Ends it for good: the sheet is revealed, and the score told. Sign first.",
        choices=() if over else ("yes",),
        done=over,
    )


def remark(note: NotedDone) -> str:
    """What a note is, in a word; empty for a plain remark."""
    match note:
        case Broke():
            return "breach"
        case Reported():
            return "reported"
        case Hinted():
            return "hint"
        case CouldNot():
            return "cannot"
        case Mended():
            return "mended"
        case Noted():
            return ""
        case _:
            assert_never(note)
