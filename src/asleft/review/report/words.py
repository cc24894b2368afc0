"""Words and figures that several parts of a report use."""

from __future__ import annotations

from typing import TYPE_CHECKING

from asleft.calc import Measured
from asleft.checks.against import measured_shown
from asleft.quantity import KINDS, show

if TYPE_CHECKING:
    from asleft.checks.finding import Finding

WORST = ("fail", "conditional fail", "not measured", "conditional pass", "pass", "not applicable")
GRAVEST = ("hold", "correct", "advise")


def rank(finding: Finding) -> tuple[bool, int, int]:
    """A sort key: what is open first, then by verdict, then by severity."""
    return not finding.open, WORST.index(finding.verdict), GRAVEST.index(finding.severity)


def when(at: str) -> str:
    """A UTC time of a record for a reader.

    >>> when("2031-05-04T09:30:00Z")
    '2031-05-04 09:30:00 UTC'
    """
    return at.replace("T", " ").removesuffix("Z") + " UTC"


def figure(value: float | None, kind: str, system: str) -> str:
    """A figure of a finding; a plain number where its kind has no unit, empty where there is none."""
    if value is None:
        return ""
    return show(value, kind, system) if kind in KINDS else f"{value:.4g}"


def difference(value: float | None, kind: str, system: str) -> str:
    """A difference of two figures of a kind, such as a margin or an uncertainty."""
    return figure(value, "temperature_difference" if kind == "temperature" else kind, system)


def with_u(finding: Finding, system: str) -> str:
    """The value judged with its expanded uncertainty."""
    if finding.value is None:
        return ""
    if finding.kind in KINDS:
        return measured_shown(Measured(finding.value, finding.uncertainty or 0.0), finding.kind, system)
    spread = f" ± {finding.uncertainty:.2g}" if finding.uncertainty else ""
    return figure(finding.value, finding.kind, system) + spread


def limits(finding: Finding, system: str) -> str:
    """Between what a value has to lie."""
    low, high = (figure(limit, finding.kind, system) for limit in (finding.lower, finding.upper))
    if low and high:
        return f"{low} to {high}"
    return f"at least {low}" if low else f"at most {high}" if high else ""


def wrong(finding: Finding) -> str:
    """The probability that the verdict is wrong, where it is near enough to a limit to be worth a figure."""
    inside = finding.probability
    if inside is None or not finding.verdict.startswith("conditional"):
        return ""
    return f"{1.0 - inside if finding.releases else inside:.2f}"


def counted(count: int, one: str, many: str = "") -> str:
    """A number with its noun."""
    return f"{count} {one if count == 1 else many or one + 's'}"


def listed(things: tuple[str, ...], most: int = 8) -> str:
    """Things in a row, the rest only counted."""
    more = f" and {len(things) - most} more" if len(things) > most else ""
    return "; ".join(things[:most]) + more
