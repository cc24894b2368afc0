"""Every check, in catalogue order: state, estimate, forecast and plan in, findings out."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from asleft.checks import blower, delay, electrical, heat, identity, sequence, signoff
from asleft.checks.case import CHECKS, Case, Rule, catalogue
from asleft.checks.finding import Finding

if TYPE_CHECKING:
    from asleft.installation.estimate import Estimate
    from asleft.installation.outlook import Forecast
    from asleft.sequence.plan import Step
    from asleft.session.ledger import Ledger

__all__ = ["CHECKS", "Finding", "Rule", "catalogue", "run"]

ROOMS = (identity, electrical, blower, heat, delay, sequence, signoff)
"""Importing these registers their checks."""


def run(
    ledger: Ledger, estimate: Estimate, forecast: Forecast, plan: tuple[Step, ...]
) -> tuple[Finding, ...]:
    """All findings of a session, in catalogue order; a check may read earlier findings."""
    found: list[Finding] = []
    for rule in catalogue().values():
        case = Case(rule, ledger, estimate, forecast, plan, tuple(found))
        found.extend(_waived(ledger, finding) for finding in CHECKS[rule.id](case))
    return tuple(found)


def _waived(ledger: Ledger, finding: Finding) -> Finding:
    """A waiver stands until something the finding rests on is entered anew; nobody waives a hold."""
    if finding.severity == "hold" or finding.releases:
        return finding
    for waiver in ledger.state.waivers:
        if (waiver.id, waiver.subject) == (finding.id, finding.subject) and all(
            n < waiver.n for n in finding.rests_on
        ):
            return replace(finding, waived=True)
    return finding
