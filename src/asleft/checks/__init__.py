"""Checks: every finding of a visit, in the order of the catalogue."""

from __future__ import annotations

from typing import TYPE_CHECKING

from asleft.checks import (
    air_methods,
    blower,
    circuits,
    closing,
    control_power,
    currents,
    dead,
    delay,
    drops,
    ducts,
    electrical,
    heat,
    heat_allowed,
    heat_tried,
    heater_air,
    identity,
    in_force,
    insulation,
    joints,
    landed,
    leaving_air,
    legs,
    sensors,
    sequence,
    signoff,
    supply_range,
)
from asleft.checks.case import Case
from asleft.checks.catalogue import Rule, catalogue
from asleft.checks.finding import Finding
from asleft.checks.listing import CHECKS, settle

if TYPE_CHECKING:
    from asleft.installation.estimate import Estimate
    from asleft.installation.outlook import Forecast
    from asleft.sequence.steps import Step
    from asleft.session.ledger import Ledger

__all__ = ["Finding", "Rule", "catalogue", "run"]

GROUPS = (
    identity,
    dead,
    electrical,
    supply_range,
    control_power,
    circuits,
    drops,
    joints,
    landed,
    insulation,
    currents,
    legs,
    ducts,
    blower,
    air_methods,
    heater_air,
    heat,
    leaving_air,
    heat_allowed,
    heat_tried,
    sensors,
    delay,
    sequence,
    in_force,
    closing,
    signoff,
)
"""The modules that hold checks; importing one enters its checks in the list."""


CONCLUDING = frozenset({"SO-2", "SO-3"})
"""What sums up all the others, so it is judged after them, wherever the catalogue has it."""


def run(
    ledger: Ledger, estimate: Estimate, forecast: Forecast, plan: tuple[Step, ...]
) -> tuple[Finding, ...]:
    """Every check of every subject, as the session stands."""
    case = Case(ledger, estimate, forecast, plan)
    rules, by_rule = catalogue(), dict[str, list[Finding]]()
    for rule in sorted(rules, key=lambda rule: rule.id in CONCLUDING):
        found = by_rule[rule.id] = []
        for subjects, function in CHECKS[rule.id]:
            for subject in subjects(case):
                finding = settle(case, rule, subject, function)
                if finding.failed:
                    finding = _following(case, rule, finding._replace(urgent=_endangers(rule, finding)))
                found.append(finding)
                case.earlier.append(finding)
    return tuple(finding for rule in rules for finding in by_rule[rule.id])


def _endangers(rule: Rule, finding: Finding) -> bool:
    """Whether a failure endangers as it stands, by what the catalogue says of its check."""
    above = rule.urgent == "above" and finding.too_much
    return finding.severity == "hold" and (rule.urgent == "failed" or above)


def _following(case: Case, rule: Rule, finding: Finding) -> Finding:
    """A failure that another one explains: recorded, without advice of its own until that one is mended.

    Too little heat explains too little of something, never air that is too hot.
    """
    if not rule.follows or finding.too_much:
        return finding
    causes = (f for f in case.earlier if f.id in rule.follows and f.open and f.too_little)
    cause = next(causes, None)
    if cause is None:
        return finding
    return finding._replace(
        text=f"{finding.text} Follows from {cause.key}.", do="", mendable=False, follows=cause.key
    )
