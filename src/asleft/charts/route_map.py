"""A route drawn as boxes in the order in which they are gone to."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator

from asleft.charts.cells import cut, padded, plain, width
from asleft.charts.chart import Doing, Route, Stop

LEAST = (24, 5)
SIGNS = {"done": "✓", "open": "▸", "waits": "·", "failed": "✗"}
PLAIN_SIGNS = {"done": "x", "open": ">", "waits": ".", "failed": "!"}
_NARROWEST, _WIDEST = 20, 44
_ARROW = 4

Detail = Callable[[Stop, bool], list[str]]


def route_map(route: Route, columns: int, rows: int, *, fine: bool) -> list[str] | None:
    """The boxes in at most so many columns and rows, with less in them where it is low; None if too small."""
    if columns < LEAST[0] or rows < LEAST[1]:
        return None
    key = cut(_key(fine=fine), columns)
    for detail in (_every, _pending, _here, _counted):
        lines = list(_rows(route, columns, detail, fine=fine))
        if len(lines) < rows:
            return [*lines, key]
    return [*_window(route, lines, columns, rows - 1), key]


def _key(*, fine: bool) -> str:
    signs = SIGNS if fine else PLAIN_SIGNS
    return "   ".join(f"{sign} {state}" for state, sign in signs.items())


def _window(route: Route, lines: list[str], columns: int, rows: int) -> list[str]:
    """The part of the picture round the stop where the work goes on; what is left out is said."""
    at = next((n for n, line in enumerate(lines) if " next" in line), 0)
    first = max(0, min(at - rows // 3, len(lines) - rows))
    part = lines[first : first + rows]
    if first:
        part[0] = cut(f"{first + 1} lines above: see the table", columns)
    if first + rows < len(lines):
        part[-1] = cut(f"{len(lines) - first - rows + 1} lines below: see the table", columns)
    return part


# ---- what stands in a box


def _line(doing: Doing, *, fine: bool) -> str:
    return f"{(SIGNS if fine else PLAIN_SIGNS)[doing.state]} {plain(doing.text)}"


def _every(stop: Stop, fine: bool) -> list[str]:
    return [_line(doing, fine=fine) for doing in stop.doings]


def _pending(stop: Stop, fine: bool) -> list[str]:
    """What is not done in full, the rest as a count."""
    done = sum(doing.state == "done" for doing in stop.doings)
    lines = [_line(doing, fine=fine) for doing in stop.doings if doing.state != "done"]
    sign = (SIGNS if fine else PLAIN_SIGNS)["done"]
    return [f"{sign} {done} done", *lines] if done > 1 else _every(stop, fine)


def _here(stop: Stop, fine: bool) -> list[str]:
    """What is not done where the work goes on, counts everywhere else."""
    return _pending(stop, fine) if stop.here else _counted(stop, fine)


def _counted(stop: Stop, fine: bool) -> list[str]:
    """How many of each act are done."""
    signs = SIGNS if fine else PLAIN_SIGNS
    of = Counter(doing.short for doing in stop.doings)
    done = Counter(doing.short for doing in stop.doings if doing.state == "done")
    failed = {doing.short for doing in stop.doings if doing.state == "failed"}
    lines = []
    for short, count in of.items():
        state = "failed" if short in failed else "done" if done[short] == count else "open"
        many = f"{short} {done[short]} of {count}" if count > 1 else short
        lines.append(f"{signs[state]} {many}")
    return lines


# ---- boxes


def _rows(route: Route, columns: int, detail: Detail, *, fine: bool) -> Iterator[str]:
    """Boxes side by side as many as fit, row under row, each with an arrow to the next."""
    row: list[list[str]] = []
    for n, stop in enumerate(route.stops, 1):
        box = _box(n, stop, detail(stop, fine), min(_WIDEST, columns), fine=fine)
        if row and sum(width(b[0]) + _ARROW for b in row) + width(box[0]) > columns:
            yield from _joined(row, columns, fine=fine, more=True)
            row = []
        row.append(box)
    if row:
        yield from _joined(row, columns, fine=fine, more=False)


def _box(n: int, stop: Stop, lines: list[str], most: int, *, fine: bool) -> list[str]:
    name = f"{n} {plain(stop.name)}" + (" next" if stop.here else "")
    inner = min(most - 4, max(_NARROWEST - 4, width(name), *(width(line) for line in lines)))
    name = cut(name, inner)
    if stop.here and not name.endswith("next"):
        name = cut(f"{n} {plain(stop.name)}", inner - 5) + " next"
    corners, level, upright = ("┌┐└┘", "─", "│") if fine else ("++++", "-", "|")
    if fine and (stop.here or stop.cut):
        corners, level, upright = ("╔╗╚╝", "═", "║") if stop.here else ("┏┓┗┛", "━", "┃")
    elif stop.here or stop.cut:
        level = "=" if stop.here else "#"
    top = f"{corners[0]} {name} {level * (inner - width(name))}{corners[1]}"
    body = [f"{upright} {padded(line, inner)} {upright}" for line in lines]
    return [top, *body, f"{corners[2]}{level * (inner + 2)}{corners[3]}"]


def _joined(row: list[list[str]], columns: int, *, fine: bool, more: bool) -> Iterator[str]:
    """The lines of boxes side by side, an arrow between them, and the begin of one where more follow."""
    arrow = "──▶ " if fine else "--> "
    high = max(map(len, row))
    for n in range(high):
        parts = []
        for place, box in enumerate(row):
            wide = width(box[0])
            parts.append(box[n] if n < len(box) else " " * wide)
            if place < len(row) - 1:
                parts.append(arrow if n == 1 else " " * _ARROW)
            elif more and n == 1:
                parts.append(arrow[: min(2, columns - sum(map(width, parts)))])
        yield "".join(parts).rstrip()
