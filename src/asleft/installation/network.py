"""A network of resistances between points held at known volts: what every other point and branch carries."""

from __future__ import annotations

from collections.abc import Mapping

Siemens = Mapping[tuple[int, int], float]

NOTHING_OHM = 1e-9
"""A wire of less than this counts as none: no circuit notices it, and conductances stay numbers."""


class Network:
    """Points joined by wires, some held by a source; volts are phasors against earth.

    A point knows the volts that it would have with nothing drawing current, and what is solved for is how far
    it falls from them: with no load, volts are those of the source to the last digit.
    """

    def __init__(self) -> None:
        self._rest: list[complex] = []
        self._held: set[int] = set()
        self._wires: dict[tuple[int, int], float] = {}
        self._links: list[tuple[int, int]] = []

    def hold(self, volts: complex) -> int:
        """A point that a source holds."""
        self._rest.append(volts)
        self._held.add(len(self._rest) - 1)
        return len(self._rest) - 1

    def loose(self) -> int:
        """A point that nothing holds."""
        self._rest.append(0j)
        return len(self._rest) - 1

    def wire(self, start: int, ohm: float) -> int:
        """The far end of a wire: the same point where it has no resistance."""
        if ohm < NOTHING_OHM:
            return start
        self._rest.append(self._rest[start])
        end = len(self._rest) - 1
        self.join(start, end, 1.0 / ohm)
        return end

    def join(self, start: int, end: int, siemens: float) -> None:
        """A conductance between two points."""
        if start != end and siemens > 0.0:
            pair = (min(start, end), max(start, end))
            self._wires[pair] = self._wires.get(pair, 0.0) + siemens

    def link(self, start: int, end: int) -> None:
        """A path that carries next to nothing, yet brings its volts to points that float."""
        self._links.append((start, end))

    def rest(self, point: int) -> complex:
        """Volts of a point with nothing drawing current."""
        return self._rest[point]

    def solve(self, also: Siemens) -> list[complex | None]:
        """Volts of every point, these conductances joined besides; None where nothing reaches one."""
        wires = dict(self._wires)
        for (a, b), siemens in also.items():
            if a != b and siemens > 0.0:
                pair = (min(a, b), max(a, b))
                wires[pair] = wires.get(pair, 0.0) + siemens
        near: list[dict[int, float]] = [{} for _ in self._rest]
        for (a, b), siemens in wires.items():
            near[a][b] = near[b][a] = siemens
        reached = self._spread(self._held, near)
        falls = self._falls([p for p in sorted(reached) if p not in self._held], near)
        volts: list[complex | None] = [
            self._rest[p] + falls.get(p, 0j) if p in reached else None for p in range(len(self._rest))
        ]
        for _ in self._links:
            for a, b in (*self._links, *((b, a) for a, b in self._links)):
                if volts[a] is not None and volts[b] is None:
                    for point in self._spread({b}, near):
                        volts[point] = volts[a]
        return volts

    @staticmethod
    def _spread(start: set[int], near: list[dict[int, float]]) -> set[int]:
        """Every point that wires reach from these."""
        reached, waiting = set(start), list(start)
        while waiting:
            for point in near[waiting.pop()]:
                if point not in reached:
                    reached.add(point)
                    waiting.append(point)
        return reached

    def _falls(self, free: list[int], near: list[dict[int, float]]) -> dict[int, complex]:
        """How far each free point falls from its volts at rest: Kirchhoff's current law, by elimination."""
        rows: dict[int, dict[int, float]] = {}
        right: dict[int, complex] = {}
        for point in free:
            rows[point] = {point: sum(near[point].values())}
            right[point] = sum(
                (siemens * (self._rest[q] - self._rest[point]) for q, siemens in near[point].items()), 0j
            )
            for q, siemens in near[point].items():
                if q not in self._held:
                    rows[point][q] = -siemens
        for n, point in enumerate(free):
            row = rows[point]
            for below in free[n + 1 :]:
                factor = rows[below].pop(point, 0.0) / row[point]
                if factor:
                    for q, value in row.items():
                        if q != point:
                            rows[below][q] = rows[below].get(q, 0.0) - factor * value
                    right[below] -= factor * right[point]
        falls: dict[int, complex] = {}
        for point in reversed(free):
            known = sum((v * falls[q] for q, v in rows[point].items() if q in falls), 0j)
            falls[point] = (right[point] - known) / rows[point][point]
        return falls
