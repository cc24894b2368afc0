"""Cells to draw in: lines of braille dots, or of letters alone, with words over them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise
from math import ceil, isfinite

from asleft.charts.cells import letters, width
from asleft.charts.chart import Dash

CROSSING = "*"
"""Where two curves fall on one cell that can show only letters."""

_BRAILLE = 0x2800
_DOTS = ((0x01, 0x08), (0x02, 0x10), (0x04, 0x20), (0x40, 0x80))
"""The bit of each dot of a braille cell, by row and column."""
_DASHES: dict[Dash, str] = {
    "solid": "#",
    "dashed": "########....",
    "dash-dot": "##########...##...",
    "dotted": "##..",
}
_FAINT = "#..."
_MOST_STEPS = 4000
_CELLS_A_LETTER = 14
Place = tuple[float, float]
"""Parts of the way from left to right and from bottom to top."""


class Canvas:
    """So many columns and rows; `fine` draws curves with 2 by 4 dots a cell, else with their letters."""

    def __init__(self, columns: int, rows: int, *, fine: bool) -> None:
        self.columns, self.rows, self.fine = columns, rows, fine
        self._words: dict[tuple[int, int], str] = {}
        self._dots: dict[tuple[int, int], int] = {}
        self._owners: dict[tuple[int, int], set[str]] = {}
        self._under: dict[tuple[int, int], str] = {}
        self._upright: set[tuple[int, int]] = set()
        self._ways: dict[str, list[tuple[int, int, bool]]] = {}

    # ---- curves

    def trace(self, mark: str, points: Sequence[tuple[Place, bool] | None], dash: Dash = "solid") -> None:
        """A curve through places; each says whether the curve may be used there."""
        way = self._ways.setdefault(mark, [])
        step = 0
        for one, other in pairwise(points):
            if one is None or other is None or (piece := _clipped(one[0], other[0])) is None:
                continue
            for place in self._along(*piece):
                inside = one[1] and other[1]
                pattern = _DASHES[dash] if inside else _FAINT
                step += 1
                cell = self._dot(place, draw=pattern[step % len(pattern)] == "#")
                self._owners.setdefault(cell, set()).add(mark)
                if not way or way[-1][:2] != cell:
                    way.append((*cell, inside))

    def _along(self, start: Place, end: Place) -> Iterator[tuple[int, int]]:
        """Every dot from one place to another."""
        wide, high = self._size()
        x0, y0, x1, y1 = start[0] * wide, start[1] * high, end[0] * wide, end[1] * high
        count = max(1, ceil(max(abs(x1 - x0), abs(y1 - y0))))
        for n in range(count + 1):
            yield round(x0 + (x1 - x0) * n / count), round(y0 + (y1 - y0) * n / count)

    def _size(self) -> tuple[int, int]:
        """The last dot of each direction."""
        return (self.columns * 2 - 1, self.rows * 4 - 1) if self.fine else (self.columns - 1, self.rows - 1)

    def _dot(self, place: tuple[int, int], *, draw: bool) -> tuple[int, int]:
        x, y = place
        if not self.fine:
            return x, self.rows - 1 - y
        from_top = self.rows * 4 - 1 - y
        cell = x // 2, from_top // 4
        if draw:
            self._dots[cell] = self._dots.get(cell, 0) | _DOTS[from_top % 4][x % 2]
        return cell

    def letter(self) -> None:
        """Put letters on the curves: on every cell of a coarse drawing, here and there on a fine one."""
        taken = set(self._words)
        for turn, (mark, way) in enumerate(self._ways.items()):
            free = [step for step in way if step[:2] not in taken]
            for column, row, inside in self._spread(free, turn) if self.fine else free:
                alone = len(self._owners[column, row]) == 1
                self._words[column, row] = (mark if inside else mark.lower()) if alone else CROSSING

    def _spread(self, way: list[tuple[int, int, bool]], turn: int) -> Iterator[tuple[int, int, bool]]:
        """Some cells of a way where no other curve runs, few enough to leave the line to be seen."""
        alone = [step for step in way if len(self._owners[step[:2]]) == 1]
        count = max(1, round(len(alone) / _CELLS_A_LETTER)) if alone else 0
        for n in range(count):
            at = (n + 0.35 + 0.3 * (turn % 2)) / count
            yield alone[min(len(alone) - 1, int(at * len(alone)))]

    # ---- what stands under and over them

    def shade(self, lower: Sequence[Place | None], upper: Sequence[Place | None]) -> None:
        """Shade the cells between two lines whose places follow each other in pairs."""
        sign = "░" if self.fine else "."
        pairs = [None if a is None or b is None else (a, b) for a, b in zip(lower, upper, strict=True)]
        for one, other in pairwise(pairs):
            if one is None or other is None:
                continue
            (x0, low0), high0 = one[0], one[1][1]
            (x1, low1), high1 = other[0], other[1][1]
            steps = min(_MOST_STEPS, 4 * max(1, round(abs(x1 - x0) * self.columns)))
            for n in range(steps + 1):
                part = n / steps
                low, high = low0 + (low1 - low0) * part, high0 + (high1 - high0) * part
                self._shade_column(x0 + (x1 - x0) * part, low, high, sign)

    def _shade_column(self, x: float, low: float, high: float, sign: str) -> None:
        if not 0.0 <= x <= 1.0 or high < 0.0 or low > 1.0:
            return
        column = round(x * (self.columns - 1))
        first, last = (round(min(1.0, max(0.0, y)) * (self.rows - 1)) for y in (low, high))
        for row in range(first, last + 1):
            self._under.setdefault((column, self.rows - 1 - row), sign)

    def line(self, along: str, part: float) -> None:
        """A line across, at a part of the way along x or y."""
        if not 0.0 <= part <= 1.0:
            return
        if along == "x":
            column = round(part * (self.columns - 1))
            for row in range(self.rows):
                self._under[column, row] = "┆" if self.fine else ":"
                self._upright.add((column, row))
        else:
            row = self.rows - 1 - round(part * (self.rows - 1))
            for column in range(self.columns):
                self._under[column, row] = "┄" if self.fine else "-"

    def word(self, column: int, row: int, text: str) -> None:
        """Write over whatever stands there; what leaves the canvas is left out."""
        for sign, cells in letters(text):
            if 0 <= row < self.rows and column >= 0 and column + cells <= self.columns:
                self._words[column, row] = sign
                for more in range(1, cells):
                    self._words[column + more, row] = ""
            column += cells

    def unwritten(self, cells: Iterable[tuple[int, int]]) -> bool:
        """Whether no word stands in any of these cells."""
        return not any(cell in self._words for cell in cells)

    def free(self, column: int, row: int, text: str) -> bool:
        """Whether a text would fit there and hide nothing but shading and a level line."""
        if not (0 <= row < self.rows and column >= 0 and column + width(text) <= self.columns):
            return False
        cells = [(column + n, row) for n in range(-1, width(text) + 1)]
        crossed = any((column + n, row) in self._upright for n in range(width(text)))
        return not crossed and not any(cell in self._words or cell in self._owners for cell in cells)

    def place(self, along: str, part: float, text: str) -> bool:
        """Name a line across, beside it, where that hides nothing; False where there is no such place."""
        if not 0.0 <= part <= 1.0 or not text:
            return False
        cells = width(text)
        if along == "x":
            column = round(part * (self.columns - 1))
            spots = [(c, r) for r in range(self.rows) for c in (column + 1, column - cells)]
        else:
            row = self.rows - 1 - round(part * (self.rows - 1))
            columns = (self.columns - cells, 1, (self.columns - cells) // 2)
            spots = [(c, r) for r in (row, row - 1, row + 1) for c in columns]
        for column, row in spots:
            if self.free(column, row, text):
                self.word(column, row, text)
                return True
        return False

    def cell(self, place: Place) -> tuple[int, int]:
        """The cell of a place."""
        return round(place[0] * (self.columns - 1)), self.rows - 1 - round(place[1] * (self.rows - 1))

    def lines(self) -> list[str]:
        """Row by row, blanks at the ends cut off."""
        return [
            "".join(self._at(column, row) for column in range(self.columns)).rstrip()
            for row in range(self.rows)
        ]

    def _at(self, column: int, row: int) -> str:
        cell = (column, row)
        if cell in self._words:
            return self._words[cell]
        if cell in self._dots:
            return chr(_BRAILLE + self._dots[cell])
        return self._under.get(cell, " ")


def _clipped(start: Place, end: Place) -> tuple[Place, Place] | None:
    """The part of a line that lies inside, by Liang and Barsky; None where none does, or it has no length."""
    (x0, y0), (x1, y1) = start, end
    if not isfinite(x1 - x0) or not isfinite(y1 - y0):
        return None
    enter, leave = 0.0, 1.0
    for delta, room in ((x0 - x1, x0), (x1 - x0, 1.0 - x0), (y0 - y1, y0), (y1 - y0, 1.0 - y0)):
        if delta == 0.0:
            if room < 0.0:
                return None
        elif delta < 0.0:
            enter = max(enter, room / delta)
        else:
            leave = min(leave, room / delta)
    if enter > leave:
        return None
    return (
        (x0 + enter * (x1 - x0), y0 + enter * (y1 - y0)),
        (x0 + leave * (x1 - x0), y0 + leave * (y1 - y0)),
    )
