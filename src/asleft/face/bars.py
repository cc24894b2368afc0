"""A limit drawn as a bar: brackets at the limits, the reading and its uncertainty between them."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Gauge:
    """A reading with its expanded uncertainty, and the limits that it is held against."""

    value: float
    expanded: float
    lower: float | None
    upper: float | None

    def drawn(self, width: int) -> str:
        """As a bar of this many cells."""
        return bar(self.value, self.expanded, self.lower, self.upper, width)


def bar(value: float, expanded: float, lower: float | None, upper: float | None, width: int) -> str:
    """`  [ ─•─    ]` in exactly `width` characters; an open side has no bracket. Empty without limits.

    A reading beyond the drawn part stands at its end as an arrow.
    """
    if width < 8 or (lower is None and upper is None):
        return ""
    low, high = _span(value, expanded, lower, upper)
    cells = [" "] * width

    def cell(at: float) -> int:
        return round((at - low) / (high - low) * (width - 1))

    for at in range(max(cell(value - expanded), 0), min(cell(value + expanded), width - 1) + 1):
        cells[at] = "─"
    if lower is not None:
        cells[cell(lower)] = "["
    if upper is not None:
        cells[cell(upper)] = "]"
    place = cell(value)
    if place < 0:
        cells[0] = "«"
    elif place >= width:
        cells[-1] = "»"
    else:
        cells[_beside(place, value, lower, upper, cells)] = "•"
    return "".join(cells)


def _beside(place: int, value: float, lower: float | None, upper: float | None, cells: list[str]) -> int:
    """Where the dot goes: not on a bracket but on the side of it where the reading lies."""
    if cells[place] == "[":
        place += 1 if lower is not None and value >= lower else -1
    elif cells[place] == "]":
        place += 1 if upper is not None and value > upper else -1
    return max(0, min(place, len(cells) - 1))


def _span(value: float, expanded: float, lower: float | None, upper: float | None) -> tuple[float, float]:
    """What part of the axis is drawn: the limits with a fifth of their distance on either side."""
    if lower is not None and upper is not None:
        room = (upper - lower) * 0.2 or max(abs(upper), 1.0) * 0.2
        return lower - room, upper + room
    limit = lower if lower is not None else upper
    assert limit is not None
    room = max(abs(value - limit), expanded, abs(limit) * 0.25, 1e-9) * 1.25
    return (limit - room * 0.4, limit + room) if lower is not None else (limit - room, limit + room * 0.4)
