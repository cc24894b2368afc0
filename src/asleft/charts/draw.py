"""A chart drawn in plain characters, never larger than the place it is given."""

from __future__ import annotations

from asleft.charts.cells import cut, plain, wrapped
from asleft.charts.chart import Chart, OneLine, Plot, Route
from asleft.charts.one_line import one_line
from asleft.charts.plotting import LEAST, key_height, key_lines, plot_lines
from asleft.charts.route_map import route_map

_AXES = 3
"""Lines of a plot that are no picture: names of the axes, the axis along the bottom and its figures."""
_ROOMY = 24
"""Lines from which a note may take three and a key four."""


def drawn(chart: Chart, width: int, height: int, *, ascii: bool = False) -> list[str]:
    """The chart in at most so many cells and lines: title, picture, key, and the note that says it in words.

    `ascii` draws with letters and the signs of a typewriter alone, so that any printer and pipe keeps it.
    Where there is no room for a picture, the note stands for it.
    """
    if width < 1 or height < 1:
        return []
    title = cut(plain(chart.title), width)
    told = _told(chart, width)
    if chart.empty:
        return [title, *told][:height]
    most = 3 if height >= _ROOMY else 2
    room = height - 1 - min(len(told), most)
    picture = _picture(chart, width, room, fine=not ascii)
    if picture is None:
        return [title, *told][:height]
    left = height - 1 - len(picture)
    return [title, *picture, *told[: max(0, left)]][:height]


def _told(chart: Chart, width: int) -> list[str]:
    """The note, and what is missing."""
    words = [chart.note] if chart.note else []
    if chart.missing:
        still = ", ".join(plain(label) for label in chart.missing)
        words.append(("Cannot be drawn yet. " if chart.empty else "") + f"Still to be entered: {still}.")
    return wrapped(" ".join(words), width)


def _picture(chart: Chart, width: int, height: int, *, fine: bool) -> list[str] | None:
    match chart.picture:
        case Plot() as plot:
            most = 4 if height >= _ROOMY else 2
            keys = min(most, key_height(plot, width, fine=fine), max(0, height - _AXES - LEAST[1]))
            found = plot_lines(plot, chart.system, width, height - keys, fine=fine)
            return None if found is None else [*found[0], *key_lines(plot, found[1], width, keys, fine=fine)]
        case OneLine() as line:
            return one_line(line, width, height, fine=fine)
        case Route() as route:
            return route_map(route, width, height, fine=fine)
