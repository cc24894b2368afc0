"""The ledger: all rows of a pane drawn by one widget, with a cursor."""

from __future__ import annotations

from dataclasses import replace

from rich.cells import cell_len
from textual import events
from textual.content import Content
from textual.message import Message

from asleft.face.rows import BAR, Row
from asleft.tui.safe import fit, plain, styled
from asleft.tui.targets import Drawing, Targets

LABEL_LEAST, VALUE, VERDICT = 26, 14, 11
STYLES = {"FAIL": "bold $error", "pass": "$success", "take again": "$warning", "cannot": "$warning"}


class Ledger(Targets):
    """Draws the rows that fit round the cursor, and below them what the row under it has to say.

    Its truth is handed to it; it keeps only where it looks.
    """

    class Picked(Message):
        """A row was clicked."""

        def __init__(self, index: int) -> None:
            super().__init__()
            self.index = index

    def __init__(self, *, id: str) -> None:
        super().__init__(id=id)
        self._rows: tuple[Row, ...] = ()
        self._cursor = 0
        self._third = "limits"
        self._below = Drawing()
        self._top = 0
        self._numbers: list[int | None] = []

    def show(self, rows: tuple[Row, ...], cursor: int, third: str) -> None:
        """The rows and the one with the cursor; `third` stands over the third column. Drawn with `below`."""
        self._rows, self._cursor, self._third = rows, cursor, third

    def below(self, drawing: Drawing) -> None:
        """Draw the rows, and this below them."""
        self._below = drawing
        self._draw()

    def on_resize(self) -> None:
        """Draw again for the new size."""
        self._draw()

    def on_click(self, event: events.Click) -> None:
        """A click on a row picks it, one on what acts below the rows does that."""
        super().on_click(event)
        at = self._top + event.y - 1
        if 1 <= event.y <= len(self._numbers) - self._top and (row := self._numbers[at]) is not None:
            self.post_message(self.Picked(row))

    def _draw(self) -> None:
        width, height = self.size
        if width < 20 or height < 2:
            return
        lines: list[tuple[int | None, Row]] = []
        at = 0
        for n, row in enumerate(self._rows):
            if row.group:
                lines.append((None, row))
            if n == self._cursor:
                at = len(lines)
            lines.append((n, row))
        below = self._below.lines if any(line.plain for line in self._below.lines) else ()
        room = max(1, height - 1 - len(below))
        top = min(self._top, max(0, len(lines) - room))
        if at < top + 1:
            top = max(0, at - 1)
        elif at >= top + room - (1 if at + 1 < len(lines) else 0):
            top = min(max(0, at - room + 2), max(0, len(lines) - room))
        self._top = top
        self._numbers = [n for n, _ in lines[: top + room]]
        head = styled(self._head(width, top, len(lines) - top - room), "$text-muted")
        seen = [
            styled(fit(f"  {row.group}", width), "italic $text-muted")
            if n is None
            else self._line(row, n == self._cursor, width)
            for n, row in lines[top : top + room]
        ]
        blank = [Content("")] * (room - len(seen))
        self._targets = tuple(
            replace(t, line=t.line + 1 + room, left=t.left + 1, right=t.right + 1)
            for t in self._below.targets
        )
        self.put_lines([head, *seen, *blank, *(styled(" ") + line for line in below)])

    def _widths(self, width: int) -> tuple[int, int, int]:
        """Label, value and bar columns; a wide screen gives all of them more."""
        spare = width - (2 + LABEL_LEAST + 2 * (VALUE + 1) + BAR + 1 + VERDICT)
        label = LABEL_LEAST + max(0, min(spare, 12))
        value = VALUE + max(0, min((spare - 12) // 2, 6))
        wider = max(0, min(spare - 24, 16))
        return label, value, BAR + wider if spare >= 0 else 0

    def _head(self, width: int, above: int, below: int) -> str:
        label, value, drawn = self._widths(width)
        more = (f"↑{above}" if above > 0 else "") + (f" ↓{below}" if below > 0 else "")
        text = "  " + fit(more, label) + " " + fit("as found", value) + " " + fit("as left", value)
        text += " " + fit(self._third, drawn) if drawn else ""
        return fit(text + " verdict", width)

    def _line(self, row: Row, here: bool, width: int) -> Content:
        label, value, drawn = self._widths(width)
        text = " " + fit(row.found, value) + " " + fit(row.now, value)
        if drawn:
            text += " " + fit(row.gauge.drawn(drawn) if row.gauge else row.bar, drawn)
        if not text.strip():
            # A long label may have the room of the values that are not there.
            longer = max(0, min(cell_len(plain(row.label)) - label, cell_len(text) - 1))
            label, text = label + longer, text[longer:]
        name = ("▸ " if here else "  ") + fit(row.label, label)
        used = cell_len(name + text) + 1
        verdict = fit(row.verdict, max(0, width - used))
        style = STYLES.get(row.verdict.split(",")[0], "")
        return Content("").join(
            [styled(name, "reverse bold" if here else ""), styled(text + " "), styled(verdict, style)]
        )
