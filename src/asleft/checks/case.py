"""What a check sees of a visit, and the words in which it says what it found."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING, cast

from asleft.calc import CalcError, Measured, conformity
from asleft.checks.catalogue import Rule
from asleft.checks.finding import RELEASES, Finding, Severity, Verdict
from asleft.quantity import show
from asleft.session.readings import Known, known

if TYPE_CHECKING:
    from asleft.equipment.model import Heater, Option, Pairing, Supply, Topic
    from asleft.installation.estimate import Estimate
    from asleft.installation.outlook import Forecast, Judged, Outlook
    from asleft.sequence.plan import Step
    from asleft.session.ledger import Ledger

WORST_FIRST: tuple[Verdict, ...] = ("fail", "conditional fail", "not measured", "conditional pass", "pass")
NONE_SAID = "The maker does not say."


class Settled(Exception):
    """The rest of a check need not be worked out: its finding is known. Caught where checks are run."""

    def __init__(self, finding: Finding) -> None:
        super().__init__(finding.key)
        self.finding = finding


@dataclass
class Case:
    """A visit as checks see it; `earlier` are the findings of the checks before this one."""

    ledger: Ledger
    estimate: Estimate
    forecast: Forecast
    plan: tuple[Step, ...]
    earlier: list[Finding] = field(default_factory=list)
    _known: dict[str, Known | None] = field(default_factory=dict)

    def known(self, field_id: str) -> Known | None:
        """A number that stands, looked up once."""
        if field_id not in self._known:
            self._known[field_id] = known(self.ledger, field_id)
        return self._known[field_id]

    @cached_property
    def planned(self) -> dict[tuple[str, str], str]:
        """Value meant for each setting at each address."""
        return self.ledger.planned()

    @cached_property
    def taken(self) -> tuple[tuple[int, dict[str, str]], ...]:
        """Every choice ever taken that still stands: its event, and the values it meant, oldest first."""
        state, found = self.ledger.state, []
        for event in state.history:
            if event.kind == "chose" and event.n not in state.retracted:
                topic = self.ledger.equipment.topic_of(str(event.data["topic"]))
                option = self.ledger.option(topic, str(event.data["option"])) if topic else None
                if option is not None:
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
        given = [w.n for w in self.ledger.state.waivers if w.id == id and w.subject == subject]
        return bool(given) and all(n < given[-1] for n in rests_on)

    def with_verdict(self, id: str) -> bool:
        """Whether every finding of an earlier check lets things go on."""
        return all(f.releases for f in self.earlier if f.id == id)


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

    @property
    def rank(self) -> tuple[int, float]:
        """Worst first, and among equals the nearest to a limit."""
        return WORST_FIRST.index(self.verdict), self.margin

    def sentence(self) -> str:
        """What was found, in people's units."""
        inside = self.verdict in ("pass", "conditional pass")
        where = limits_shown(self.lower, self.upper, self.kind, inside=inside)
        return one_stop(f"{self.what}: {measured_shown(self.value, self.kind)}, {where}.")


