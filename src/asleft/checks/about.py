"""One check of one subject while it is worked out: what it rests on, and what it found."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, TypedDict, Unpack, cast

from asleft.calc import Measured, conformity
from asleft.checks.against import Against, digits_of, measured_shown, one_stop
from asleft.checks.case import Case
from asleft.checks.catalogue import Rule
from asleft.checks.finding import RELEASES, Finding, Severity, Verdict
from asleft.session.acts import Act, Choose, Enter, entry_of
from asleft.session.readings import Known, known
from asleft.session.values import YesNo

if TYPE_CHECKING:
    from asleft.equipment.model import Heater, Option, Pairing, Supply, Topic
    from asleft.installation.estimate import Estimate
    from asleft.installation.outlook import Judged, Outlook
    from asleft.session.ledger import Ledger

NONE_SAID = "The maker does not say."
DOUBT = 1.5
"""How many times its U a difference that should be nothing may be before it is one (common practice)."""


class Settled(Exception):
    """The rest of a check need not be worked out: its finding is known. Caught where checks are run."""

    def __init__(self, finding: Finding) -> None:
        super().__init__(finding.key)
        self.finding = finding


class Saying(TypedDict, total=False):
    """What may be said with a judgement: its working, more words, another severity, what to do."""

    working: str
    extra: str
    severity: Severity | None
    do: str | None


@dataclass(slots=True)
class About:
    """One check of one subject while it is worked out: it collects what the finding rests on."""

    case: Case
    rule: Rule
    subject: str
    needs: list[Act] = field(default_factory=list)
    rests: list[int] = field(default_factory=list)
    named: set[str] = field(default_factory=set)
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

    def show(self, value: float, kind: str, digits: int | None = None) -> str:
        """A quantity in the units that the person reads."""
        return self.ledger.show(value, kind, digits=digits)

    def measured(self, value: Measured, kind: str) -> str:
        """A quantity with its uncertainty."""
        return measured_shown(value, kind, self.ledger.system)

    # ---- what it rests on

    def need(self, *acts: Act) -> None:
        """Acts that it waits for or rests on; one that is named already keeps its place."""
        for act in acts:
            if isinstance(act, Enter):
                self.need_field(act.field)
            elif act not in self.needs:
                self.needs.append(act)

    def need_field(self, id: str) -> None:
        """A field that it waits for or rests on. Hundreds are named at every look: ids compare fastest."""
        if id not in self.named:
            self.named.add(id)
            self.needs.append(entry_of(id))

    def need_first(self, act: Act) -> None:
        """An act that stands before all others; one that is named already keeps its place."""
        if act not in self.needs:
            self.needs.insert(0, act)

    def rest(self, *ns: int) -> None:
        """Events that the finding rests on besides entries."""
        self.rests.extend(ns)

    def rest_on(self, *fields: str, shown: bool = True) -> None:
        """Fields that it rests on; those not shown are facts of the job that no repair changes."""
        ledger = self.case.ledger
        for id in fields:
            if shown:
                self.need_field(id)
            entry = ledger.current(id)
            if entry is not None:
                self.rests.append(entry.n)
                found = known(ledger, id)
                if found is not None and found.unknown_accuracy:
                    self.unknown = True

    def have(self, *fields: str, do: str | None = None) -> None:
        """Settle as not measured unless all of these stand; `do` is what else to do than the rule says."""
        current = self.case.ledger.current
        missing = [f for f in fields if current(f) is None]
        if missing:
            for id in missing:
                self.need_field(id)
            raise Settled(self.not_measured(self._missing(missing), do))

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

    def answers(self, *fields: str) -> tuple[bool, ...]:
        """As `numbers`, for questions: whether each was answered with yes."""
        self.rest_on(*fields)
        self.have(*fields)
        return tuple(e.value is YesNo.YES for f in fields if (e := self.ledger.current(f)) is not None)

    def not_so(self, *fields: str) -> list[str]:
        """Labels of those of these fields that were not answered with yes; not measured without an answer."""
        answers = zip(fields, self.answers(*fields), strict=True)
        return [self.case.label(id) for id, yes in answers if not yes]

    def fact(self, field_id: str) -> str:
        """A fact of the job, in words; named in `needs` only while it is missing."""
        self.rest_on(field_id, shown=False)
        self.have(field_id)
        entry = self.ledger.current(field_id)
        return str(entry.value) if entry else ""

    def fact_so(self, field_id: str) -> bool:
        """As `fact`, for a question: whether it was answered with yes."""
        self.rest_on(field_id, shown=False)
        self.have(field_id)
        entry = self.ledger.current(field_id)
        return entry is not None and entry.value is YesNo.YES

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
        self.need_first(Choose(topic.id))
        option = self.ledger.chosen(topic)
        if option is None:
            raise Settled(self.not_measured(f"Not chosen yet: {topic.label}."))
        self.rest(self.ledger.state.choices[topic.id].n)
        return option

    def outlook(self, role: str, option: str) -> Outlook:
        """What the forecast says of an option; not measured while fields are missing for it."""
        topic = self.topic(role)
        foretold = self.case.forecast.topics.get(topic.id)
        if foretold is not None:
            if foretold.missing:
                self.have(*foretold.missing)
            found = foretold.of(option)
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
            needs=tuple(self.needs),
            rests_on=rests,
            guards=self.rule.guards_of(self.subject) if grave == "hold" else (),
            waived=grave != "hold" and self.case.waived(self.rule.id, self.subject, rests),
            mendable=mendable,
        )

    def not_applicable(self, text: str) -> Finding:
        """Nothing to judge here."""
        return self.finding("not applicable", text, do="")

    def not_measured(self, text: str, do: str | None = None) -> Finding:
        """Something is missing; `needs` say what."""
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
        if verdict == "pass" and self.unknown:
            verdict = "conditional pass"
        return Against(
            what, measured, kind, lower, upper, verdict, found.probability, found.margin, self.ledger.system
        )

    def share_against(self, what: str, share: Measured, lower: float | None, upper: float | None) -> Against:
        """As `hold_against`, for a part of a whole: said in percent."""
        low, high = (None if limit is None else 100.0 * limit for limit in (lower, upper))
        percent = Measured(100.0 * share.value, 100.0 * share.expanded)
        return self.hold_against(what, percent, "percent", low, high)

    def judge(
        self,
        what: str,
        value: Known | Measured,
        kind: str,
        lower: float | None = None,
        upper: float | None = None,
        **more: Unpack[Saying],
    ) -> Finding:
        """The finding of one value against its limits."""
        return self.say(self.hold_against(what, value, kind, lower, upper), **more)

    def say(
        self,
        against: Against,
        *,
        working: str = "",
        extra: str = "",
        severity: Severity | None = None,
        do: str | None = None,
    ) -> Finding:
        """The finding of a value already judged."""
        sentence = against.sentence()
        text = " ".join(t for t in (sentence, extra, self._would_settle(against)) if t)
        return self.finding(
            against.verdict, text, severity=severity, do=do, against=against, working=working or sentence
        )

    def _would_settle(self, against: Against) -> str:
        """What would turn a conditional verdict into a plain one."""
        if not against.verdict.startswith("conditional"):
            return ""
        if self.unknown:
            return "The instrument's accuracy is not known: one whose accuracy is known would settle it."
        if against.margin == 0.0:
            return "It lies exactly on the limit; no instrument can settle that."
        needed = self.show(abs(against.margin), "temperature_difference", digits=2)
        if against.kind != "temperature":
            needed = self.show(abs(against.margin), against.kind, digits=digits_of(against.kind))
        return f"Repeat the reading, or use an instrument that gives ± {needed} or better, to settle it."

    def apart(self, what: str, difference: Measured, kind: str) -> Against:
        """What should be nothing, held against its U: in doubt beyond it, not so beyond DOUBT times it."""
        found = conformity(difference.value, 0.0, None, difference.expanded)
        verdict = cast(Verdict, found.verdict)
        if verdict == "fail" and difference.value <= DOUBT * difference.expanded:
            verdict = "conditional pass"
        return Against(
            what,
            difference,
            kind,
            None,
            difference.expanded,
            verdict,
            found.probability,
            found.margin,
            self.ledger.system,
        )

    def worst(self, judged: Iterable[Against]) -> Against:
        """The worst of several."""
        return min(judged, key=lambda a: a.rank)

    def foretold(self, judged: Judged, what: str, **more: Unpack[Saying]) -> Finding:
        """The finding of a figure that the forecast already judged."""
        return self.say(self.as_foretold(judged, what), **more)

    def as_foretold(self, judged: Judged, what: str) -> Against:
        """A figure against its limits as the forecast judged it."""
        verdict = cast(Verdict, judged.verdict)
        if verdict == "pass" and self.unknown:
            verdict = "conditional pass"
        return Against(
            what,
            Measured(judged.figure.value, judged.figure.expanded),
            judged.figure.kind,
            judged.lower,
            judged.upper,
            verdict,
            judged.probability,
            judged.margin,
            self.ledger.system,
        )
