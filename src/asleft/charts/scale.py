"""A scale of round figures in a person's units."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, floor, isfinite, log10

from asleft.quantity import to_unit, unit_of

_FLAT = 1e-3
"""The least part of itself by which a figure is taken to vary: a flat line gets a scale round it."""
_NEAR = 0.03
"""Part of a scale by which it is lengthened to end at a round figure."""
_STEPS = (1.0, 2.0, 2.5, 5.0, 10.0)


@dataclass(frozen=True, slots=True)
class Scale:
    """Round figures in a unit, the ends of the scale, and where a base value stands between them."""

    kind: str
    unit: str
    ticks: tuple[float, ...]
    low: float
    high: float

    @classmethod
    def of(
        cls, values: Sequence[float], kind: str, system: str, most: int, *, from_figure: bool = True
    ) -> Scale:
        """The scale that holds these values of a kind, in at most so many steps.

        It ends where the values do, so that no room is lost, and begins there too or at a round figure; at
        round figures on both sides where too few lie between.
        """
        unit = unit_of(kind, system)
        shown = [
            v for v in (to_unit(value, kind, unit) if unit else value for value in values) if isfinite(v)
        ]
        figures = ticks(min(shown), max(shown), max(1, most))
        low, high = figures[0] if from_figure else min(shown), max(shown)
        near = _NEAR * (figures[-1] - figures[0])
        inside = [figure for figure in figures if low <= figure <= high + near]
        if len(inside) < (3 if from_figure else 2):
            return cls(kind, unit, tuple(figures), figures[0], figures[-1])
        return cls(kind, unit, tuple(inside), low, max(high, inside[-1]))

    def part(self, value: float) -> float:
        """Where a base value stands, as a part of the whole from 0 to 1; outside it, below or above."""
        shown = to_unit(value, self.kind, self.unit) if self.unit else value
        return (shown - self.low) / (self.high - self.low)

    def places(self, count: int) -> dict[int, str]:
        """The cell of each figure among so many cells, and how it is written."""
        span = self.high - self.low
        return {round((tick - self.low) / span * (count - 1)): f"{tick:.10g}" for tick in self.ticks}


def ticks(low: float, high: float, most: int) -> list[float]:
    """Round figures from at or below the lowest to at or above the highest, at most so many steps apart.

    >>> ticks(480.0, 1310.0, 5)
    [400.0, 600.0, 800.0, 1000.0, 1200.0, 1400.0]
    """
    whole = max(abs(low), abs(high), _FLAT)
    spread = max(high - low, _FLAT * whole)
    power = 10.0 ** floor(log10(spread / most))
    step = next(power * size for size in _STEPS if power * size >= spread / most * (1 - 1e-9))
    first = floor(low / step + 1e-9)
    last = max(first + 1, ceil(high / step - 1e-9))
    return [round(n * step, 12) for n in range(first, last + 1)]
