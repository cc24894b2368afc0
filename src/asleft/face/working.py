"""Working and source of a finding."""

from __future__ import annotations

from typing import TYPE_CHECKING

from asleft.checks import catalogue

if TYPE_CHECKING:
    from asleft.checks.finding import Finding


def working_lines(finding: Finding) -> list[str]:
    """What was judged and how it came out, then rule, working, source, why it matters and what to do."""
    rule = next(rule for rule in catalogue() if rule.id == finding.id)
    lines = [
        f"{finding.id}  {finding.subject}  ({finding.severity}): {finding.verdict}",
        finding.text,
        f"Rule: {rule.rule}",
    ]
    if finding.working:
        lines.append(f"Working: {finding.working}")
    lines.append(f"Source: {finding.source or 'common practice'}")
    lines.append(f"Why: {rule.why}")
    if finding.guards:
        lines.append(f"While open it locks: {', '.join(finding.guards)}")
    if finding.do:
        lines.append(f"Do: {finding.do}")
    if finding.failed:
        lines.append(f"Usual causes: {rule.causes}")
    return lines
