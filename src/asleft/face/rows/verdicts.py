"""Verdicts in the words of the ledger, and which of several counts."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from asleft.checks.finding import Finding
    from asleft.visit import View

SIGNS = {
    "pass": "pass",
    "conditional pass": "pass, near",
    "conditional fail": "FAIL, near",
    "fail": "FAIL",
    "not measured": "",
    "not applicable": "n/a",
}
WORST = ("fail", "conditional fail", "not measured", "conditional pass", "pass", "not applicable")


def badness(finding: Finding) -> int:
    """A sort key that puts the worst verdict first."""
    return WORST.index(finding.verdict)


def worst(findings: Iterable[Finding]) -> Finding | None:
    """The worst of those that were judged at all."""
    judged = (f for f in findings if f.verdict not in ("not measured", "not applicable"))
    return min(judged, key=badness, default=None)


def sign(finding: Finding | None) -> str:
    """A finding's verdict as the ledger writes it; empty for none."""
    return SIGNS[finding.verdict] if finding else ""


def keys_of(view: View, subject: str) -> tuple[str, ...]:
    """The findings about a subject."""
    return tuple(f.key for f in view.findings if f.subject == subject)
