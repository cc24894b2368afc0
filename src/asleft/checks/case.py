"""What a check is given, and how it says what it found."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, cast

import tomli

from asleft.calc import conformity
from asleft.checks.finding import Finding, Severity, Verdict
from asleft.quantity import show
from asleft.session.readings import Known, known

if TYPE_CHECKING:
    from asleft.equipment.model import Equipment
    from asleft.installation.estimate import Estimate
    from asleft.installation.outlook import Forecast, Judged
    from asleft.sequence.plan import Step
    from asleft.session.ledger import Ledger
    from asleft.session.state import Entry

NOT_SAID = "The maker does not say."


@dataclass(frozen=True, slots=True)
class Rule:
    """A check as the catalogue describes it."""

    id: str
    title: str
    rule: str
    severity: Severity
    source: str
    guards: tuple[str, ...] = ()
    why: str = ""
    measure: str = ""
    causes: str = ""


@cache
def catalogue() -> Mapping[str, Rule]:
    """Every check by id, in the order in which they are run and shown."""
    data = tomli.loads(Path(__file__).with_name("catalogue.toml").read_text("utf-8"))
    rules = [Rule(**{**item, "guards": tuple(item.get("guards", ()))}) for item in data["check"]]
    return {rule.id: rule for rule in rules}


Check = Callable[["Case"], Iterable[Finding]]
CHECKS: dict[str, Check] = {}


def check(id: str) -> Callable[[Check], Check]:
    """Register the function of a check."""

    def register(function: Check) -> Check:
        CHECKS[id] = function
        return function

    return register


@dataclass(frozen=True)
class Case:
    """One session at one moment, and the findings of the checks that ran before."""

    rule: Rule
    ledger: Ledger
    estimate: Estimate
    forecast: Forecast
    plan: tuple[Step, ...]
    earlier: tuple[Finding, ...] = field(default=())

    @property
    def equipment(self) -> Equipment:
        """The unit."""
        return self.ledger.equipment

    # ---- what is known

    def number(self, field_id: str) -> Known | None:
        """A numeric field with its uncertainty, if entered and not stale."""
        return known(self.ledger, field_id)

    def entry(self, field_id: str) -> Entry | None:
        """A field as entered, if not stale."""
        return self.ledger.current(field_id)

    def word(self, field_id: str) -> str | None:
        """A field of words."""
        found = self.ledger.current(field_id)
        return None if found is None else str(found.value)

    # ---- what is said

    def _finding(self, subject: str, verdict: str, text: str, severity: Severity | None = None) -> Finding:
        severe = severity or self.rule.severity
        guards = tuple(g for g in self.rule.guards if severe == "hold" and _concerns(g, subject))
        return Finding(
            self.rule.id, subject, severe, cast(Verdict, verdict), text, self.rule.source, guards=guards
        )

    def rests(self, fields: Iterable[str]) -> tuple[int, ...]:
        """Numbers of the events that these fields were entered in."""
        return tuple(e.n for f in fields if (e := self.ledger.current(f)) is not None)

    def not_applicable(self, text: str, subject: str = "unit") -> Finding:
        """It does not apply here, and why."""
        return self._finding(subject, "not applicable", text)

    def not_measured(
        self,
        fields: Iterable[str],
        subject: str = "unit",
        text: str = "",
        *,
        do: str = "",
        mendable: bool = True,
    ) -> Finding:
        """Something is missing: which fields or acts."""
        fields = tuple(fields)
        missing = [f for f in fields if self.ledger.current(f) is None]
        said = text or "Not known yet: " + ", ".join(self.label(f) for f in missing or fields) + "."
        return replace(
            self._finding(subject, "not measured", said),
            fields=fields,
            rests_on=self.rests(fields),
            do=do,
            mendable=mendable,
        )

    def label(self, field_id: str) -> str:
        """A field's label, or the act as it is."""
        found = self.ledger.fields.get(field_id)
        return found.label if found else field_id

    def settled(
        self,
        passed: bool,
        text: str,
        fields: Iterable[str] = (),
        subject: str = "unit",
        *,
        do: str = "",
        severity: Severity | None = None,
        mendable: bool = True,
        working: str = "",
        rests_on: tuple[int, ...] = (),
    ) -> Finding:
        """A plain yes or no."""
        fields = tuple(fields)
        return replace(
            self._finding(subject, "pass" if passed else "fail", text, severity),
            fields=fields,
            rests_on=tuple(sorted({*self.rests(fields), *rests_on})),
            do="" if passed else do,
            mendable=mendable,
            working=working,
        )

    def judged(
        self,
        value: float,
        expanded: float,
        lower: float | None,
        upper: float | None,
        kind: str,
        what: str,
        fields: Iterable[str] = (),
        subject: str = "unit",
        *,
        unknown: bool = False,
        do: str = "",
        severity: Severity | None = None,
        working: str = "",
    ) -> Finding:
        """A figure held against limits: ILAC-G8 with the expanded uncertainty as guard band."""
        found = conformity(value, expanded, lower, upper)
        verdict = found.verdict
        if unknown:
            # Nobody knows how well it was read, so it is never better than conditional.
            verdict = {"pass": "conditional pass", "fail": "conditional fail"}.get(verdict, verdict)
        fields = tuple(fields)
        shown = show(value, kind)
        spread = show(expanded, _spread(kind))
        limits = _limits(kind, lower, upper)
        text = f"{what} {shown}{f' ± {spread}' if expanded else ''}, {limits}."
        if verdict.startswith("conditional"):
            text += _why_conditional(unknown, expanded, found.probability)
        return replace(
            self._finding(subject, verdict, text, severity),
            kind=kind,
            value=value,
            uncertainty=expanded,
            lower=lower,
            upper=upper,
            margin=found.margin,
            probability=found.probability,
            working=working or f"{what} = {shown} ± {spread} (k = 2); {limits}",
            do="" if verdict in ("pass", "conditional pass") else do,
            fields=fields,
            rests_on=self.rests(fields),
        )

    def reading(
        self, reading: Known, lower: float | None, upper: float | None, subject: str = "unit", *, do: str = ""
    ) -> Finding:
        """One reading against limits."""
        return self.judged(
            reading.value,
            reading.expanded,
            lower,
            upper,
            reading.kind,
            self.label(reading.field),
            (reading.field,),
            subject,
            unknown=reading.unknown_accuracy,
            do=do,
        )

    def foreseen(
        self, judged: Judged, what: str, fields: Iterable[str], subject: str = "unit", *, do: str = ""
    ) -> Finding:
        """A judgement that the forecast made already."""
        figure = judged.figure
        return self.judged(
            figure.value,
            figure.expanded,
            judged.lower,
            judged.upper,
            figure.kind,
            what,
            fields,
            subject,
            do=do,
        )

    def finding(self, id: str) -> Iterator[Finding]:
        """Earlier findings of a check."""
        return (f for f in self.earlier if f.id == id)

    def kit_missing(self) -> Finding | None:
        """What to say where no kit is fitted, or nobody has said."""
        if not self.ledger.kit_known:
            return self.not_measured(("identity.kit",))
        return self.not_applicable("No heater kit is fitted.") if self.ledger.kit is None else None

    def choice_missing(self, role: str) -> Finding | None:
        """What to say where the unit has no such topic, or it is not decided."""
        topic = self.equipment.role(role)
        if topic is None:
            return self.not_applicable("The unit offers no such choice.")
        if self.ledger.role_chosen(role) is None:
            return self.not_measured((f"choose:{topic.id}",), text=f"{topic.label} is not chosen yet.")
        return None

    def choose(self, role: str) -> str:
        """The act of choosing for a role."""
        topic = self.equipment.role(role)
        return f"choose:{topic.id}" if topic else ""


def _why_conditional(unknown: bool, expanded: float, probability: float) -> str:
    if unknown:
        return " The accuracy of the instrument is not known: one of known accuracy would settle it."
    if not expanded:
        return " Exactly on the limit."
    return f" Probability of conformity {probability:.0%}: a better instrument or repeats would settle it."


def _concerns(act: str, subject: str) -> bool:
    """What is predicted guards enabling heat, what is measured guards signing."""
    if subject.endswith(".predicted"):
        return act != "signing as commissioned"
    return act != "enabling heat" or not subject.endswith(".measured")


def _spread(kind: str) -> str:
    return "temperature_difference" if kind == "temperature" else kind


def _limits(kind: str, lower: float | None, upper: float | None) -> str:
    if lower is not None and upper is not None:
        return f"allowed {show(lower, kind)} to {show(upper, kind)}"
    if lower is not None:
        return f"at least {show(lower, kind)}"
    return f"at most {show(upper, kind)}" if upper is not None else "no limit"
