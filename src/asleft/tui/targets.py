"""Lines of our own words, parts of which act when they are clicked."""

from __future__ import annotations

from dataclasses import dataclass

from rich.cells import cell_len
from textual import events
from textual.content import Content
from textual.message import Message
from textual.widgets import Static

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
        self._lines: list[Content] = [Content("")]
        self._at = 0
        self.targets: list[Target] = []

    def add(self, text: str, style: str = "", action: str = "") -> Drawing:
        """A part of the present line."""
        text = plain(text)
        self._lines[-1] = Content("").join([self._lines[-1], styled(text, style)])
        width = cell_len(text)
        if action:
            self.targets.append(Target(len(self._lines) - 1, self._at, self._at + width, action))
        self._at += width
        return self

    def line(self) -> Drawing:
        """A new line."""
        self._lines.append(Content(""))
        self._at = 0
        return self

    @property
    def content(self) -> Content:
        """All of it."""
        return Content("\n").join(self._lines)


class Targets(Static):
    """Shows a drawing, and tells its screen which action was clicked."""

    can_focus = False

    class Clicked(Message):
        """A part that acts was clicked."""

        def __init__(self, action: str) -> None:
            super().__init__()
            self.action = action

    def __init__(self, *, id: str) -> None:
        super().__init__("", id=id, markup=False)
        self._targets: tuple[Target, ...] = ()

    def put(self, drawing: Drawing) -> None:
        """Show this."""
        self._targets = tuple(drawing.targets)
        self.update(drawing.content)

    def on_click(self, event: events.Click) -> None:
        """Tell of the part under the pointer, if it acts."""
        at = event.get_content_offset(self)
        if at is None:
            return
        for target in self._targets:
            if target.line == at.y and target.left <= at.x < target.right:
                self.post_message(self.Clicked(target.action))
                return
