"""Everything a person sees of a visit, computed from the equipment file and the events alone."""

from __future__ import annotations

from dataclasses import dataclass, replace
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


@dataclass(frozen=True, slots=True)
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
