"""What an act and what is typed for it would be as an event, or why it is not taken."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, assert_never

from asleft.session.acts import (
    Acknowledge,
    Break,
    Cannot,
    Choose,
    Enter,
    FindingName,
    Finish,
    Hint,
    Look,
    Mend,
    Note,
    ReadBack,
    Report,
    Retract,
    Review,
    Seal,
    Sign,
    SwitchPower,
    Waive,
    Write,
)
from asleft.session.parts import NotAPart, part_and_text, parts_of
from asleft.session.payloads import (
    OUTCOMES,
    POWER_STATES,
    Acknowledged,
    Broke,
    Chose,
    CouldNot,
    FoundSetting,
    Mended,
    Noted,
    Powered,
    ReadSettingBack,
    Retracted,
    SettingDone,
    Signed,
    Waived,
    WroteSetting,
)
from asleft.session.state import CANNOT_RETRACT
from asleft.visit.drill_acts import hinted, reported
from asleft.visit.entered import entered
from asleft.visit.refusal import Refused
from asleft.visit.words import near, plain, some, word, yes

if TYPE_CHECKING:
    from asleft.checks.finding import Finding
    from asleft.equipment.model import Instrument
    from asleft.session.acts import Act, Refusable
    from asleft.session.payloads import Payload
    from asleft.visit.view import View


def read_act(view: View, instruments: Mapping[str, Instrument], act: Act, typed: str, system: str) -> Payload:
    """What an act would be as an event. Raises Refused with what was wrong and what would be right."""
    typed = plain(typed)
    match act:
        case Enter():
            return entered(view, instruments, act.field, typed, system)
        case Choose():
            return _chose(view, act, typed)
        case Look() | Write() | ReadBack():
            return _shown(view, act, typed)
        case SwitchPower():
            return Powered(word(typed, POWER_STATES, str(act)))
        case Acknowledge():
            return _acknowledged(view, act, typed)
        case Waive():
            return _waived(view, act, typed)
        case Mend():
            return _mended(view, act, typed)
        case Cannot():
            return _could_not(view, act.act, typed)
        case Note():
            return Noted(some(typed, "a note"))
        case Break():
            return Broke(some(typed, "what was done"), act.hold)
        case Retract():
            return _retracted(view, act, typed)
        case Sign():
            return Signed(word(typed, OUTCOMES, str(act)))
        case Report():
            return reported(view, typed)
        case Hint():
            return hinted(view, act, typed)
        case Seal() | Finish() | Review():
            raise TypeError(f"{act} is about the record itself, and is no event of the visit")
        case _:
            assert_never(act)


def _chose(view: View, act: Choose, typed: str) -> Chose:
    topic = view.equipment.topic_of(act.topic)
    if topic is None:
        topics = [t.id for t in view.equipment.topic]
        raise Refused(
            f"{act.topic!r} is no topic of this unit",
            near(act.topic, topics) or "one of: " + ", ".join(topics),
        )
    options = view.ledger.options(topic)
    named = next((o.id for o in options if o.label.casefold() == typed.casefold()), typed)
    ids = dict.fromkeys(o.id for o in options)
    return Chose(topic.id, word(named, ids, topic.label))


def _shown(view: View, act: Look | Write | ReadBack, typed: str) -> SettingDone:
    setting = view.equipment.setting_of(act.setting)
    places = [f"{s.id}@{a}" for s, a in view.equipment.places()]
    if setting is None or (act.address and act.address not in setting.address):
        raise Refused(
            f"{act.place!r} is no setting of this unit", near(act.place, places) or "SETTING@ADDRESS"
        )
    if not act.address and len(setting.address) > 1:
        raise Refused(f"{act.setting} lives at several addresses", "one of: " + ", ".join(setting.address))
    address = act.address or setting.address[0]
    shown = some(typed, "what the control shows")
    match act:
        case Look():
            return FoundSetting(setting.id, address, shown)
        case ReadBack():
            return ReadSettingBack(setting.id, address, shown, view.equipment.queried(setting.id))
        case Write():
            value = view.equipment.value_of(setting.id, shown)
            if value not in setting.values:
                # What the control answered is no value: what was keyed is what the plan has there.
                value = view.ledger.planned().get((setting.id, address), "")
            code = view.equipment.code_of(setting.id, value)
            return WroteSetting(setting.id, address, shown, code.keys if code else "")
        case _:
            assert_never(act)


def _acknowledged(view: View, act: Acknowledge, typed: str) -> Acknowledged:
    if not yes(typed, str(act)):
        raise Refused(f"{act.id} is not acknowledged by no", "type yes when it is done")
    asked = [f for f in view.findings if Acknowledge(f.id) in f.needs]
    if all(f.id != act.id for f in asked):
        now = next((f.text for f in view.findings if f.id == act.id), "")
        ids = ", ".join(f.id for f in asked)
        raise Refused(f"{act.id!r} is nothing to acknowledge now. {now}".rstrip(), f"one of: {ids}")
    return Acknowledged(act.id)


def _waived(view: View, act: Waive, typed: str) -> Waived:
    finding = _finding(view, act.finding)
    if finding.severity == "hold":
        raise Refused(f"{finding.key} is a hold and nobody can waive it", "mend it, or leave the unit safe")
    if finding.releases:
        raise Refused(f"{finding.key} has nothing to waive: {finding.verdict}")
    return Waived(finding.name, some(typed, "a reason"))


def _mended(view: View, act: Mend, typed: str) -> Mended:
    finding = _finding(view, act.finding)
    if not finding.failed:
        raise Refused(f"{finding.key} has nothing to mend: {finding.verdict}")
    try:
        part, text = part_and_text(typed, parts_of(view.ledger.fields))
    except NotAPart as error:
        raise Refused(str(error), "one of: " + ", ".join(error.right)) from error
    return Mended(some(text, "what was mended"), finding.name, finding.needs, part)


def _could_not(view: View, act: Refusable, typed: str) -> CouldNot:
    what: Enter | SwitchPower | FindingName
    match act:
        case SwitchPower():
            what = act
        case Enter():
            # Something that was neither typed as a field nor as a finding may still be meant as one of them.
            what = act if act.field in view.ledger.fields else _named(view, FindingName.parse(act.field))
        case Mend():
            what = _named(view, act.finding)
        case Look() | Write() | ReadBack():
            what = _about_setting(view, act)
        case _:
            assert_never(act)
    return CouldNot(some(typed, "why not"), what)


def _named(view: View, name: FindingName) -> FindingName:
    return _finding(view, name).name


def _about_setting(view: View, act: Look | Write | ReadBack) -> FindingName:
    """The finding that a setting out of reach is noted under: the first about it."""
    setting = view.equipment.setting_of(act.setting)
    address = act.address or (setting.address[0] if setting else "")
    subject = f"setting.{act.setting}@{address}"
    for finding in view.findings:
        if finding.subject == subject:
            return finding.name
    raise Refused(f"no finding is about {act.place!r}", "a field, power, or a finding as ID/SUBJECT")


def _finding(view: View, name: FindingName) -> Finding:
    for finding in view.findings:
        if finding.id == name.id and (finding.subject == name.subject or not name.subject):
            return finding
    keys = [f"{f.id}/{f.subject}" for f in view.findings]
    right = near(str(name), keys) or "ID/SUBJECT as asleft check prints them"
    raise Refused(f"{str(name)!r} is no finding", right)


def _retracted(view: View, act: Retract, typed: str) -> Retracted:
    event = next((e for e in view.state.history if e.n == act.n), None)
    if event is None:
        raise Refused(f"there is no event '{act.n}'", f"a number from 1 to {view.state.last_n}")
    if isinstance(event.what, CANNOT_RETRACT):
        raise Refused(f"event {act.n} is {event.kind} and cannot be retracted")
    if event.n in view.state.retracted:
        raise Refused(f"event {act.n} is retracted already", "retract the retraction to bring it back")
    return Retracted(event.n, some(typed, "why"))
