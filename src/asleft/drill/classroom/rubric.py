"""How a drill is scored, read from rubric.toml."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources

import tomli

TOP = 100.0


@dataclass(frozen=True, slots=True)
class Part:
    """One part of the score: its points, what earns them, why it counts."""

    name: str
    points: float
    what: str
    why: str


@dataclass(frozen=True, slots=True)
class Rubric:
    """The parts, the caps by number of breaches, and what is taken off.

    `fault` are the fractions of a fault's points for its kind, its evidence and its place.
    """

    parts: tuple[Part, ...]
    caps: tuple[tuple[int, float], ...]
    fault: Mapping[str, float]
    false_report: float
    hint: float
    spare: float

    def cap(self, breaches: int) -> float:
        """The most that a score can be after so many breaches."""
        return min((most for least, most in self.caps if breaches >= least), default=TOP)


@cache
def rubric() -> Rubric:
    """The rubric that comes with the program."""
    data = tomli.loads(resources.files(__package__).joinpath("rubric.toml").read_text("utf-8"))
    return Rubric(
        tuple(Part(p["name"], float(p["points"]), p["what"], p["why"]) for p in data["part"]),
        tuple((c["breaches"], float(c["most"])) for c in data["cap"]),
        data["fault"],
        float(data["off"]["false_report"]),
        float(data["off"]["hint"]),
        float(data["work"]["spare"]),
    )
