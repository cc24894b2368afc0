"""A plot as SVG that needs no colour: letters and dashes tell curves apart, boxed letters name lines."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from math import hypot
from typing import NamedTuple

from asleft.charts.chart import Curve, Mark, Plot, Point
from asleft.charts.scale import Scale
from asleft.review.report.elements import TEXT, Tag, line, tag, words
from asleft.review.report.ways import Place, far, reach, sound, spread, ways

WIDE, HIGH = 440.0, 340.0
"""The picture's own units; a telephone shows them nearly one to one."""
_LEFT, _RIGHT, _TOP, _BOTTOM = 56.0, 14.0, 48.0, 44.0
_DASHES = {"solid": "", "dashed": "9 5", "dash-dot": "12 4 2 4", "dotted": "2 4"}
_LETTERS = "abcdefghijklmnopqrstuvwxyz"
_BOX = 17.0

Say = Callable[[str], str]


class Keyed(NamedTuple):
    """One line of the key: the sign in the picture, what kind of sign it is, and what it means."""

    sign: str
    how: str
    name: str


def keys(plot: Plot) -> Iterator[Keyed]:
    """What every sign in a picture means, in words that need no picture."""
    for curve in plot.curves:
        yield Keyed(curve.mark, f"{curve.dash} line", curve.name)
    if any(p and c.highest is not None and p[1] > c.highest for c in plot.curves for p in c.points):
        yield Keyed("", "thin line", "beyond the highest allowed")
    for point in plot.points:
        yield Keyed(point.mark, "circle", point.name)
    for sign, mark in zip(_LETTERS, plot.marks, strict=False):
        way = "upright line" if mark.along == "x" else "level line"
        yield Keyed(sign, way, f"{mark.name}: {mark.words}" if mark.words else mark.name)
    for span in plot.spans:
        yield Keyed("", "shaded strip", span.name)
    if any(curve.band for curve in plot.curves):
        yield Keyed("", "shaded along a curve", "its U (k = 2)")
    if any(point.x_expanded or point.y_expanded for point in plot.points):
        yield Keyed("", "bars at a circle", "its U (k = 2)")


def as_svg(plot: Plot, system: str, id: str, title: str, described: str, say: Say) -> str:
    """The picture; `say` makes text harmless. It has a title and a description for who cannot see it."""
    return tag(
        "svg",
        tag("title", say(title), id=f"{id}-title"),
        tag("desc", say(described), id=f"{id}-desc"),
        *_Drawing(plot, system, say).parts(id),
        role="img",
        aria_labelledby=f"{id}-title {id}-desc",
        viewBox=f"0 0 {WIDE:g} {HIGH:g}",
        font_size=f"{TEXT:g}",
        font_family="sans-serif",
        stroke_linejoin="round",
    )


