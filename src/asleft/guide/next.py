"""What to do next: one thing, why, and where. Safe first, fewest power cuts, nothing asked twice."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from asleft.sequence.guards import (
    COMMISSIONED,
    HANDS,
    NOT_COMMISSIONED,
    POWER_ON,
    acts_of_field,
    power_of_field,
)
from asleft.sequence.plan import entering

if TYPE_CHECKING:
    from asleft.checks.finding import Finding
    from asleft.installation.outlook import Forecast
    from asleft.sequence.steps import Step
    from asleft.session.fields import Field
    from asleft.session.ledger import Ledger


@dataclass(frozen=True, slots=True)
class Next:
    """The one thing to do now. `enter` is the left side of the act; `why` is a plain sentence.

    `keyed` are the parts of a code that is written, in turn, each with the address at which it is keyed.
    """

    do: str
    text: str
    why: str = ""
    pane: str = ""
    enter: str = ""
    field: str = ""
    setting: str = ""
    address: str = ""
    topic: str = ""
    options: tuple[str, ...] = ()
    value: str = ""
    state: str = ""
    code: str = ""
    keyed: tuple[tuple[str, str], ...] = ()
    outcome: str = ""
    finding: str = ""


@dataclass(frozen=True, slots=True)
class _Work:
    """Something open: what it is, the power it needs, and the acts that may be locked."""

    next: Next
    power: str = ""
    acts: tuple[str, ...] = ()


def holds_on(findings: tuple[Finding, ...], acts: tuple[str, ...]) -> tuple[Finding, ...]:
    """The open holds that guard any of these acts."""
    return tuple(f for f in findings if f.severity == "hold" and not f.releases and set(f.guards) & set(acts))


def next_thing(
    ledger: Ledger, findings: tuple[Finding, ...], plan: tuple[Step, ...], forecast: Forecast
) -> Next:
    """The next thing of a visit. It always has one answer, and ends in a signature."""
    if ledger.state.signature:
        return _signed(ledger, ledger.state.signature.outcome, findings)
    open_work = [
        w
        for w in _work(ledger, findings, plan, forecast)
        if not _locked(findings, w.acts) and _reachable(ledger, w)
    ]
    if open_work:
        return _with_power(ledger, findings, _pick(ledger, open_work))
    return _ending(ledger, findings)


def _reachable(ledger: Ledger, work: _Work) -> bool:
    """Whether work can be done as power now is, where somebody noted that it cannot be switched."""
    if not ledger.power_refused:
        return True
    return work.next.do != "power" and work.power in ("", ledger.state.power)


def _locked(findings: tuple[Finding, ...], acts: tuple[str, ...]) -> bool:
    """Whether an act is locked by a hold that an acknowledgement alone cannot lift."""
    return any(not _acknowledgeable(f) for f in holds_on(findings, acts))


def _acknowledgeable(finding: Finding) -> bool:
    return any(field.startswith("acknowledge:") for field in finding.fields)


def _pick(ledger: Ledger, work: list[_Work]) -> _Work:
    """The first piece of work in the present power state; before the first isolation, the first of all."""
    power = ledger.state.power
    if not ledger.state.powered:
        first = work[0]
        off = next((w for w in work if w.power == "off"), None)
        return first if first.power == "" else off or first
    return next((w for w in work if w.power in ("", power)), work[0])


def _with_power(ledger: Ledger, findings: tuple[Finding, ...], work: _Work) -> Next:
    """The work itself, or what has to come first: an acknowledgement, or power switched."""
    power = ledger.state.power
    if work.power == "off" and power == "on":
        return _switch("off", work.next)
    if work.power == "on" and power == "off":
        held = holds_on(findings, (POWER_ON,))
        return _acknowledge(held[0], "before power comes on again") if held else _switch("on", work.next)
    held = holds_on(findings, work.acts)
    if held:
        return _acknowledge(held[0], f"before: {work.next.text}")
    return work.next


def _acknowledge(finding: Finding, why: str) -> Next:
    pane = "electrical"
    return Next(
        "acknowledge",
        finding.do or finding.text,
        f"Needed {why.rstrip('.')}.",
        pane,
        f"acknowledge:{finding.id}",
        finding=finding.key,
    )


def _switch(state: str, then: Next) -> Next:
    return Next(
        "power",
        f"Switch power {state} at the unit.",
        f"Then: {then.text}",
        "electrical",
        "power",
        state=state,
    )


_FIELD_STATES = ("", "isolated", "idle", "blower", "heat_pump", "heat", "after", "defrost")


def _work(
    ledger: Ledger, findings: tuple[Finding, ...], plan: tuple[Step, ...], forecast: Forecast
) -> Iterator[_Work]:
    """Everything open, in the order in which a careful person would do it."""
    fields = [
        f for f in ledger.fields.values() if (not f.optional or ledger.stale(f.id)) and f.pane != "signoff"
    ]
    wanted = {
        state: [f for f in fields if f.state.partition(".")[0] == state and _wanted(ledger, f)]
        for state in _FIELD_STATES
    }
    unsettled = {s.setting for s in plan if s.do == "write" and s.pending}
    mends = tuple(_mends(ledger, findings, plan))
    yield from (_take(ledger, f) for f in wanted[""])
    yield from (m for m in mends if not m.power)
    yield from (_take(ledger, f) for f in wanted["isolated"])
    yield from (m for m in mends if m.power)
    yield from (_step(s) for s in plan if s.do == "look" and s.pending and s.power == "off")
    yield from (_take(ledger, f) for f in wanted["idle"])
    yield from (_step(s) for s in plan if s.do == "look" and s.pending and s.power == "on")
    settled = [
        f for f in wanted["blower"] if not _settings_of(ledger, f) & unsettled or not ledger.stale(f.id)
    ]
    if not unsettled or not any(ledger.stale(f.id) for f in wanted["blower"]):
        yield from (_take(ledger, f) for f in settled)
    yield from _choices(ledger, forecast, findings, plan)
    yield from (_step(s) for s in entering(plan, lambda step: _locked(findings, step.guards)))
    yield from (_take(ledger, f) for f in settled)
    if not any(s.pending and not s.failed for s in plan if s.do == "write") and not any(
        s.do == "power" and s.pending for s in plan
    ):
        for state in ("heat_pump", "heat", "after", "defrost"):
            yield from (_take(ledger, f) for f in wanted[state])


def _settings_of(ledger: Ledger, field: Field) -> set[str]:
    topics = [t for t in ledger.equipment.topic if t.role in field.changed_by]
    return {id for topic in topics for option in topic.option for id in option.set}


def _wanted(ledger: Ledger, field: Field) -> bool:
    if ledger.refused(field.id):
        return False
    if field.kind == "instrument":
        return ledger.state.instrument(field.id.rpartition(".")[2]) is None
    return ledger.current(field.id) is None


def _take(ledger: Ledger, field: Field) -> _Work:
    stale = ledger.stale(field.id)
    do = "measure_again" if stale else "enter"
    why = field.help
    if stale:
        changed = "Something was run or tried" if field.lapses else "A setting or a repair changed it"
        why = f"{changed} since it was last {'said' if field.lapses else 'taken'}."
    text = f"{'Measure again' if stale and field.measured else 'Enter'}: {field.label}."
    if field.measured and not stale:
        text = f"Measure: {field.label}."
    found = Next(
        do, text, why, field.pane, field.id, field=field.id, options=field.choices, state=field.state
    )
    return _Work(found, power_of_field(field), acts_of_field(field))


def _step(step: Step) -> _Work:
    if step.do == "power":
        found = Next("power", step.text, "The plan's next step.", "sequence", "power", state=step.value)
        return _Work(found, "", step.guards)
    left = {"look": "found", "write": "wrote", "read_back": "read_back"}[step.do]
    why = {
        "look": "What was there must be on record before anything is written.",
        "write": "It differs from what was chosen.",
        "read_back": "A value counts only when the control shows it again.",
    }[step.do]
    found = Next(
        step.do,
        step.text,
        why,
        "sequence",
        f"{left}:{step.place}",
        setting=step.setting,
        address=step.address,
        value=step.value,
        code=step.code,
        keyed=step.keyed,
    )
    return _Work(found, step.power, step.guards)


def _choices(
    ledger: Ledger, forecast: Forecast, findings: tuple[Finding, ...], plan: tuple[Step, ...]
) -> Iterator[_Work]:
    bad = {
        field.partition(":")[2]
        for f in findings
        if f.failed and f.open
        for field in f.fields
        if field.startswith("choose:")
    }
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
            yield _Work(
                Next(
                    "choose",
                    text,
                    outlook.why,
                    pane,
                    f"choose:{topic.id}",
                    topic=topic.id,
                    options=ids,
                    value=outlook.recommended,
                )
            )


def pane_of_role(role: str) -> str:
    """The pane a topic stands on."""
    if role == "blower-tier" or role == "blower-run-on":
        return "blower"
    return "delay" if role in ("auxiliary-delay", "stage-delay") else "heat"


def _mends(ledger: Ledger, findings: tuple[Finding, ...], plan: tuple[Step, ...]) -> Iterator[_Work]:
    tried = {n.mends for n in ledger.state.notes} | {n.refused for n in ledger.state.notes}
    unsettled = {s.setting for s in plan if s.do == "write" and s.pending}
    for finding in findings:
        if not finding.failed or not finding.open or not finding.mendable or finding.key in tried:
            continue
        fields = [ledger.fields[f] for f in finding.fields if f in ledger.fields]
        if any(_settings_of(ledger, f) & unsettled or _undecided(ledger, f) for f in fields):
            continue
        if any(f.startswith("choose:") for f in finding.fields):
            continue
        electrical = any(f.pane == "electrical" for f in fields)
        found = Next(
            "mend",
            finding.do or finding.text,
            finding.text,
            fields[0].pane if fields else "signoff",
            f"mended:{finding.id}/{finding.subject}",
            finding=finding.key,
        )
        yield _Work(found, "off" if electrical else "", (HANDS,) if electrical else ())


def _undecided(ledger: Ledger, field: Field) -> bool:
    """Whether a topic that changes this field still waits for its answer."""
    return any(t.role in field.changed_by and ledger.chosen(t) is None for t in ledger.equipment.topic)


def _ending(ledger: Ledger, findings: tuple[Finding, ...]) -> Next:
    """Sign as commissioned where nothing stands in the way, else leave it safe and sign that it is not."""
    blocking = _blocking(findings)
    if all(_closing(ledger, f) for f in blocking):
        for field in (f for f in ledger.fields.values() if f.closing and _wanted(ledger, f)):
            return _take(ledger, field).next
    if not holds_on(findings, (COMMISSIONED,)):
        return Next(
            "sign",
            "Sign as commissioned.",
            "Every check has passed or is waived.",
            "signoff",
            "sign",
            outcome="commissioned",
        )
    if all(_acknowledgeable(f) for f in blocking):
        return _last_words(ledger, findings, blocking[0])
    root = _root(ledger, blocking)
    power, why = ledger.state.power, f"Left safe, not commissioned: {root.text}"
    if power == "on" and not ledger.power_refused:
        return Next("power", "Switch power off at the unit.", why, "electrical", "power", state="off")
    if power == "on" and (heat_off := _heat_off(ledger, why)):
        return heat_off
    for field in (f for f in ledger.fields.values() if _asked_unsafe(f) and _wanted(ledger, f)):
        return _take(ledger, field).next
    held = holds_on(findings, (NOT_COMMISSIONED,))
    if held and power == "on" and ledger.power_refused and not ledger.power_just_refused:
        text = "Try again to switch power off at the unit, or have it switched off."
        return Next("power", text, held[0].text, "electrical", "power", state="off", finding=held[0].key)
    if held and ledger.power_refused:
        return Next(
            "nothing",
            "It cannot be left safe, so it cannot be signed: stay with it and call for help.",
            held[0].text,
            "signoff",
            finding=held[0].key,
        )
    if held:
        asked = held[0].fields[-1] if held[0].fields else ""
        return Next("enter", held[0].do or held[0].text, held[0].text, "signoff", asked, finding=held[0].key)
    return Next(
        "sign",
        "Sign as not commissioned.",
        root.text,
        "signoff",
        "sign",
        outcome="not commissioned",
        finding=root.key,
    )


def _blocking(findings: tuple[Finding, ...]) -> list[Finding]:
    """What stands in the way of a commissioned record, but for what sums the rest up."""
    return [f for f in findings if f.open and f.id not in ("SO-2", "SO-3")]


def _signed(ledger: Ledger, outcome: str, findings: tuple[Finding, ...]) -> Next:
    """Nothing more; why, where it was left not commissioned."""
    blocking = _blocking(findings)
    why = _root(ledger, blocking).text if blocking and outcome == "not commissioned" else ""
    return Next("nothing", f"Signed {outcome}.", why, pane="signoff")


def _root(ledger: Ledger, blocking: list[Finding]) -> Finding:
    """What the rest waits for: a failure, else what no entry is left to close, else the first."""
    failed = (f for f in blocking if f.failed)
    settled = (f for f in blocking if all(ledger.current(id) is not None for id in f.fields))
    return next(failed, None) or next(settled, None) or blocking[0]


def _closing(ledger: Ledger, finding: Finding) -> bool:
    """Whether a finding waits for nothing but words that are given last of all."""
    return finding.verdict == "not measured" and all(
        (field := ledger.fields.get(id)) is not None and field.closing for id in finding.fields
    )


def _asked_unsafe(field: Field) -> bool:
    """Whether it is asked before a unit is left not commissioned: what makes it safe, and what was put in."""
    return field.pane == "signoff" and ("unsafe" in field.when or bool(field.lapses))


def _last_words(ledger: Ledger, findings: tuple[Finding, ...], open_: Finding) -> Next:
    """Only acknowledgements lack: power comes on again, and what lapsed is given anew."""
    signing = Next("sign", "Sign as commissioned.")
    if ledger.state.power == "off":
        return _with_power(ledger, findings, _Work(signing, "on"))
    return _acknowledge(open_, "before the record can be signed as commissioned")


def _heat_off(ledger: Ledger, why: str) -> Next | None:
    """Where power cannot be switched off, heat is: the choice that keeps every stage off, once."""
    topic = ledger.equipment.role("auxiliary-heat")
    if topic is None:
        return None
    off = next((o for o in ledger.options(topic) if not o.value), None)
    chosen, now = ledger.chosen(topic), ledger.in_force(topic)
    if off is None or (now is not None and not now.value) or (chosen is not None and not chosen.value):
        return None
    text = f"Choose: {topic.label}, {off.label}."
    left = f"choose:{topic.id}"
    return Next("choose", text, why, "heat", left, topic=topic.id, options=(off.id,), value=off.id)
