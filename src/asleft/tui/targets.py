"""Lines, parts of which act when they are clicked."""

from __future__ import annotations

from dataclasses import dataclass

from rich.cells import cell_len
from textual import events
from textual.content import Content
from textual.message import Message

from asleft.tui.lined import Lined
from asleft.tui.safe import plain, styled


@dataclass(frozen=True, slots=True)
class Target:
    """Cells of one line, and the action that a click on them does."""

    line: int
    left: int
    right: int
    action: str


class Drawing:
    """Lines being put together part by part; where a part acts, its place is kept."""

    def __init__(self) -> None:
        self._parts: list[list[Content]] = [[]]
        self._lines: tuple[Content, ...] | None = None
        self._at = 0
        self.targets: list[Target] = []

    def add(self, text: str, style: str = "", action: str = "") -> Drawing:
        """A part of the present line."""
        text = plain(text)
        self._parts[-1].append(styled(text, style))
        self._lines = None
        width = cell_len(text)
        if action:
            self.targets.append(Target(len(self._parts) - 1, self._at, self._at + width, action))
        self._at += width
        return self

    def line(self) -> Drawing:
        """A new line."""
        self._parts.append([])
        self._lines = None
        self._at = 0
        return self

    @property
    def lines(self) -> tuple[Content, ...]:
        """All of them, put together once."""
        if self._lines is None:
            self._lines = tuple(Content("").join(parts) for parts in self._parts)
        return self._lines


class Targets(Lined):
    """Shows a drawing, and tells its screen which action was clicked."""

    class Clicked(Message):
        """A part that acts was clicked."""

        def __init__(self, action: str) -> None:
            super().__init__()
            self.action = action

    def __init__(self, *, id: str) -> None:
        super().__init__(id=id)
        self._targets: tuple[Target, ...] = ()

    def put(self, drawing: Drawing) -> None:
        """Show this."""
        self._targets = tuple(drawing.targets)
        self.put_lines(drawing.lines)

    def on_click(self, event: events.Click) -> None:
        """Tell of the part under the pointer, if it acts."""
        at = event.get_content_offset(self)
        action = self.action_at(at.x, at.y) if at is not None else ""
        if action:
            self.post_message(self.Clicked(action))

    def action_at(self, x: int, y: int) -> str:
        """The action of the part at these cells; empty where none acts."""
        return next((t.action for t in self._targets if t.line == y and t.left <= x < t.right), "")
