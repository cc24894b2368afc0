"""A plot drawn in cells: scales, curves with letters, bands, points with their uncertainty, and a key."""

from __future__ import annotations

from collections.abc import Iterator
from math import isfinite

from asleft.charts.canvas import Canvas, Place
from asleft.charts.cells import cut, plain, width
from asleft.charts.chart import Curve, Mark, Plot, Point, Points
from asleft.charts.scale import Scale

LEAST = (18, 4)
"""Columns and rows between the axes below which nothing can be read off."""
_ROWS_A_TICK, _COLUMNS_A_TICK = 3, 11


def plot_lines(
    plot: Plot, system: str, columns: int, rows: int, *, fine: bool
) -> tuple[list[str], list[Mark]] | None:
    """The plot with its axes in at most so many columns and rows; None where that is too small to read.

    With it the marks that found no place for their names.
    """
    xs, ys = _reach(plot)
    up = Scale.of(ys, plot.y.kind, system, max(3, (rows - 3) // _ROWS_A_TICK))
    margin = max(len(f"{tick:.10g}") for tick in up.ticks) + 1
    wide, high = columns - margin, rows - 3
    if wide < LEAST[0] or high < LEAST[1]:
        return None
    across = Scale.of(xs, plot.x.kind, system, max(2, wide // _COLUMNS_A_TICK), from_figure=False)
    canvas = Canvas(wide, high, fine=fine)
    unnamed = _Drawing(plot, across, up, canvas, fine=fine).draw()
    lines = [_named(plot, across, up, columns, fine=fine)]
    named = up.places(high)
    for n, line in enumerate(canvas.lines()):
        row = high - 1 - n
        edge = ("┤" if row in named else "│") if fine else ("+" if row in named else "|")
        lines.append(f"{named.get(row, ''):>{margin - 1}}{edge}{line}".rstrip())
    lines.append(f"{'':{margin - 1}}{_axis(plot, across, wide, fine=fine)}")
    lines.append(cut(_figures(plot, across, wide, margin), columns))
    return lines, unnamed


def key_height(plot: Plot, columns: int, *, fine: bool) -> int:
    """How many lines the key takes at most."""
    curves, others = _key(plot, list(plot.marks), fine=fine)
    return len(_wrapped([*curves, *others], columns))


def key_lines(plot: Plot, unnamed: list[Mark], columns: int, rows: int, *, fine: bool) -> list[str]:
    """A key in at most so many lines: every curve, its name cut short where need be, and what else fits."""
    curves, others = _key(plot, unnamed, fine=fine)
    for part in (1, 2, 3, 4):
        longest = (columns - 3 * (part - 1)) // part
        lines = _wrapped(curves, columns, longest)
        if len(lines) <= rows:
            break
    kept = [cut(item, longest) for item in curves]
    for item in others:
        if len(_wrapped([*kept, item], columns)) <= rows:
            kept.append(item)
    return _wrapped(kept, columns)[:rows]


def _wrapped(items: list[str], columns: int, longest: int | None = None) -> list[str]:
    """Items of a key in lines, none broken unless it is longer than a line."""
    lines: list[str] = []
    for item in items:
        item = cut(item, columns if longest is None else longest)
        if lines and width(lines[-1]) + 3 + width(item) <= columns:
            lines[-1] += "   " + item
        else:
            lines.append(item)
    return lines


def _reach(plot: Plot) -> tuple[list[float], list[float]]:
    """Every x and every y that the picture must hold."""
    places = [p for c in plot.curves if c.scales for p in c.points if p is not None]
    places = places or [p for c in plot.curves for p in c.points if p is not None]
    places += [(p.x, p.y) for p in plot.points]
    xs = [x for x, _ in places] + [m.at for m in plot.marks if m.along == "x"]
    ys = [y for _, y in places] + [m.at for m in plot.marks if m.along == "y"]
    return [x for x in xs if isfinite(x)] or [0.0], [y for y in ys if isfinite(y)] or [0.0]


def _named(plot: Plot, across: Scale, up: Scale, columns: int, *, fine: bool) -> str:
    """What runs upwards and what to the right, with their units, as far as it fits."""
    signs = "↑→" if fine else "^>"
    words = [
        f"{sign} {plain(axis.label)}" + (f", {scale.unit}" if scale.unit else "")
        for sign, axis, scale in zip(signs, (plot.y, plot.x), (up, across), strict=True)
    ]
    room = columns - sum(map(width, words))
    if room < 2:
        words = [f"{sign} {scale.unit}" for sign, scale in zip(signs, (up, across), strict=True)]
        room = columns - sum(map(width, words))
    return cut(words[0] + " " * max(1, room) + words[1], columns)


def _axis(plot: Plot, scale: Scale, wide: int, *, fine: bool) -> str:
    """The line under the plot, thick where a span has its name."""
    line, thick, tick = ("─", "━", "┴┷") if fine else ("-", "=", "++")
    cells = [line] * wide
    for span in plot.spans:
        if span.along == "x":
            low, high = (min(1.0, max(0.0, scale.part(at))) for at in (span.low, span.high))
            for column in range(round(low * (wide - 1)), round(high * (wide - 1)) + 1):
                cells[column] = thick
    for column in scale.places(wide):
        cells[column] = tick[cells[column] == thick]
    return ("└" if fine else "+") + "".join(cells)


def _figures(plot: Plot, scale: Scale, wide: int, margin: int) -> str:
    line = [" "] * (margin + wide)
    for column, text in scale.places(wide).items():
        start = min(max(0, margin + column - len(text) // 2), len(line) - len(text))
        if start >= 0 and all(sign == " " for sign in line[max(0, start - 1) : start + len(text)]):
            line[start : start + len(text)] = text
    return "".join(line).rstrip()


def _key(plot: Plot, unnamed: list[Mark], *, fine: bool) -> tuple[list[str], list[str]]:
    """What every sign in the picture means: the curves, then the rest, what matters most first."""
    thick, upright, level, shade = ("━", "┆", "┄", "░") if fine else ("=", ":", "-", ".")
    curves = [f"{curve.mark} {plain(curve.name)}" for curve in plot.curves]
    points = [(point.matters, f"({point.mark}) {plain(point.name)}") for point in plot.points]
    items = [item for matters, item in points if matters]
    for mark in plot.marks:
        sign, more = upright if mark.along == "x" else level, f": {plain(mark.words)}" if mark.words else ""
        if more or mark in unnamed:
            items.append(f"{sign} {plain(mark.name)}{more}")
    items += [f"{shade} {curve.mark} ± U (k = 2)" for curve in plot.curves if curve.band is not None]
    items += [f"{thick} {plain(span.name)}" for span in plot.spans]
    if any(p and c.highest is not None and p[1] > c.highest for c in plot.curves for p in c.points):
        items.append("small letters: beyond the highest allowed")
    return curves, items + [item for matters, item in points if not matters]


class _Drawing:
    """One plot on one canvas."""

    def __init__(self, plot: Plot, across: Scale, up: Scale, canvas: Canvas, *, fine: bool) -> None:
        self.plot, self.across, self.up, self.canvas, self.fine = plot, across, up, canvas, fine

    def at(self, x: float, y: float) -> Place:
        """Where a point stands in the picture."""
        return self.across.part(x), self.up.part(y)

    def draw(self) -> list[Mark]:
        """Draw everything; the marks that found no place for their name are given back."""
        for curve in self.plot.curves:
            if curve.band is not None:
                self.canvas.shade(*(self._places(side) for side in curve.band))
        for mark in self.plot.marks:
            self.canvas.line(mark.along, self._part(mark))
        for curve in self.plot.curves:
            self.canvas.trace(curve.mark, list(self._way(curve)), curve.dash)
        first = sorted(self.plot.points, key=lambda point: not point.matters)
        for point in first:
            self._point(point)
        for point in first:
            self._uncertain(point)
        unnamed = [m for m in self.plot.marks if not self.canvas.place(m.along, self._part(m), plain(m.name))]
        self.canvas.letter()
        return unnamed

    def _part(self, mark: Mark) -> float:
        return (self.across if mark.along == "x" else self.up).part(mark.at)

    def _places(self, points: Points) -> list[Place | None]:
        return [None if point is None else self.at(*point) for point in points]

    def _way(self, curve: Curve) -> Iterator[tuple[Place, bool] | None]:
        """The places of a curve, parted where it may be used no further."""
        before: tuple[float, float] | None = None
        for point in curve.points:
            if point is None or not (isfinite(point[0]) and isfinite(point[1])):
                before = None
                yield None
                continue
            top = curve.highest
            if before is not None and top is not None and (before[1] - top) * (point[1] - top) < 0.0:
                part = (top - before[1]) / (point[1] - before[1])
                yield self.at(before[0] + part * (point[0] - before[0]), top), True
            yield self.at(*point), top is None or point[1] <= top * (1 + 1e-9)
            before = point

    def _uncertain(self, point: Point) -> None:
        """The bars of a point's uncertainty, where they are longer than its mark."""
        column, row = self.canvas.cell(self.at(point.x, point.y))
        level, ends, upright = ("─", "├┤", "│") if self.fine else ("-", "||", "|")
        if point.x_expanded > 0.0 and 0 <= row < self.canvas.rows:
            low, _ = self.canvas.cell(self.at(point.x - point.x_expanded, point.y))
            high, _ = self.canvas.cell(self.at(point.x + point.x_expanded, point.y))
            half = (width(point.mark) + 2) // 2
            sides = [
                *range(max(0, low), column - half),
                *range(column + half + 1, min(self.canvas.columns - 1, high) + 1),
            ]
            if high - low > 2 * half + 2 and self.canvas.unwritten((at, row) for at in sides):
                for at in sides:
                    self.canvas.word(at, row, ends[0] if at == low else ends[1] if at == high else level)
        if point.y_expanded > 0.0 and 0 <= column < self.canvas.columns:
            _, bottom = self.canvas.cell(self.at(point.x, point.y - point.y_expanded))
            _, top = self.canvas.cell(self.at(point.x, point.y + point.y_expanded))
            sides = [at for at in range(max(0, top), min(self.canvas.rows - 1, bottom) + 1) if at != row]
            if bottom - top > 1 and self.canvas.unwritten((column, at) for at in sides):
                for at in sides:
                    self.canvas.word(column, at, upright)

    def _point(self, point: Point) -> None:
        place = self.at(point.x, point.y)
        if not (0.0 <= place[0] <= 1.0 and 0.0 <= place[1] <= 1.0):
            return
        column, row = self.canvas.cell(place)
        for text in (f"({point.mark})", point.mark):
            start = min(max(0, column - width(text) // 2), max(0, self.canvas.columns - width(text)))
            if self.canvas.unwritten((start + n, row) for n in range(width(text))):
                self.canvas.word(start, row, text)
                return
