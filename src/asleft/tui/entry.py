"""The entry line: what is to be typed for the row under the cursor, and the typing itself."""

from __future__ import annotations

from rich.cells import cell_len
from textual import events
from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.message import Message
from textual.widgets import Input

from asleft.face.rows import Row
from asleft.tui.lined import Lined
from asleft.tui.safe import fit, plain, styled
from asleft.tui.typed import TypedLine

LABEL_MOST = 26
LABEL = 44
"""Cells of the label: the entry always begins at the same place."""


class Entry(TypedLine):
    """A line to type in. Lines pasted together become one; a question mark alone asks for help."""

    class HelpWanted(Message):
        """A question mark was typed where nothing stood."""

    joint = " "
    """What stands between lines that are pasted together."""

    async def _on_key(self, event: events.Key) -> None:
        if event.character == "?" and not self.value:
            event.stop()
            event.prevent_default()
            self.post_message(self.HelpWanted())
            return
        await super()._on_key(event)

    def _on_paste(self, event: events.Paste) -> None:
        lines = [line.strip() for line in event.text.splitlines() if line.strip()]
        super()._on_paste(events.Paste(self.joint.join(lines)))
        event.stop()
        event.prevent_default()


class EntryLine(Horizontal):
    """A label and an input, whose own messages tell what was typed and what was entered."""

    def __init__(self, *, id: str) -> None:
        super().__init__(id=id)
        self._choices: tuple[str, ...] = ()

    def compose(self) -> ComposeResult:
        """Label, then input."""
        yield Lined(id="entry-label")
        yield Entry(id="entry", select_on_focus=False)

    def on_mount(self) -> None:
        """Ready to type."""
        self.input.focus()

    @property
    def input(self) -> Entry:
        """What is typed in."""
        return self.query_one("#entry", Entry)

    def label(self, row: Row | None, *, refused: bool, waives: str = "") -> None:
        """Say what is typed here; `refused` asks why it cannot be done, or why what it `waives` may stand."""
        self._choices = row.choices if row and not refused else ()
        self.input.joint = "; " if row and row.unit else " "
        if row is None or row.act is None:
            text = " (nothing to enter here) "
        elif refused:
            text = f" Waive {waives}, because > " if waives else " Cannot be done, because > "
        else:
            unit = f" [{row.unit}]" if row.unit else ""
            room = min(LABEL_MOST, LABEL - cell_len(f" {unit} > "), cell_len(plain(row.label)))
            text = f" {fit(row.label, room)}{unit} > "
        text = fit(text, LABEL)
        shown = " " * (LABEL - cell_len(text.rstrip()) - 1) + text.rstrip() + " "
        self.query_one("#entry-label", Lined).put_lines([styled(shown, "bold")])

    def put(self, text: str, *, replaced: bool = False) -> None:
        """Let this stand in the entry, without counting it as typed; `replaced` by what is typed over it."""
        with self.input.prevent(Input.Changed):
            self.input.value = text
        self.input.cursor_position = len(text)
        if replaced and text:
            self.input.select_all()

    def on_key(self, event: events.Key) -> None:
        """Left and right go through choices where the entry holds none of a person's words."""
        entry, choices = self.input, self._choices
        if event.key not in ("left", "right") or not choices or (entry.value and entry.value not in choices):
            return
        by = 1 if event.key == "right" else -1
        at = choices.index(entry.value) if entry.value else (-1 if by == 1 else 0)
        entry.value = choices[(at + by) % len(choices)]
        entry.cursor_position = len(entry.value)
