"""The fan tables of all tiers in one plot of plain characters.

A chart library for the terminal would be one more dependency, slower to import than the rest of the command,
and would tell curves apart by colour alone; this needs no colour, survives a pipe, a printer and a screen
reader that spells characters, and can show what matters here: a letter a tier, capital where the tier may
work, small beyond its highest static, a gap where the maker left a cell blank.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import ceil, floor, log10

CROSSING = "*"
"""Where two curves fall on one place."""

_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
_ROWS = 16
_COLUMNS = 61
_FLAT = 1e-3
"""The least part of itself by which a figure is taken to vary: a flat line gets an axis round it."""
_STEPS = (1.0, 2.0, 2.5, 5.0, 10.0)


@dataclass(frozen=True, slots=True)
class Curve:
    """One curve: its name, its points with x increasing (y None where blank), the last x it may work at."""

    name: str
    points: tuple[tuple[float, float | None], ...]
    last: float | None = None

    def at(self, x: float) -> float | None:
        """The y at an x between two points that are both known, on the straight line between them."""
        for (x0, y0), (x1, y1) in pairwise(self.points):
            if x0 <= x <= x1 and y0 is not None and y1 is not None:
                return y0 + (y1 - y0) * (x - x0) / (x1 - x0)
        return None


def letters(count: int) -> list[str]:
    """A letter a curve; after Z they begin again."""
    return [_LETTERS[n % len(_LETTERS)] for n in range(count)]


def chart(curves: Sequence[Curve], x_label: str, y_label: str) -> Iterator[str]:
    """The lines of a plot: y up, x to the right, both in the units of the points. Nothing without a point."""
    xs = [x for curve in curves for x, y in curve.points if y is not None]
    ys = [y for curve in curves for _, y in curve.points if y is not None]
    if not xs:
        return
    x_ticks, y_ticks = _ticks(min(xs), max(xs), 6), _ticks(min(ys), max(ys), 5)
    grid = _drawn(curves, (x_ticks[0], x_ticks[-1]), (y_ticks[0], y_ticks[-1]))
    rows = {_place(tick, y_ticks[0], y_ticks[-1], _ROWS): f"{tick:g}" for tick in y_ticks}
    margin = max(map(len, rows.values()))
    yield y_label
    for row in reversed(range(_ROWS)):
        edge = "┤" if row in rows else "│"
        yield f"{rows.get(row, ''):>{margin}} {edge}{''.join(grid[row])}".rstrip()
    yield f"{'':{margin}} └{_axis(x_ticks)}"
    yield f"{'':{margin}}  {_numbers(x_ticks)} {x_label}"


def _drawn(curves: Sequence[Curve], xs: tuple[float, float], ys: tuple[float, float]) -> list[list[str]]:
    grid = [[" "] * _COLUMNS for _ in range(_ROWS)]
    for letter, curve in zip(letters(len(curves)), curves, strict=True):
        for column in range(_COLUMNS):
            x = xs[0] + (xs[1] - xs[0]) * column / (_COLUMNS - 1)
            y = curve.at(x)
            if y is None:
                continue
            row = grid[_place(y, *ys, _ROWS)]
            inside = curve.last is None or x <= curve.last * (1 + 1e-9)
            row[column] = CROSSING if row[column] != " " else letter if inside else letter.lower()
    return grid


def _place(value: float, low: float, high: float, count: int) -> int:
    return round((value - low) / (high - low) * (count - 1))


def _ticks(low: float, high: float, most: int) -> list[float]:
    """Round figures from at or below the lowest to at or above the highest, at most so many steps apart."""
    whole = max(abs(low), abs(high), _FLAT)
    spread = max(high - low, _FLAT * whole)
    power = 10.0 ** floor(log10(spread / most))
    step = next(power * size for size in _STEPS if power * size >= spread / most * (1 - 1e-9))
    first = floor(low / step + 1e-9)
    last = max(first + 1, ceil(high / step - 1e-9))
    return [n * step for n in range(first, last + 1)]


def _axis(ticks: list[float]) -> str:
    marks = {_place(tick, ticks[0], ticks[-1], _COLUMNS) for tick in ticks}
    return "".join("┴" if column in marks else "─" for column in range(_COLUMNS))


def _numbers(ticks: list[float]) -> str:
    line = [" "] * (_COLUMNS + 4)
    for tick in ticks:
        text = f"{tick:.4g}"
        start = max(0, _place(tick, ticks[0], ticks[-1], _COLUMNS) - len(text) // 2)
        line[start : start + len(text)] = text
    return "".join(line).rstrip()
