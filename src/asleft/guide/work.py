"""Everything that is open in a visit, in the order in which a careful person would do it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

from asleft.guide.thing import Do, Next, Work, acknowledgeable, holds_on, open_holds
from asleft.sequence.guards import HANDS, acts_of_field, power_of_field
from asleft.sequence.plan import entering
from asleft.session.acts import Choose, Mend, entry_of
from asleft.session.timed import read_later, too_soon

if TYPE_CHECKING:
    from asleft.checks.finding import Finding
    from asleft.installation.outlook import Forecast
    from asleft.sequence.steps import Step
    from asleft.session.fields import Field
    from asleft.session.ledger import Ledger

PROVED_DEAD = "EL-25"
"""What is asked only where somebody is about to work at the terminals."""
_HEATING = ("heat_pump", "heat", "after", "defrost", "ordinary")
_BRIEF = ("heat_pump", "heat")
"""Heating that is called for one reading; the rest goes on for minutes, or as the control decides."""
_FIELD_STATES = ("", "isolated", "idle", "blower", *_HEATING)


def everything_open(
    ledger: Ledger, findings: tuple[Finding, ...], plan: tuple[Step, ...], forecast: Forecast
) -> Iterator[Work]:
    """Everything open, in the order in which a careful person would do it: proved dead before hands go in."""
    passing = [f for f in ledger.fields.values() if f.passing and not f.optional]
    off = ledger.state.power == "off"
    proof = [take(ledger, f) for f in passing if off and wanted(ledger, f)]
    others = tuple(f for f in open_holds(findings) if f.id != PROVED_DEAD)
    for work in _in_order(ledger, findings, plan, forecast):
        at_terminals = HANDS in work.acts or work.next.state == "isolated"
        if proof and at_terminals and not locked(others, work.acts):
            yield from proof
            proof = []
        yield work


def _in_order(
    ledger: Ledger, findings: tuple[Finding, ...], plan: tuple[Step, ...], forecast: Forecast
) -> Iterator[Work]:
    waived, waits = _let_stand(findings), {id for f in findings if f.open for id in f.fields}
    fields = [
        f
        for f in ledger.fields.values()
        if (not f.optional or ledger.stale(f.id) or f.id in waits)
        and f.pane != "signoff"
        and not f.passing
        and f.id not in waived
    ]
    to_take: dict[str, list[Field]] = {state: [] for state in _FIELD_STATES}
    for field in fields:
        if wanted(ledger, field):
            to_take[field.state.partition(".")[0]].append(field)
    holds = open_holds(findings)
    unsettled = _unsettled(ledger, plan)
    mends = tuple(_mends(ledger, findings, plan))
    yield from (replace(mend, first=True) for mend, of in mends if of.severity == "hold")
    mends = tuple((mend, of) for mend, of in mends if of.severity != "hold")
    yield from (take(ledger, f) for f in to_take[""])
    yield from (mend for mend, _ in mends if not mend.power)
    yield from (take(ledger, f) for f in to_take["isolated"])
    yield from (mend for mend, _ in mends if mend.power)
    yield from (_step(s) for s in plan if s.do == "look" and s.pending and s.power == "off")
    yield from (take(ledger, f) for f in to_take["idle"])
    yield from (_step(s) for s in plan if s.do == "look" and s.pending and s.power == "on")
    settled = [
        f for f in to_take["blower"] if not _settings_of(ledger, f) & unsettled or not ledger.stale(f.id)
    ]
    writing = any(s.do == "write" and s.pending for s in plan)
    if not writing or not any(ledger.stale(f.id) for f in to_take["blower"]):
        yield from (take(ledger, f) for f in settled)
    yield from _choices(ledger, forecast, findings, plan)
    yield from (_step(s) for s in entering(plan, lambda step: locked(holds, step.guards)))
    yield from (take(ledger, f) for f in settled)
    if not any(s.pending and not s.failed for s in plan if s.do == "write") and not any(
        s.do == "power" and s.pending for s in plan
    ):
        for state in _HEATING:
            if state not in _BRIEF:
                # Ten minutes of heat, or a defrost, tell nothing of a unit that is known to be at fault.
                yield from (replace(m, first=True) for m, of in mends if m.power and _hot(ledger, of))
            yield from (take(ledger, f) for f in to_take[state])


def _hot(ledger: Ledger, finding: Finding) -> bool:
    """Whether a finding is about what was read with heat on."""
    fields = (ledger.fields[id] for id in finding.fields if id in ledger.fields)
    return any(field.state.startswith("heat.") for field in fields)


def _let_stand(findings: tuple[Finding, ...]) -> frozenset[str]:
    """Fields that nothing waits for but findings that were waived unmeasured."""
    waived = {id for f in findings if f.waived and f.verdict == "not measured" for id in f.fields}
    return frozenset(waived.difference(*(f.fields for f in findings if not f.waived)) if waived else ())


def locked(findings: tuple[Finding, ...], acts: tuple[str, ...]) -> bool:
    """Whether an act is locked by a hold that an acknowledgement alone cannot lift."""
    return any(not acknowledgeable(f) for f in holds_on(findings, acts))


def _unsettled(ledger: Ledger, plan: tuple[Step, ...]) -> set[str]:
    """The settings still to be written, or to be looked at again since another write may have moved them."""
    return {
        s.setting
        for s in plan
        if s.pending and (s.do == "write" or (s.do == "read_back" and ledger.unsure(s.setting, s.address)))
    }


def _settings_of(ledger: Ledger, field: Field) -> set[str]:
    topics = [t for t in ledger.equipment.topic if t.role in field.changed_by]
    return {id for topic in topics for option in topic.option for id in option.set}


def wanted(ledger: Ledger, field: Field) -> bool:
    """Whether a field waits for an entry, and nobody noted that it cannot be had."""
    if ledger.refused(field.id):
        return False
    if field.kind == "instrument":
        return ledger.state.instrument(field.id.rpartition(".")[2]) is None
    return ledger.current(field.id) is None


def take(ledger: Ledger, field: Field) -> Work:
    """A field to be entered, measured or measured again."""
    stale = ledger.stale(field.id)
    do: Do = "measure_again" if stale else "enter"
    why = field.help
    if stale:
        changed = "Something was run or tried" if field.lapses else "A setting or a repair changed it"
        why = f"{changed} since it was last {'said' if field.lapses else 'taken'}."
        if soon := too_soon(ledger, field.id):
            why = f"{soon} {read_later(ledger, field.id)}"
    asked = "Measure again" if stale and field.measured else "Measure" if field.measured else "Enter"
    text = f"{asked}: {field.label.rstrip('.')}."
    found = Next(do, text, why, field.pane, entry_of(field.id), options=field.choices, state=field.state)
    return Work(found, power_of_field(field), acts_of_field(field))


def _step(step: Step) -> Work:
    if step.do == "power":
        found = Next("power", step.text, "The plan's next step.", "sequence", step.act, state=step.value)
        return Work(found, "", step.guards)
    why = (
        step.why
        or {
            "look": "What was there must be on record before anything is written.",
            "write": "It differs from what was chosen.",
            "read_back": "A value counts only when the control shows it again.",
        }[step.do]
    )
    found = Next(
        step.do,
        step.text,
        why,
        "sequence",
        step.act,
        value=step.value,
        code=step.code,
        keyed=step.keyed,
    )
    return Work(found, step.power, step.guards)


def _choices(
    ledger: Ledger, forecast: Forecast, findings: tuple[Finding, ...], plan: tuple[Step, ...]
) -> Iterator[Work]:
    bad = {act.topic for f in findings if f.failed and f.open for act in f.needs if isinstance(act, Choose)}
    for topic in ledger.equipment.topic:
        outlook = forecast.topics.get(topic.id)
        if outlook is None or outlook.recommended is None:
            continue
        chosen = ledger.chosen(topic)
        if topic.role == "auxiliary-heat" and ledger.power_refused and chosen and not chosen.value:
            continue
        if chosen is None or (topic.id in bad and chosen.id != outlook.recommended):
            pane = pane_of_role(topic.role)
            ids = tuple(o.id for o in ledger.options(topic))
            text = f"Choose: {topic.label}."
            yield Work(
                Next(
                    "choose",
                    text,
                    outlook.why,
                    pane,
                    Choose(topic.id),
                    options=ids,
                    value=outlook.recommended,
                )
            )


def pane_of_role(role: str) -> str:
    """The pane a topic stands on."""
    if role == "blower-tier" or role == "blower-run-on":
        return "blower"
    return "delay" if role in ("auxiliary-delay", "stage-delay") else "heat"


def _mends(
    ledger: Ledger, findings: tuple[Finding, ...], plan: tuple[Step, ...]
) -> Iterator[tuple[Work, Finding]]:
    """What is to be mended, each with what failed."""
    tried = {mend.finding for _, mend in ledger.mends} | {note.what for _, note in ledger.could_not}
    unsettled = _unsettled(ledger, plan)
    for finding in findings:
        if not finding.failed or not finding.open or not finding.mendable or finding.name in tried:
            continue
        fields = [ledger.fields[f] for f in finding.fields if f in ledger.fields]
        if any(_settings_of(ledger, f) & unsettled or _undecided(ledger, f) for f in fields):
            continue
        if not finding.urgent and any(_half_taken(ledger, f) for f in fields):
            continue
        if any(isinstance(act, Choose) for act in finding.needs):
            continue
        electrical = any(f.pane == "electrical" for f in fields)
        inside = electrical and not all(f.passing for f in fields)
        found = Next(
            "mend",
            finding.do or finding.text,
            finding.text,
            fields[0].pane if fields else "signoff",
            Mend(finding.name),
            finding=finding.key,
        )
        yield Work(found, "off" if electrical else "", (HANDS,) if inside else ()), finding


def _half_taken(ledger: Ledger, field: Field) -> bool:
    """Whether a reading of the same set still waits: pairs and legs of a supply, both statics."""
    at = field.id.rpartition(".")[0]
    together = (f for f in ledger.fields.values() if f.id.rpartition(".")[0] == at and f.state == field.state)
    return field.measured and any(f.measured and not f.optional and wanted(ledger, f) for f in together)


def _undecided(ledger: Ledger, field: Field) -> bool:
    """Whether a topic that changes this field still waits for its answer."""
    return any(t.role in field.changed_by and ledger.chosen(t) is None for t in ledger.equipment.topic)
