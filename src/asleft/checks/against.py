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
        digits = None if inside else self._digits()
        where = limits_shown(self.lower, self.upper, self.kind, self.system, inside=inside, digits=digits)
        value = measured_shown(self.value, self.kind, self.system, digits=digits)
        return one_stop(f"{self.what}: {value}, {where}.")

    def _digits(self) -> int | None:
        """As many digits as tell a value outside from its limit; those of its kind where they do."""
        limits = [limit for limit in (self.lower, self.upper) if limit is not None]
        for digits in (None, 1, 2, 3, 4):
            shown = [
                show(value, self.kind, self.system, digits=digits) for value in (self.value.value, *limits)
            ]
            if shown[0] not in shown[1:]:
                return digits
        return None


def digits_of(kind: str) -> int:
    return {"airflow": 0, "voltage": 1, "heat_rate": 0}.get(kind, 2)


def measured_shown(value: Measured, kind: str, system: str, *, digits: int | None = None) -> str:
    """A value with its U, as a person reads it."""
    shown = show(value.value, kind, system, digits=digits)
    if value.expanded <= 0.0:
        return shown
    spread = "temperature_difference" if kind == "temperature" else kind
    return f"{shown} ± {show(value.expanded, spread, system, digits=digits)}"


def limits_shown(
    lower: float | None,
    upper: float | None,
    kind: str,
    system: str,
    *,
    inside: bool,
    digits: int | None = None,
) -> str:
    """Where a value lies against its limits, as a person says it."""
    low, high = (show(limit or 0.0, kind, system, digits=digits) for limit in (lower, upper))
    if lower is not None and upper is not None:
        return f"{'inside' if inside else 'outside'} {low} to {high}"
    if lower is not None:
        return f"{'at least' if inside else 'below the least allowed,'} {low}"
    return f"{'at most' if inside else 'above the most allowed,'} {high}"


def one_stop(text: str) -> str:
    """A sentence that ends with one stop where its last word has its own."""
    return text.replace(".. ", ". ").removesuffix(".") if text.endswith("..") else text.replace(".. ", ". ")
