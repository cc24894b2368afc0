"""A widget of lines, of which only the cells that changed go over the wire again."""

from __future__ import annotations

from collections.abc import Sequence

from rich.cells import get_character_cell_size
from rich.style import Style
from textual.content import Content
from textual.geometry import Region, Size
from textual.strip import Strip
from textual.visual import Visual
from textual.widget import Widget


class Lined(Widget):
    """Shows lines as they are handed to it. Its place never depends on what stands there."""

    can_focus = False
    ALLOW_SELECT = False

    def __init__(self, *, id: str) -> None:
        super().__init__(id=id)
        self.auto_links = False
        self._contents: tuple[Content, ...] = ()
        self._drawn: list[Strip] = []
        self._drawn_from: tuple[Content, ...] = ()
        self._look: tuple[object, ...] = ()

    def put_lines(self, contents: Sequence[Content]) -> None:
        """Show these lines; those beyond the widget's height are not seen.

        A line that says what it said before is neither made anew nor compared.
        """
        self._contents = tuple(contents)
        if not self.is_mounted or not self.size:
            self._drawn = []
            return
        look = (self.size.width, self.visual_style, self.app.theme)
        before = self._drawn if look == self._look else []
        same = [y for y in range(min(len(before), self.size.height)) if self._says_the_same(y)]
        kept = {y: before[y] for y in same}
        self._drawn = [kept[y] if y in kept else self._strip(y) for y in range(self.size.height)]
        self._look, self._drawn_from = look, self._contents
        if len(before) != len(self._drawn):
            self.refresh()
            return
        changed = [_changed(y, before[y], now) for y, now in enumerate(self._drawn) if y not in kept]
        if regions := [region for region in changed if region]:
            self.refresh(*regions)

    def _says_the_same(self, y: int) -> bool:
        """Whether a line is to say what it was drawn from, styles and all: equality minds the text alone."""
        now = self._contents[y] if y < len(self._contents) else None
        drawn = self._drawn_from[y] if y < len(self._drawn_from) else None
        return now is drawn or (now is not None and drawn is not None and now.is_same(drawn))

    def render_line(self, y: int) -> Strip:
        """One line in the colours of the theme as it is now."""
        drawn = self._drawn[y] if y < len(self._drawn) else None
        return drawn if drawn is not None and drawn.cell_length == self.size.width else self._strip(y)

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        """As many as there are lines."""
        return len(self._contents)

    def notify_style_update(self) -> None:
        """Everything looks different in other colours."""
        self._drawn = []
        super().notify_style_update()

    def _strip(self, y: int) -> Strip:
        width, style = self.size.width, self.visual_style
        strips = None
        if y < len(self._contents) and width > 0:
            content = self._contents[y].truncate(width, ellipsis=True)
            strips = Visual.to_strips(self, content, width, 1, style, pad=True)
        return (
            strips[0].crop_extend(0, width, style.rich_style)
            if strips
            else Strip.blank(width, style.rich_style)
        )


def _changed(y: int, before: Strip, now: Strip) -> Region | None:
    """The cells of a line from the first that differs to the last; None where none does."""
    old, new = _cells(before), _cells(now)
    if old == new:
        return None
    shorter = min(len(old), len(new))
    first = next((n for n in range(shorter) if old[n] != new[n]), shorter)
    last = next((n for n in range(shorter - first) if old[-1 - n] != new[-1 - n]), shorter - first)
    left, right = sum(width for *_, width in new[:first]), sum(width for *_, width in new[: len(new) - last])
    return Region(left, y, max(1, right - left), 1)


def _cells(strip: Strip) -> list[tuple[str, Style | None, int]]:
    """Every character of a line with its style and its width; one without width goes with the one before."""
    cells: list[tuple[str, Style | None, int]] = []
    for piece in strip:
        for character in piece.text:
            width = get_character_cell_size(character)
            if width == 0 and cells:
                text, style, wide = cells[-1]
                cells[-1] = (text + character, style, wide)
            else:
                cells.append((character, piece.style, width))
    return cells
