"""A visit as checks see it."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING

from asleft.checks.finding import Finding
from asleft.session.payloads import Chose
from asleft.session.readings import Known, known

if TYPE_CHECKING:
    from asleft.installation.estimate import Estimate
    from asleft.installation.outlook import Forecast
    from asleft.sequence.steps import Step
    from asleft.session.ledger import Ledger


@dataclass
class Case:
    """A visit as checks see it; `earlier` are the findings of the checks before this one."""

    ledger: Ledger
    estimate: Estimate
    forecast: Forecast
    plan: tuple[Step, ...]
    earlier: list[Finding] = field(default_factory=list)

    def known(self, field_id: str) -> Known | None:
        """A number that stands."""
        return known(self.ledger, field_id)

    @cached_property
    def planned(self) -> dict[tuple[str, str], str]:
        """Value meant for each setting at each address."""
        return self.ledger.planned()

    @cached_property
    def taken(self) -> tuple[tuple[int, dict[str, str]], ...]:
        """Every choice ever taken that still stands: its event, and the values it meant, oldest first."""
        state, ledger, found = self.ledger.state, self.ledger, []
        then: dict[str, str] = {}
        for event in state.history:
            what = event.what
            if isinstance(what, Chose) and event.n not in state.retracted:
                topic = ledger.equipment.topic_of(what.topic)
                options = ledger.offered(topic, lambda id: then.get(id, ledger.holds(id))) if topic else ()
                option = next((o for o in options if o.id == what.option), None)
                if option is not None:
                    then.update(option.set)
                    found.append((event.n, dict(option.set)))
        return tuple(found)

    @cached_property
    def heat_kept_off(self) -> bool:
        """Whether no stage was chosen and the control shows that none may run."""
        chosen, now = self.ledger.role_chosen("auxiliary-heat"), self.ledger.role_in_force("auxiliary-heat")
        return chosen is not None and not chosen.value and now is not None and not now.value

    def label(self, field_id: str) -> str:
        """A field as a person knows it."""
        found = self.ledger.fields.get(field_id)
        return found.label if found else field_id

    def waived(self, id: str, subject: str, rests_on: tuple[int, ...]) -> bool:
        """Whether a waiver stands; it lapses once anything it rested on is newer."""
        given = self._waivers.get((id, subject))
        return given is not None and all(n < given for n in rests_on)

    @cached_property
    def _waivers(self) -> dict[tuple[str, str], int]:
        """The newest waiver of each finding."""
        return {(w.finding.id, w.finding.subject): w.n for w in self.ledger.state.waivers}

    def with_verdict(self, id: str) -> bool:
        """Whether every finding of an earlier check lets things go on."""
        return all(f.releases for f in self.earlier if f.id == id)
