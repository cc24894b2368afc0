"""Puts what is seen on the wizard's screen: every line round the ledger, and the ledger itself."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from textual.content import Content

from asleft.face.rows import THIRD
from asleft.session.acts import Choose
from asleft.tui.entry import EntryLine
from asleft.tui.keys import Action, key_of
from asleft.tui.ledger import Ledger
from asleft.tui.lined import Lined
from asleft.tui.lines import (
    RAIL,
    card_lines,
    detail_drawing,
    detail_lines,
    help_drawing,
    job_line,
    keys_drawing,
    next_drawing,
    pane_drawing,
    rail_drawing,
    saved_word,
    title_line,
    waive_hint,
)
from asleft.tui.safe import fit, styled
from asleft.tui.targets import Drawing, Targets

if TYPE_CHECKING:
    from textual.screen import Screen

    from asleft.face.entries import Entries, Said
    from asleft.tui.standing import Standing
    from asleft.visit import View

SMALL = (60, 16)
"""Columns and rows below which a card takes the place of the wizard."""
WIDE = 112
"""Columns from which the panes stand on a rail at the left."""
HUGE = 188
"""Columns from which a row's details stand beside the ledger instead of below it."""
CHART_LEAST = 14
"""Lines without which a chart beside the ledger would say nothing."""
FRAME = 9
"""Lines round the ledger and the details."""
SIDE = 80
"""Columns of what stands beside the ledger."""


def _saved(view: View) -> str:
    signed = view.state.signature
    return saved_word(view) if signed else f"{view.state.last_n} entries"


@dataclass(frozen=True, slots=True)
class Seen:
    """All that the screen shows."""

    view: View
    mode: str
    standing: Standing
    entries: Entries
    said: Said
    clock: str = ""

    @property
    def saved(self) -> str:
        """Whether everything is on disk, and how much."""
        return "NOT SAVED" if self.entries.failed or self.entries.unsaved else saved_word(self.view)


class Drawer:
    """Draws on one screen, with the keys that are bound there."""

    def __init__(self, screen: Screen[None], actions: Sequence[Action]) -> None:
        self._screen, self._actions = screen, actions
        self._chart_of: View | None = None
        self._chart_asked: tuple[object, ...] = ()
        self._chart: tuple[str, ...] = ()
        self._next_key, self._working_key = key_of(actions, "next"), key_of(actions, "working")
        self._cannot_key = key_of(actions, "cannot")

    def everything(self, seen: Seen) -> bool:
        """Draw all of it; False where the screen is so small that only a card stands on it."""
        width, height = self._screen.size
        small = width < SMALL[0] or height < SMALL[1]
        wide = width >= WIDE and not small
        self._screen.set_class(small, "small")
        self._screen.set_class(wide, "wide")
        self._screen.set_class(width >= HUGE and not small, "huge")
        if small:
            waiting = ", ".join(seen.entries.unsaved)
            saved = seen.entries.failed or (
                f"Not saved yet: {waiting}." if waiting else f"Everything is saved, {_saved(seen.view)}."
            )
            lines = card_lines(seen.view, saved, (width, height), SMALL)
            self._put("small", *(styled(line) for line in lines))
            return False
        view, standing = seen.view, seen.standing
        inner = width - RAIL if wide else width
        self._put("job", job_line(view, seen.mode, seen.saved, width, seen.clock))
        if wide:
            self._aim("rail", rail_drawing(view, standing.pane, self._actions, height - FRAME + 1))
        else:
            self._aim("panes", pane_drawing(view, standing.pane, width))
        self._put("title", title_line(view, standing.pane, inner, rail=wide))
        third = THIRD.get(standing.pane, "limits")
        self._screen.query_one(Ledger).show(standing.rows, standing.at, third)
        self.row(seen)
        self._aim("next", next_drawing(view.next, width, self._next_key))
        self._aim("keys", keys_drawing(width, self._actions))
        return True

    def row(self, seen: Seen) -> None:
        """Draw what belongs to the row under the cursor."""
        (width, height), row = self._screen.size, seen.standing.row
        first = [seen.entries.failed] if seen.entries.failed else []
        if len(seen.said.text) >= width:
            first.append(seen.said.text)
        huge, wide = width >= HUGE, width >= WIDE
        inner = SIDE - 1 if huge else width - (RAIL if wide else 0)
        room = height - FRAME if huge else (height - FRAME) * 2 // 3
        if row and (hint := waive_hint(seen.view, row, self._cannot_key)):
            first.append(hint)
        lines = [*first, *(detail_lines(seen.view, row, wide=wide, width=width) if row else ())]
        details = detail_drawing(row, lines, (inner - 2, room), self._working_key)
        self._screen.query_one(Ledger).below(Drawing() if huge else details)
        if huge:
            room -= len(details.lines) + 1
            for line in self._chart_beside(seen, inner - 2, room):
                details.line().add(line)
            self._aim("side", details)
        self._put(
            "caution", styled(fit(f" ! {row.caution}" if row and row.caution else "", width), "$warning")
        )
        refused = row is not None and row.act is not None and seen.entries.is_reason(row.act)
        waived = seen.entries.waives(row.act) if row is not None and row.act is not None else None
        waives = waived.key if waived else ""
        self._screen.query_one(EntryLine).label(row, refused=refused, waives=waives)
        self.message(seen)

    def _chart_beside(self, seen: Seen, width: int, height: int) -> tuple[str, ...]:
        """The chart of the pane and the row, after a blank line; drawn anew only where it would differ."""
        if height < CHART_LEAST:
            return ()
        row, pane = seen.standing.row, seen.standing.pane
        act = row.act if row else None
        topic = seen.view.equipment.topic_of(act.topic) if isinstance(act, Choose) else None
        role = topic.role if topic else ""
        asked = (pane, role, width, height)
        if self._chart_of is not seen.view or self._chart_asked != asked:
            from asleft.charts import chart_for, drawn

            chart = chart_for(seen.view, pane, role)
            lines = drawn(chart, width, height) if chart and not chart.missing else ()
            self._chart_of, self._chart_asked = seen.view, asked
            self._chart = ("", *lines) if lines else ()
        return self._chart

    def message(self, seen: Seen) -> None:
        """Draw the line that says what came of something; else how to fill in the row."""
        width, row = self._screen.size.width, seen.standing.row
        text = seen.said.text or seen.entries.trouble
        if text:
            self._aim(
                "message", Drawing().add(fit(" " + text, width), "bold $error" if seen.said.bad else "")
            )
        else:
            self._aim("message", help_drawing(row, width))

    def _put(self, name: str, *contents: Content) -> None:
        self._screen.query_one(f"#{name}", Lined).put_lines(contents)

    def _aim(self, name: str, drawing: Drawing) -> None:
        self._screen.query_one(f"#{name}", Targets).put(drawing)
