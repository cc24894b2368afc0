"""A line to type in: what is pasted or kept there can be anything, and is drawn harmless."""

from __future__ import annotations

from rich.text import Text
from textual.widgets import Input

from asleft.tui.safe import as_typed


class TypedLine(Input):
    """An Input whose cursor does not blink, and whose value reaches the terminal as characters only.

    The value itself stays as it was typed: whoever takes it says what is wrong with it.
    """

    def on_mount(self) -> None:
        """A blinking cursor would keep a slow line busy."""
        self.cursor_blink = False

    @property
    def _value(self) -> Text:
        return Text(as_typed(self.value), no_wrap=True, overflow="ignore", end="")
