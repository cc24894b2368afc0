"""The ways of curves: their pieces, places along them, and how much a picture must hold."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from math import hypot, isfinite

from asleft.charts.chart import Curve, Plot

Place = tuple[float, float]
_TRIES = 16
"""Places along a way that are tried."""


def sound(place: Place) -> bool:
    return isfinite(place[0]) and isfinite(place[1])


def far(one: Place, other: Place) -> float:
    return hypot(one[0] - other[0], one[1] - other[1])


def spread(path: list[Place]) -> Iterator[Place]:
    """Places at even distances along a path."""
    lengths = [far(a, b) for a, b in pairwise(path)]
    whole = sum(lengths)
    for n in range(1, _TRIES):
        left = whole * n / _TRIES
        for (x1, y1), (x2, y2), length in zip(path, path[1:], lengths, strict=False):
            if left <= length and length > 0.0:
                part = left / length
                yield round(x1 + part * (x2 - x1), 2), round(y1 + part * (y2 - y1), 2)
                break
            left -= length


def ways(curve: Curve) -> Iterator[tuple[list[Place], bool]]:
    """A curve in pieces without gaps, parted where it crosses the highest that is allowed."""
    piece: list[Place] = []
    allowed, top = True, curve.highest
    for point in (*curve.points, None):
        if point is None or not sound(point):
            if len(piece) > 1:
                yield piece, allowed
            piece = []
            continue
        here = top is None or point[1] <= top * (1 + 1e-9)
        if piece and here is not allowed and top is not None:
            (x, y), (x2, y2) = piece[-1], point
            crossing = (x + (top - y) / (y2 - y) * (x2 - x), top)
            yield [*piece, crossing], allowed
            piece = [crossing]
        allowed = here
        piece.append(point)


def reach(plot: Plot) -> tuple[list[float], list[float]]:
    """Every x and every y that the picture must hold."""
    places = [p for c in plot.curves if c.scales for p in c.points if p is not None]
    places = places or [p for c in plot.curves for p in c.points if p is not None]
    places += [(p.x, p.y) for p in plot.points]
    xs = [x for x, _ in places] + [m.at for m in plot.marks if m.along == "x"]
    ys = [y for _, y in places] + [m.at for m in plot.marks if m.along == "y"]
    return [x for x in xs if isfinite(x)] or [0.0], [y for y in ys if isfinite(y)] or [0.0]
