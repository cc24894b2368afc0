"""The charts of a pane over the wizard: a picture that fits the terminal, or the same as a table."""

from __future__ import annotations

import os
from collections.abc import Callable
from typing import TYPE_CHECKING, ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import Static

from asleft.charts import as_table, charts_of, drawn
from asleft.session.acts import Choose
from asleft.tui.safe import styled

if TYPE_CHECKING:
    from asleft.charts import Chart
    from asleft.face.rows import Row
    from asleft.visit import View

_FRAME = (4, 2)
"""Columns and rows that the frame takes."""


def role_of(view: View, row: Row | None) -> str:
    """The role of the topic that a row decides; nothing for any other row."""
    act = row.act if row else None
    topic = view.equipment.topic_of(act.topic) if isinstance(act, Choose) else None
    return topic.role if topic else ""


class ChartPage(ModalScreen[None]):
    """One chart at a time, that of the row first; it asks for the view anew whenever it draws."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("right", "turn(1)", "next chart", priority=True),
        Binding("left", "turn(-1)", "chart before", priority=True),
        Binding("space,t", "table", "table", priority=True),
        Binding("a", "signs", "plain signs", priority=True),
        Binding("f8", "units", "IP/SI", priority=True),
        Binding("escape,enter,f10,f11,ctrl+g", "dismiss", "close", priority=True),
    ]
    DEFAULT_CSS = """
    ChartPage { align: center middle; }
    #charts { width: 100%; height: 100%; border: round $primary; padding: 0 1; background: $surface; }
    #charts Static { width: auto; height: auto; }
    """

    def __init__(
        self, look: Callable[[], View], pane: str, row: Row | None, units: Callable[[], None]
    ) -> None:
        super().__init__()
        self._look, self._pane, self._units = look, pane, units
        self._role = role_of(look(), row)
        self._at, self._as_table, self._ascii = 0, False, False

    def compose(self) -> ComposeResult:
        """A frame with one drawing in it."""
        with VerticalScroll(id="charts"):
            yield Static(id="chart", markup=False)

    def on_mount(self) -> None:
        """Draw with what the terminal can show."""
        self._ascii = self.app.console.options.ascii_only or os.environ.get("TERM") == "linux"
        self.draw()

    def on_resize(self) -> None:
        """Fit the new size."""
        self.draw()

    def draw(self) -> None:
        """Draw the chart as the visit stands now."""
        charts = charts_of(self._look(), self._pane, self._role)
        frame = self.query_one("#charts", VerticalScroll)
        frame.border_title = f"Chart {self._at % len(charts) + 1} of {len(charts)}"
        other = "picture" if self._as_table else "table"
        frame.border_subtitle = f"←→ others  Space {other}  F8 IP/SI  Esc closes"
        lines = self._lines(charts[self._at % len(charts)])
        first, *rest = [styled(lines[0], "bold"), *map(styled, lines[1:])] if lines else [styled("")]
        self.query_one("#chart", Static).update(Content("\n").join([first, *rest]))

    def _lines(self, chart: Chart) -> list[str]:
        width, height = (max(1, size - frame) for size, frame in zip(self.size, _FRAME, strict=True))
        if self._as_table:
            return as_table(chart, width)
        return drawn(chart, width, height, ascii=self._ascii)

    def action_turn(self, by: int) -> None:
        """Another chart: the pane's own come first, then those of the others."""
        self._at += by
        self.query_one("#charts", VerticalScroll).scroll_home(animate=False)
        self.draw()

    def action_table(self) -> None:
        """From the picture to the table and back."""
        self._as_table = not self._as_table
        self.query_one("#charts", VerticalScroll).scroll_home(animate=False)
        self.draw()

    def action_signs(self) -> None:
        """Draw with letters alone, for a terminal that cannot show the finer signs, and back."""
        self._ascii = not self._ascii
        self.draw()

    def action_units(self) -> None:
        """Change the units as the wizard does."""
        self._units()
        self.draw()
