"""A list to choose from: items of one or more lines, headings between them, a mark on what Enter takes."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from textual import events
from textual.binding import Binding
from textual.content import Content
from textual.message import Message
from textual.widgets import Static

from asleft.tui.safe import fit, plain, styled

MOVES = (
    Binding("up", "move(-1)", show=False),
    Binding("down", "move(1)", show=False),
    Binding("pageup,home", "move(-99)", show=False),
    Binding("pagedown,end", "move(99)", show=False),
)
"""The keys that move the mark on a screen that is a menu and takes no letters."""


class Line(NamedTuple):
    """One line of an item: text, what stands at the right end, and a style of our own."""

    text: str
    right: str = ""
    style: str = ""


class Item(NamedTuple):
    """Something to choose, or with an empty `id` a heading that the mark passes over."""

    id: str
    lines: tuple[Line, ...]


class Menu(Static):
    """Draws the items that fit round the mark. It keeps only the mark; a choice is told as a message."""

    can_focus = False

    class Chosen(Message):
        """An item was clicked."""

        def __init__(self, menu: Menu, id: str) -> None:
            super().__init__()
            self.menu, self.id = menu, id

        @property
        def control(self) -> Menu:
            """The menu, so that handlers can name it."""
            return self.menu

    class Moved(Message):
        """The mark went to another item."""

    def __init__(self, *, id: str) -> None:
        super().__init__("", id=id, markup=False)
        self._items: tuple[Item, ...] = ()
        self._at = -1
        self._top = 0
        self._drawn: list[int] = []

    @property
    def chosen(self) -> str:
        """The id of the item under the mark; empty where there is none."""
        return self._items[self._at].id if 0 <= self._at < len(self._items) else ""

    def show(self, items: Sequence[Item], chosen: str | None = None) -> None:
        """Draw these items, the mark on one of them, else on the one it was on, else on the first."""
        wanted = self.chosen if chosen is None else chosen
        self._items = tuple(items)
        able = [n for n, item in enumerate(self._items) if item.id]
        self._at = next((n for n in able if self._items[n].id == wanted), able[0] if able else -1)
        self._draw()

    def move(self, by: int) -> None:
        """The mark so many items on, stopping at the ends."""
        able = [n for n, item in enumerate(self._items) if item.id]
        if not able:
            return
        at = able.index(self._at) if self._at in able else 0
        self._at = able[max(0, min(at + by, len(able) - 1))]
        self._draw()
        self.post_message(self.Moved())

    def on_resize(self) -> None:
        """Draw again for the new size."""
        self._draw()

    def on_click(self, event: events.Click) -> None:
        """A click takes the item under it."""
        at = self._top + event.y
        if 0 <= at < len(self._drawn) and self._items[self._drawn[at]].id:
            self._at = self._drawn[at]
            self._draw()
            self.post_message(self.Chosen(self, self.chosen))

    def on_mouse_scroll_down(self) -> None:
        """The wheel moves the mark."""
        self.move(1)

    def on_mouse_scroll_up(self) -> None:
        """The wheel moves the mark."""
        self.move(-1)

    def _draw(self) -> None:
        width, height = self.size
        if width < 4 or height < 1:
            return
        lines: list[Content] = []
        self._drawn = []
        first = last = 0
        for n, item in enumerate(self._items):
            if n == self._at:
                first, last = len(lines), len(lines) + len(item.lines) - 1
            for m, line in enumerate(item.lines):
                lines.append(_drawn(line, width, mark=n == self._at and m == 0, here=n == self._at))
                self._drawn.append(n)
        # The heading above the first item is seen with it.
        top = min(self._top, max(0, len(lines) - height))
        if first <= top:
            top = max(0, first - 1)
        if last >= top + height:
            top = last - height + 1
        self._top = min(top, first)
        self.update(Content("\n").join(lines[self._top : self._top + height]))


def _drawn(line: Line, width: int, *, mark: bool, here: bool) -> Content:
    right = plain(line.right)
    if len(right) > width // 2:
        right = ""
    room = width - 2 - (len(right) + 2 if right else 0)
    text = ("▸ " if mark else "  ") + fit(line.text, room) + (f"  {right}" if right else "")
    if not here:
        return styled(fit(text, width), line.style)
    # One bar of one colour, whatever the lines of it are drawn in elsewhere.
    return styled(fit(text, width), "bold reverse" if line.style == "bold" else "reverse")
