"""The ledger: all rows of a pane drawn by one widget, with a cursor."""

from __future__ import annotations

from textual import events
from textual.content import Content
from textual.message import Message
from textual.widgets import Static

from asleft.face.rows import BAR, Row
from asleft.tui.safe import fit, styled

LABEL_LEAST, VALUE, VERDICT = 26, 14, 11
STYLES = {"FAIL": "bold $error", "pass": "$success", "take again": "$warning", "cannot": "$warning"}


class Ledger(Static):
    """Draws the rows that fit round the cursor. Its truth is handed to it; it keeps only where it looks."""

    can_focus = False

    class Picked(Message):
        """A row was clicked."""

        def __init__(self, index: int) -> None:
            super().__init__()
            self.index = index

    def __init__(self, *, id: str) -> None:
        super().__init__("", id=id, markup=False)
        self._rows: tuple[Row, ...] = ()
        self._cursor = 0
        self._third = "limits"
        self._top = 0
        self._lines: list[int | None] = []

    def show(self, rows: tuple[Row, ...], cursor: int, third: str = "limits") -> None:
        """Draw these rows with the cursor on one of them; `third` stands over the third column."""
        self._rows, self._cursor, self._third = rows, cursor, third
        self._draw()

    def on_resize(self) -> None:
        """Draw again for the new size."""
        self._draw()

    def on_click(self, event: events.Click) -> None:
        """A click picks the row under it."""
        at = self._top + event.y - 1
        if 0 <= at < len(self._lines) and (row := self._lines[at]) is not None:
            self.post_message(self.Picked(row))

    def _draw(self) -> None:
        width, height = self.size
        if width < 20 or height < 2:
            return
        lines: list[tuple[int | None, Content]] = []
        for n, row in enumerate(self._rows):
            if row.group:
                lines.append((None, styled(fit(f"  {row.group}", width), "italic $text-muted")))
            lines.append((n, self._line(row, n == self._cursor, width)))
        at = next((i for i, (n, _) in enumerate(lines) if n == self._cursor), 0)
        room = height - 1
        top = min(self._top, max(0, len(lines) - room))
        if at < top + 1:
            top = max(0, at - 1)
        elif at >= top + room - (1 if at + 1 < len(lines) else 0):
            top = min(max(0, at - room + 2), max(0, len(lines) - room))
        self._top = top
        self._lines = [n for n, _ in lines]
        head = styled(self._head(width, top, len(lines) - top - room), "$text-muted")
        self.update(Content("\n").join([head, *(content for _, content in lines[top : top + room])]))

    def _widths(self, width: int) -> tuple[int, int, int]:
        """Label, value and bar columns; a wide screen gives all of them more."""
        spare = width - (2 + LABEL_LEAST + 2 * (VALUE + 1) + BAR + 1 + VERDICT)
        label = LABEL_LEAST + max(0, min(spare, 12))
        value = VALUE + max(0, min((spare - 12) // 2, 6))
        return label, value, BAR if spare >= 0 else 0

    def _head(self, width: int, above: int, below: int) -> str:
        label, value, drawn = self._widths(width)
        more = (f"↑{above}" if above > 0 else "") + (f" ↓{below}" if below > 0 else "")
        text = "  " + fit(more, label) + " " + fit("as found", value) + " " + fit("as left", value)
        text += " " + fit(self._third, drawn) if drawn else ""
        return fit(text + " verdict", width)

    def _line(self, row: Row, here: bool, width: int) -> Content:
        label, value, drawn = self._widths(width)
        text = ("▸ " if here else "  ") + fit(row.label, label)
        text += " " + fit(row.found, value) + " " + fit(row.now, value)
        if drawn:
            text += " " + fit(row.bar, drawn)
        used = len(text) + 1
        verdict = fit(row.verdict, max(0, width - used))
        style = STYLES.get(row.verdict.split(",")[0], "")
        line = styled(text + " ", "bold" if here else "") + styled(verdict, style)
        return line.stylize("reverse") if here else line