@dataclass
class About:
    """One check of one subject while it is worked out: it collects what the finding rests on."""

    case: Case
    rule: Rule
    subject: str
    fields: list[str] = field(default_factory=list)
    rests: list[int] = field(default_factory=list)
    unknown: bool = False

    @property
    def ledger(self) -> Ledger:
        """The session."""
        return self.case.ledger

    @property
    def estimate(self) -> Estimate:
        """The installed unit as far as it is known."""
        return self.case.estimate

    @property
    def n(self) -> int:
        """The number in a subject such as circuit.2 or stage.1.measured."""
        return int(self.subject.split(".")[1])

    # ---- what it rests on

    def rest(self, *ns: int) -> None:
        """Events that the finding rests on besides entries."""
        self.rests.extend(ns)

    def rest_on(self, *fields: str, shown: bool = True) -> None:
        """Fields that it rests on; those not shown are facts of the job that no repair changes."""
        for id in fields:
            if shown and id not in self.fields:
                self.fields.append(id)
            entry = self.ledger.current(id)
            if entry is not None:
                self.rests.append(entry.n)
                found = self.case.known(id)
                self.unknown |= found is not None and found.unknown_accuracy

    def have(self, *fields: str) -> None:
        """Settle as not measured unless all of these stand."""
        missing = [f for f in fields if self.ledger.current(f) is None]
        if missing:
            for id in missing:
                if id not in self.fields:
                    self.fields.append(id)
            raise Settled(self.not_measured(self._missing(missing)))

    def _missing(self, missing: list[str]) -> str:
        stale = [f for f in missing if self.ledger.stale(f)]
        names = [f"“{self.case.label(f)}”" for f in missing[:3]] + (["…"] if len(missing) > 3 else [])
        how = "to be taken again" if len(stale) == len(missing) else "not taken yet"
        return f"{self.rule.title}: {', '.join(names)} {how}."

    def numbers(self, *fields: str) -> tuple[Known, ...]:
        """Readings that the finding rests on and that a repair makes stale; not measured without them."""
        self.rest_on(*fields)
        self.have(*fields)
        found = [k for f in fields if (k := self.case.known(f)) is not None]
        if len(found) != len(fields):
            raise Settled(self.not_measured(f"{self.rule.title}: an entry is no number."))
        return tuple(found)

    def words(self, *fields: str) -> tuple[str, ...]:
        """As `numbers`, for fields of words."""
        self.rest_on(*fields)
        self.have(*fields)
        return tuple(str(e.value) for f in fields if (e := self.ledger.current(f)) is not None)

    def fact(self, field_id: str) -> str:
        """A fact of the job, in words; named in `fields` only while it is missing."""
        self.rest_on(field_id, shown=False)
        self.have(field_id)
        entry = self.ledger.current(field_id)
        return str(entry.value) if entry else ""

    def fact_number(self, field_id: str) -> Known:
        """A fact of the job, as a number."""
        self.rest_on(field_id, shown=False)
        self.have(field_id)
        found = self.case.known(field_id)
        if found is None:
            raise Settled(self.not_measured(f"{self.rule.title}: an entry is no number."))
        return found

    def kit(self) -> Heater:
        """The kit fitted. Not applicable without one, not measured until somebody said."""
        self.rest_on("identity.kit", shown=False)
        kit = self.ledger.kit
        if kit is not None:
            return kit
        if not self.ledger.kit_known:
            self.have("identity.kit")
        raise Settled(self.not_applicable("No heater kit is fitted."))

    def heat_on(self) -> None:
        """Settle as not applicable where heat was chosen off and is off."""
        if self.case.heat_kept_off:
            raise Settled(self.not_applicable("Heat is kept off: no stage may run."))

    def supply(self) -> Supply:
        """The supply declared."""
        self.rest_on("identity.supply", shown=False)
        supply = self.ledger.supply
        if supply is None:
            self.have("identity.supply")
            raise Settled(self.not_measured("The supply declared is none that the data plate lists."))
        return supply

    def pairing(self) -> Pairing:
        """The outdoor unit. Not applicable without one, not measured until somebody said."""
        self.rest_on("identity.outdoor", shown=False)
        pairing = self.ledger.pairing
        if pairing is None:
            if "identity.outdoor" in self.ledger.fields:
                self.have("identity.outdoor")
            raise Settled(self.not_applicable("No heat pump is connected."))
        return pairing

    def figure(self, value: float | None) -> float:
        """A figure of the equipment file; not applicable where the maker gives none."""
        if value is None:
            raise Settled(self.not_applicable(NONE_SAID))
        return value

    def topic(self, role: str) -> Topic:
        """The topic of a role; not applicable where the unit has no such choice."""
        topic = self.ledger.equipment.role(role)
        if topic is None:
            raise Settled(self.not_applicable("This unit offers no such choice."))
        return topic

    def choice(self, role: str) -> Option:
        """The option chosen for a role; not measured until one is."""
        topic = self.topic(role)
        asked = f"choose:{topic.id}"
        if asked not in self.fields:
            self.fields.insert(0, asked)
        option = self.ledger.chosen(topic)
        if option is None:
            raise Settled(self.not_measured(f"Not chosen yet: {topic.label}."))
        self.rest(self.ledger.state.choices[topic.id].n)
        return option

    def outlook(self, role: str, option: str) -> Outlook:
        """What the forecast says of an option; not measured while fields are missing for it."""
        topic = self.topic(role)
        known = self.case.forecast.topics.get(topic.id)
        if known is not None:
            if known.missing:
                self.have(*known.missing)
            found = known.of(option)
            if found is not None:
                return found
        raise Settled(self.not_measured(f"Nothing can be predicted yet for: {topic.label}."))

    # ---- what was found

    def finding(
        self,
        verdict: Verdict,
        text: str,
        *,
        severity: Severity | None = None,
        do: str | None = None,
        against: Against | None = None,
        working: str = "",
        mendable: bool = True,
    ) -> Finding:
        """The finding, with all that was collected."""
        grave = severity or self.rule.severity
        rests = tuple(sorted(set(self.rests)))
        return Finding(
            self.rule.id,
            self.subject,
            grave,
            verdict,
            one_stop(text),
            self.rule.source,
            kind=against.kind if against else "",
            value=against.value.value if against else None,
            uncertainty=against.value.expanded if against else None,
            lower=against.lower if against else None,
            upper=against.upper if against else None,
            margin=against.margin if against else None,
            probability=against.probability if against else None,
            working=working,
            do="" if verdict in RELEASES else self.rule.do if do is None else do,
            fields=tuple(self.fields),
            rests_on=rests,
            guards=self.rule.guards_of(self.subject) if grave == "hold" else (),
            waived=grave != "hold" and self.case.waived(self.rule.id, self.subject, rests),
            mendable=mendable,
        )

    def not_applicable(self, text: str) -> Finding:
        """Nothing to judge here."""
        return self.finding("not applicable", text, do="")

    def not_measured(self, text: str, do: str | None = None) -> Finding:
        """Something is missing; `fields` say what."""
        return self.finding("not measured", text, do=do)

    def passed(self, text: str, **more: object) -> Finding:
        """A plain yes; conditional where an instrument of unknown accuracy was used."""
        return self.finding("conditional pass" if self.unknown else "pass", text, **more)  # type: ignore[arg-type]

    def failed(self, text: str, **more: object) -> Finding:
        """A plain no."""
        return self.finding("fail", text, **more)  # type: ignore[arg-type]

    def hold_against(
        self, what: str, value: Known | Measured, kind: str, lower: float | None, upper: float | None
    ) -> Against:
        """Judge a value with its uncertainty against limits (guard band w = U, ILAC-G8)."""
        measured = Measured(value.value, value.expanded)
        found = conformity(measured.value, measured.expanded, lower, upper)
        verdict = cast(Verdict, found.verdict)
        if measured.expanded == 0.0 and found.margin == 0.0:
            verdict = "pass"
        if verdict == "pass" and self.unknown:
            verdict = "conditional pass"
        return Against(what, measured, kind, lower, upper, verdict, found.probability, found.margin)

    def judge(
        self,
        what: str,
        value: Known | Measured,
        kind: str,
        lower: float | None = None,
        upper: float | None = None,
        *,
        working: str = "",
        extra: str = "",
        severity: Severity | None = None,
        do: str | None = None,
        mendable: bool = True,
    ) -> Finding:
        """The finding of one value against its limits."""
        against = self.hold_against(what, value, kind, lower, upper)
        return self.say(against, working=working, extra=extra, severity=severity, do=do, mendable=mendable)

    def say(
        self,
        against: Against,
        *,
        working: str = "",
        extra: str = "",
        severity: Severity | None = None,
        do: str | None = None,
        mendable: bool = True,
    ) -> Finding:
        """The finding of a value already judged."""
        sentence = against.sentence()
        text = " ".join(t for t in (sentence, extra, self._would_settle(against)) if t)
        return self.finding(
            against.verdict,
            text,
            severity=severity,
            do=do,
            against=against,
            working=working or sentence,
            mendable=mendable,
        )

    def _would_settle(self, against: Against) -> str:
        """What would turn a conditional verdict into a plain one."""
        if not against.verdict.startswith("conditional"):
            return ""
        if self.unknown:
            return "The instrument's accuracy is not known: one whose accuracy is known would settle it."
        if against.margin == 0.0:
            return "It lies exactly on the limit; no instrument can settle that."
        needed = show(abs(against.margin), "temperature_difference", digits=2)
        if against.kind != "temperature":
            needed = show(abs(against.margin), against.kind, digits=_digits(against.kind))
        return f"Repeat the reading, or use an instrument that gives ± {needed} or better, to settle it."

    def worst(self, judged: Iterable[Against]) -> Against:
        """The worst of several."""
        return min(judged, key=lambda a: a.rank)

    def foretold(self, judged: Judged, what: str, **more: object) -> Finding:
        """The finding of a figure that the forecast already judged."""
        verdict = cast(Verdict, judged.verdict)
        if verdict == "pass" and self.unknown:
            verdict = "conditional pass"
        margins = [
            m
            for m in (
                None if judged.lower is None else judged.figure.value - judged.lower,
                None if judged.upper is None else judged.upper - judged.figure.value,
            )
            if m is not None
        ]
        value = Measured(judged.figure.value, judged.figure.expanded)
        against = Against(
            what,
            value,
            judged.figure.kind,
            judged.lower,
            judged.upper,
            verdict,
            judged.probability,
            min(margins),
        )
        return self.say(against, **more)  # type: ignore[arg-type]


