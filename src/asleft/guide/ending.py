"""The end of a visit: signed as commissioned, or left safe and signed as not."""

from __future__ import annotations

from typing import TYPE_CHECKING

from asleft.checks import CONCLUDING
from asleft.guide.first import acknowledge, with_power
from asleft.guide.thing import Next, Work, acknowledgeable, holds_on
from asleft.guide.work import PROVED_DEAD, take, wanted
from asleft.sequence.guards import COMMISSIONED, NOT_COMMISSIONED
from asleft.session.acts import Choose, Enter, Sign, SwitchPower

if TYPE_CHECKING:
    from asleft.checks.finding import Finding
    from asleft.session.acts import Act
    from asleft.session.fields import Field
    from asleft.session.ledger import Ledger


RUNNING = "SO-6"
"""How a commissioned unit is left: judged all along, closed last of all."""
_WAIVE = "Waive what is open at Sign-off, or switch power off."
"""What a person may still do before a visit ends for want of a reading; nobody does it unasked."""


def ending(ledger: Ledger, findings: tuple[Finding, ...]) -> Next:
    """Sign as commissioned where nothing stands in the way, else leave it safe and sign that it is not."""
    blocking = _blocking(findings)
    if all(_closing(ledger, f) for f in blocking):
        for field in (f for f in ledger.fields.values() if f.closing and wanted(ledger, f)):
            return take(ledger, field).next
    if not holds_on(findings, (COMMISSIONED,)):
        return Next(
            "sign",
            "Sign as commissioned.",
            "Every check has passed or is waived.",
            "signoff",
            Sign(),
            outcome="commissioned",
        )
    if not blocking:
        return _left_running(ledger, findings)
    if all(acknowledgeable(f) for f in blocking):
        return _last_words(ledger, findings, blocking[0])
    root = _root(ledger, blocking)
    power, why = ledger.state.power, f"Left safe, not commissioned: {root.text}"
    if power == "on" and not ledger.power_refused:
        text = "Switch power off at the unit."
        if all(f.severity == "correct" and not f.failed for f in blocking):
            text, why = _WAIVE, f"Open: {root.key}, {root.verdict}. {root.text}"
        return Next("power", text, why, "electrical", SwitchPower(), state="off")
    if power == "on" and (heat_off := _heat_off(ledger, why)):
        return heat_off
    for field in (f for f in ledger.fields.values() if _asked_unsafe(f) and wanted(ledger, f)):
        return take(ledger, field).next
    held = holds_on(findings, (NOT_COMMISSIONED,))
    # What an entry can mend rests on fields; what only the switch can mend rests on none.
    only_power_helps = bool(held) and not held[0].needs
    if only_power_helps and power == "on" and ledger.power_refused and not ledger.power_just_refused:
        text = "Try again to switch power off at the unit, or have it switched off."
        return Next(
            "power", text, held[0].text, "electrical", SwitchPower(), state="off", finding=held[0].key
        )
    if only_power_helps and ledger.power_refused:
        return Next(
            "nothing",
            "It cannot be left safe, so it cannot be signed: stay with it and call for help.",
            held[0].text,
            "signoff",
            finding=held[0].key,
        )
    if held:
        needs = held[0].needs
        asked = next((act for act in needs if not _entered(ledger, act)), needs[-1])
        return Next(
            "enter",
            held[0].do or held[0].text,
            held[0].text,
            "signoff",
            asked,
            finding=held[0].key,
        )
    return Next(
        "sign",
        "Sign as not commissioned.",
        root.text,
        "signoff",
        Sign(),
        outcome="not commissioned",
        finding=root.key,
    )


def _blocking(findings: tuple[Finding, ...]) -> list[Finding]:
    """What stands in the way of a commissioned record, but for how it is left and what sums the rest up."""
    open_ = (f for f in findings if f.open and f.id not in CONCLUDING)
    return [f for f in open_ if f.failed or not _comes_with_power(f)]


def _comes_with_power(finding: Finding) -> bool:
    """Whether nothing but power, or one more look, is wanting: no proof, and no word to be given anew."""
    if finding.id == RUNNING:
        return not any(isinstance(act, Enter) for act in finding.needs)
    return finding.id == PROVED_DEAD


def signed(ledger: Ledger, outcome: str, findings: tuple[Finding, ...]) -> Next:
    """Nothing more; why, where it was left not commissioned."""
    blocking = _blocking(findings)
    why = _root(ledger, blocking).text if blocking and outcome == "not commissioned" else ""
    return Next("nothing", f"Signed {outcome}.", why, pane="signoff")


def _root(ledger: Ledger, blocking: list[Finding]) -> Finding:
    """What the rest waits for: a failure, else what no entry is left to close, else the first."""
    failed = (f for f in blocking if f.failed)
    settled = (f for f in blocking if all(_entered(ledger, act) for act in f.needs))
    return next(failed, None) or next(settled, None) or blocking[0]


def _closing(ledger: Ledger, finding: Finding) -> bool:
    """Whether a finding waits for nothing but words that are given last of all."""
    return finding.verdict == "not measured" and all(
        isinstance(act, Enter) and act.field in ledger.fields and ledger.fields[act.field].closing
        for act in finding.needs
    )


def _entered(ledger: Ledger, act: Act) -> bool:
    """Whether an act is a field that holds an entry."""
    return isinstance(act, Enter) and ledger.current(act.field) is not None


def _asked_unsafe(field: Field) -> bool:
    """Whether it is asked before a unit is left not commissioned: what makes it safe, and what was put in."""
    return field.pane == "signoff" and ("unsafe" in field.when or bool(field.lapses))


def _last_words(ledger: Ledger, findings: tuple[Finding, ...], open_: Finding) -> Next:
    """Only acknowledgements lack: power comes on again, and what lapsed is given anew."""
    signing = Next("sign", "Sign as commissioned.")
    if ledger.state.power == "off":
        return with_power(ledger, findings, Work(signing, "on"))
    return acknowledge(open_, "before the record can be signed as commissioned")


def _left_running(ledger: Ledger, findings: tuple[Finding, ...]) -> Next:
    """All is well, but it does not run by itself yet: power on, off and on again, or one more look."""
    held = next(f for f in findings if f.id == RUNNING)
    if ledger.state.power == "off":
        return with_power(ledger, findings, Work(Next("sign", "Sign as commissioned."), "on"))
    act = held.needs[0]
    if isinstance(act, SwitchPower):
        return Next("power", held.do, held.text, "electrical", act, state="off")
    return Next("read_back", held.do, held.text, "sequence", act)


def _heat_off(ledger: Ledger, why: str) -> Next | None:
    """Where power cannot be switched off, heat is: the choice that keeps every stage off, once."""
    topic = ledger.equipment.role("auxiliary-heat")
    if topic is None:
        return None
    off = next((o for o in ledger.options(topic) if not o.value), None)
    chosen, now = ledger.chosen(topic), ledger.surely_in_force(topic)
    if off is None or (now is not None and not now.value) or (chosen is not None and not chosen.value):
        return None
    text = f"Choose: {topic.label}, {off.label}."
    return Next("choose", text, why, "heat", Choose(topic.id), options=(off.id,), value=off.id)
