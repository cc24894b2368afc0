"""A value held against its limits, and the words in which that is said."""

from __future__ import annotations

from dataclasses import dataclass

from asleft.calc import Measured
from asleft.checks.finding import Verdict
from asleft.quantity import show

WORST_FIRST: tuple[Verdict, ...] = ("fail", "conditional fail", "not measured", "conditional pass", "pass")


@dataclass(frozen=True, slots=True)
class Against:
    """A value held against limits, and the verdict on it."""

    what: str
    value: Measured
    kind: str
    lower: float | None
    upper: float | None
    verdict: Verdict
    probability: float
    margin: float
    system: str = "ip"

    @property
    def rank(self) -> tuple[int, float]:
        """Worst first, and among equals the nearest to a limit."""
        return WORST_FIRST.index(self.verdict), self.margin

    def sentence(self) -> str:
        """What was found, in people's units."""
        inside = self.verdict in ("pass", "conditional pass")
        where = limits_shown(self.lower, self.upper, self.kind, self.system, inside=inside)
        return one_stop(f"{self.what}: {measured_shown(self.value, self.kind, self.system)}, {where}.")


def digits_of(kind: str) -> int:
    return {"airflow": 0, "voltage": 1, "heat_rate": 0}.get(kind, 2)


def measured_shown(value: Measured, kind: str, system: str) -> str:
    """A value with its U, as a person reads it."""
    shown = show(value.value, kind, system)
    if value.expanded <= 0.0:
        return shown
    spread = "temperature_difference" if kind == "temperature" else kind
    return f"{shown} ± {show(value.expanded, spread, system)}"


def limits_shown(lower: float | None, upper: float | None, kind: str, system: str, *, inside: bool) -> str:
    """Where a value lies against its limits, as a person says it."""
    if lower is not None and upper is not None:
        return (
            f"{'inside' if inside else 'outside'} {show(lower, kind, system)} to {show(upper, kind, system)}"
        )
    if lower is not None:
        return f"{'at least' if inside else 'below the least allowed,'} {show(lower, kind, system)}"
    return f"{'at most' if inside else 'above the most allowed,'} {show(upper or 0.0, kind, system)}"


def one_stop(text: str) -> str:
    """A sentence that ends with one stop where its last word has its own."""
    return text.replace(".. ", ". ").removesuffix(".") if text.endswith("..") else text.replace(".. ", ". ")