Subjects = Callable[[Case], Iterable[str]]
Check = Callable[[About], Finding]
CHECKS: dict[str, list[tuple[Subjects, Check]]] = {}


def check(id: str, subjects: Subjects | str = "unit") -> Callable[[Check], Check]:
    """Enter a function in the list of checks, under its id, for one subject or those a function lists."""

    def entered(function: Check) -> Check:
        of = (lambda _: (subjects,)) if isinstance(subjects, str) else subjects
        CHECKS.setdefault(id, []).append((of, function))
        return function

    return entered


def settle(case: Case, rule: Rule, subject: str, function: Check) -> Finding:
    """Work one check out. What cannot be calculated from what was entered counts as not measured."""
    about = About(case, rule, subject)
    try:
        return function(about)
    except Settled as settled:
        return settled.finding
    except CalcError as error:
        return about.not_measured(f"{rule.title} cannot be worked out: {error}.")


# ---- subjects


def circuits(case: Case) -> tuple[str, ...]:
    """A subject for each circuit of the kit fitted, else the unit."""
    kit = case.ledger.kit
    return tuple(f"circuit.{n}" for n, _ in enumerate(kit.circuit if kit else (), 1)) or ("unit",)


def stages(case: Case) -> tuple[str, ...]:
    """A subject for each stage of the kit fitted, else the unit."""
    kit = case.ledger.kit
    return tuple(f"stage.{n}" for n, _ in enumerate(kit.stage if kit else (), 1)) or ("unit",)


# ---- words


def _digits(kind: str) -> int:
    return {"airflow": 0, "voltage": 1, "heat_rate": 0}.get(kind, 2)


def measured_shown(value: Measured, kind: str) -> str:
    """A value with its U, as a person reads it."""
    shown = show(value.value, kind)
    if value.expanded <= 0.0:
        return shown
    spread = "temperature_difference" if kind == "temperature" else kind
    return f"{shown} ± {show(value.expanded, spread)}"


def limits_shown(lower: float | None, upper: float | None, kind: str, *, inside: bool) -> str:
    """Where a value lies against its limits, as a person says it."""
    if lower is not None and upper is not None:
        return f"{'inside' if inside else 'outside'} {show(lower, kind)} to {show(upper, kind)}"
    if lower is not None:
        return f"{'at least' if inside else 'below the least allowed,'} {show(lower, kind)}"
    return f"{'at most' if inside else 'above the most allowed,'} {show(upper or 0.0, kind)}"


def one_stop(text: str) -> str:
    """A sentence that ends with one stop where its last word has its own."""
    return text.replace(".. ", ". ").removesuffix(".") if text.endswith("..") else text.replace(".. ", ". ")