class _Drawing:
    """One plot between its axes."""

    def __init__(self, plot: Plot, system: str, say: Say) -> None:
        self.plot, self.say = plot, say
        xs, ys = reach(plot)
        self.across = Scale.of(xs, plot.x.kind, system, 5, from_figure=False)
        self.up = Scale.of(ys, plot.y.kind, system, 6)
        self.wide, self.high = WIDE - _LEFT - _RIGHT, HIGH - _TOP - _BOTTOM
        self.taken: list[Place] = []

    def at(self, x: float, y: float) -> Place:
        """Where a point stands in the picture, in its own units."""
        return round(self.x(x), 2), round(self.y(y), 2)

    def x(self, value: float) -> float:
        return _LEFT + self.across.part(value) * self.wide

    def y(self, value: float) -> float:
        return _TOP + (1.0 - self.up.part(value)) * self.high

    def parts(self, id: str) -> Iterator[Tag]:
        """Everything, what lies lowest first."""
        frame: dict[str, object] = {"x": _LEFT, "y": _TOP, "width": self.wide, "height": self.high}
        yield tag("clipPath", tag("rect", **frame), id=f"{id}-clip")
        yield from self._spans()
        yield from self._grid()
        inside = [*self._bands(), *self._marks(), *(p for c in self.plot.curves for p in self._curve(c))]
        yield tag("g", *inside, clip_path=f"url(#{id}-clip)")
        yield tag("rect", fill="none", stroke="#000", stroke_width=1.2, **frame)
        yield from self._boxes()
        points = sorted(self.plot.points, key=lambda point: point.matters)
        self.taken += [self.at(point.x, point.y) for point in points]
        for point in points:
            yield from self._point(point)
        for curve in self.plot.curves:
            yield from self._letter(curve)
        yield from self._named()

    def _spans(self) -> Iterator[Tag]:
        for span in self.plot.spans:
            along = (self.across if span.along == "x" else self.up).part
            low, high = (min(1.0, max(0.0, along(end))) for end in (span.low, span.high))
            if span.along == "x":
                box = (_LEFT + low * self.wide, _TOP, (high - low) * self.wide, self.high)
            else:
                box = (_LEFT, _TOP + (1.0 - high) * self.high, self.wide, (high - low) * self.high)
            x, y, width, height = (round(side, 2) for side in box)
            yield tag("rect", x=x, y=y, width=width, height=height, fill="#e6e6e6")

    def _grid(self) -> Iterator[Tag]:
        for tick in self.across.ticks:
            x = round(_LEFT + (tick - self.across.low) / (self.across.high - self.across.low) * self.wide, 2)
            yield line(x, _TOP, x, _TOP + self.high, 0.6, stroke="#bbb")
            yield words(f"{tick:.10g}", x, _TOP + self.high + 18.0, "middle")
        for tick in self.up.ticks:
            part = (tick - self.up.low) / (self.up.high - self.up.low)
            y = round(_TOP + (1.0 - part) * self.high, 2)
            yield line(_LEFT, y, _LEFT + self.wide, y, 0.6, stroke="#bbb")
            yield words(f"{tick:.10g}", _LEFT - 6.0, y + 5.0, "end")

    def _bands(self) -> Iterator[Tag]:
        """The strip in which a curve lies for certain, between the places that both its sides have."""
        for curve in self.plot.curves:
            if curve.band is None:
                continue
            low, high = ([self.at(*p) for p in side if p and sound(p)] for side in curve.band)
            if low and high:
                around = " ".join(f"{x:g},{y:g}" for x, y in [*low, *reversed(high)])
                yield tag("polygon", points=around, fill="#000", fill_opacity=0.1)

    def _marks(self) -> Iterator[Tag]:
        for mark in self.plot.marks:
            ends = (
                (self.x(mark.at), _TOP, self.x(mark.at), _TOP + self.high)
                if mark.along == "x"
                else (_LEFT, self.y(mark.at), _LEFT + self.wide, self.y(mark.at))
            )
            x1, y1, x2, y2 = (round(end, 2) for end in ends)
            yield line(x1, y1, x2, y2, 1.1, stroke="#000", stroke_dasharray="3 3")

    def _curve(self, curve: Curve) -> Iterator[Tag]:
        """A curve, thin where it may be used no further."""
        for way, allowed in ways(curve):
            line = " ".join(f"{x:g},{y:g}" for x, y in (self.at(*place) for place in way))
            yield tag(
                "polyline",
                points=line,
                fill="none",
                stroke="#000",
                stroke_width=2.2 if allowed else 0.9,
                stroke_dasharray=_DASHES[curve.dash],
            )

    def _boxes(self) -> Iterator[Tag]:
        """The letter of each line, boxed: above the picture for upright ones, at its right for level ones."""
        free: dict[int, float] = {}
        for sign, mark in sorted(zip(_LETTERS, self.plot.marks, strict=False), key=lambda m: m[1].at):
            x, y = self._box_of(mark)
            if mark.along == "x":
                row = next(n for n in range(len(_LETTERS)) if x - free.get(n, -_BOX) >= _BOX + 1.0)
                free[row] = x
                y += row * (_BOX + 1.0)
            if 0.0 <= (self.across if mark.along == "x" else self.up).part(mark.at) <= 1.0:
                self.taken.append((x, y))
                yield tag(
                    "rect",
                    x=round(x - _BOX / 2, 2),
                    y=round(y - _BOX / 2, 2),
                    width=_BOX,
                    height=_BOX,
                    fill="#fff",
                    stroke="#000",
                )
                yield words(sign, x, y + 5.0, "middle")

    def _box_of(self, mark: Mark) -> Place:
        if mark.along == "x":
            return self.x(mark.at), _TOP + _BOX / 2
        return _LEFT + self.wide - _BOX, self.y(mark.at)

    def _point(self, point: Point) -> Iterator[Tag]:
        """A letter in a circle with bars as long as its uncertainty; a thick circle for what matters."""
        if not sound((point.x, point.y)):
            return
        x, y = self.at(point.x, point.y)
        left, low = self.at(point.x - point.x_expanded, point.y - point.y_expanded)
        right, high = self.at(point.x + point.x_expanded, point.y + point.y_expanded)
        for x1, y1, x2, y2 in ((left, y, right, y), (x, low, x, high)):
            if hypot(x2 - x1, y2 - y1) > 1.0:
                across, along = (0.0, 4.0) if y1 == y2 else (4.0, 0.0)
                yield line(x1, y1, x2, y2, 1.4, stroke="#000")
                for ex, ey in ((x1, y1), (x2, y2)):
                    yield line(ex - across, ey - along, ex + across, ey + along, 1.4, stroke="#000")
        width = 2.4 if point.matters else 1.1
        yield tag("circle", cx=x, cy=y, r=9.0, fill="#fff", stroke="#000", stroke_width=width)
        yield words(self.say(point.mark), x, y + 5.0, "middle", weight="bold", size=13.0)

    def _letter(self, curve: Curve) -> Iterator[Tag]:
        """A curve's letter on it, where it stands farthest from all other signs."""
        path = [self.at(*p) for way, _ in ways(curve) for p in way]
        seen = [(x, y) for x, y in spread(path) if self._inside(x, y)]
        if not seen:
            return
        x, y = max(seen, key=lambda place: min((far(place, other) for other in self.taken), default=0.0))
        self.taken.append((x, y))
        yield words(self.say(curve.mark), x, y + 5.5, "middle", weight="bold", size=16.0, halo=True)

    def _inside(self, x: float, y: float) -> bool:
        return _LEFT + 8 <= x <= _LEFT + self.wide - 8 and _TOP + 9 <= y <= _TOP + self.high - 7

    def _named(self) -> Iterator[Tag]:
        plot = self.plot
        for axis, scale, x, y, anchor in (
            (plot.y, self.up, 4.0, 17.0, "start"),
            (plot.x, self.across, WIDE - 4.0, HIGH - 6.0, "end"),
        ):
            arrow = "↑" if axis is plot.y else "→"
            name = self.say(axis.label) + (f", {scale.unit}" if scale.unit else "")
            yield words(f"{arrow} {name}", x, y, anchor)
