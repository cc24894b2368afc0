"""Everything a person sees of a visit, computed from the equipment file and the events alone."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

from asleft import checks
from asleft.guide import Next, next_thing
from asleft.installation.estimate import Estimate, estimate
from asleft.installation.forecast import forecast
from asleft.sequence import Step, plan
from asleft.session.ledger import Ledger

if TYPE_CHECKING:
    from asleft.checks.finding import Finding
    from asleft.equipment.model import Equipment
    from asleft.installation.outlook import Forecast
    from asleft.session.state import State


@dataclass(frozen=True)
class View:
    """One moment of a visit. Immutable; a new one comes with each event."""

    ledger: Ledger
    estimate: Estimate
    forecast: Forecast
    plan: tuple[Step, ...]
    findings: tuple[Finding, ...]
    next: Next

    @property
    def state(self) -> State:
        """The folded session."""
        return self.ledger.state

    @property
    def equipment(self) -> Equipment:
        """The unit that it is about."""
        return self.ledger.equipment

    def finding(self, key: str) -> Finding | None:
        """The finding of this `ID SUBJECT`."""
        return next((f for f in self.findings if f.key == key), None)

    def resting_on(self, field_id: str) -> tuple[Finding, ...]:
        """The findings that wait for a field or rest on it, in their order."""
        return self._by_field.get(field_id, ())

    @cached_property
    def _by_field(self) -> Mapping[str, tuple[Finding, ...]]:
        by_field: dict[str, list[Finding]] = {}
        for finding in self.findings:
            for field_id in finding.fields:
                by_field.setdefault(field_id, []).append(finding)
        return {field_id: tuple(found) for field_id, found in by_field.items()}

    def verdicts(self) -> tuple[str, ...]:
        """`ID SUBJECT VERDICT` of every finding."""
        return tuple(f"{f.key} {f.verdict}" for f in self.findings)


def look(equipment: Equipment, state: State, system: str = "ip") -> View:
    """The view of a session as it stands, its words in a person's units: ip or si."""
    ledger = Ledger(equipment, state, system=system)
    known = estimate(ledger)
    outlook = forecast(ledger, known)
    steps = plan(ledger)
    findings = checks.run(ledger, known, outlook, steps)
    if any(f.id == "SO-2" and not f.releases for f in findings):
        ledger = replace(ledger, unsafe=True)
    return View(ledger, known, outlook, steps, findings, next_thing(ledger, findings, steps, outlook))
