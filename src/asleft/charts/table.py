"""A chart as rows of plain text, for a pipe, a printer and whoever has pictures read aloud."""

from __future__ import annotations

from typing import NamedTuple

from asleft.charts.cells import padded, plain, width, wrapped
from asleft.charts.chart import Amount, Cell, Chart
from asleft.charts.words import bare, shown
from asleft.quantity import unit_of

WIDTH = 100
_GAP = "  "


class _Column(NamedTuple):
    """A head and what stands under it; words may be broken into lines, figures may not."""

    head: str
    cells: tuple[str, ...]
    figures: bool

    @property
    def narrowest(self) -> int:
        """The cells that the longest thing takes that cannot be broken."""
        words = [word for text in (self.head, *(() if self.figures else self.cells)) for word in text.split()]
        return max((width(text) for text in (*words, *(self.cells if self.figures else ()))), default=0)

    @property
    def widest(self) -> int:
        """The cells that it takes with nothing broken."""
        return max(map(width, (self.head, *self.cells)))


def as_table(chart: Chart, most: int = WIDTH) -> list[str]:
    """Title, note, rows, facts and what is missing, in lines of at most so many cells."""
    most = max(1, most)
    return [*wrapped(chart.title, most), *wrapped(chart.note, most), *table_lines(chart, most)]


def table_lines(chart: Chart, most: int = WIDTH) -> list[str]:
    """Rows, facts and what is missing. A table too wide is written a row at a time, all with their names."""
    most = max(1, most)
    lines = (_aligned(chart, most) or _one_by_one(chart, most)) if chart.table.rows else []
    for name, cell in chart.table.facts:
        lines += wrapped(f"{name}: {shown(cell, chart.system)}", most)
    if chart.missing:
        lines += wrapped(f"Still to be entered: {', '.join(chart.missing)}.", most)
    return lines


def _aligned(chart: Chart, most: int) -> list[str]:
    """Columns under their heads; nothing where they would be too wide even with every text broken."""
    columns = [
        column
        for head, cells in zip(chart.table.heads, zip(*chart.table.rows, strict=True), strict=True)
        if any((column := _column(head, cells, chart.system)).cells)
    ]
    if not columns:
        return []
    room = most - len(_GAP) * (len(columns) - 1)
    widths = [column.widest for column in columns]
    if sum(widths) > room:
        least = [column.narrowest for column in columns]
        if sum(least) > room:
            return []
        widths = [low if c.figures else size for c, low, size in zip(columns, least, widths, strict=True)]
        while sum(widths) > room:
            spare = [size - low for size, low in zip(widths, least, strict=True)]
            widths[spare.index(max(spare))] -= 1
    lines = _broken([column.head for column in columns], widths)
    for row in zip(*(column.cells for column in columns), strict=True):
        lines += _broken(list(row), widths)
    return lines


def _column(head: str, cells: tuple[Cell, ...], system: str) -> _Column:
    """A column; the unit stands in the head where everything under it is an amount of one kind."""
    kinds = {cell.kind for cell in cells if isinstance(cell, Amount)}
    if len(kinds) == 1 and not any(isinstance(cell, str) for cell in cells):
        unit = unit_of(kinds.pop(), system)
        words = tuple(bare(cell, system) if isinstance(cell, Amount) else "" for cell in cells)
        return _Column(f"{head}, {unit}" if unit else head, words, True)
    texts = tuple(plain(shown(cell, system)) for cell in cells)
    return _Column(plain(head), texts if any(texts) else (), bool(kinds))


def _broken(row: list[str], widths: list[int]) -> list[str]:
    """A row, its texts broken to the widths of their columns."""
    parts = [
        wrapped(text, size) if width(text) > size else [text] for text, size in zip(row, widths, strict=True)
    ]
    high = max(map(len, parts))
    filled = ([*part, *[""] * (high - len(part))] for part in parts)
    return [_GAP.join(map(padded, line, widths)).rstrip() for line in zip(*filled, strict=True)]


def _one_by_one(chart: Chart, most: int) -> list[str]:
    """A row a paragraph, each figure behind its name, what follows the first line indented."""
    lines: list[str] = []
    indent = "  " if most >= 10 else ""
    for row in chart.table.rows:
        cells = ((head, shown(cell, chart.system)) for head, cell in zip(chart.table.heads, row, strict=True))
        text = "; ".join(f"{head} {words}".strip() for head, words in cells if words)
        first, *more = wrapped(text, most) or [""]
        lines.append(first)
        lines += [f"{indent}{line}" for line in wrapped(" ".join(more), most - len(indent))]
    return lines
