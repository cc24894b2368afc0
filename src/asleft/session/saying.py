"""What happened in an event, in a few words."""

from __future__ import annotations

from typing import TYPE_CHECKING, assert_never

from asleft.session.acts import FindingName
from asleft.session.events import Event
from asleft.session.fields import Field, field_of
from asleft.session.payloads import (
    Acknowledged,
    Broke,
    Chose,
    CouldNot,
    Drilled,
    Entered,
    FoundSetting,
    Hinted,
    Mended,
    Noted,
    NotedDone,
    Powered,
    ReadSettingBack,
    Reported,
    Resumed,
    Retracted,
    Revealed,
    Reviewed,
    Sealed,
    Senseless,
    Signed,
    Used,
    Waived,
    WroteSetting,
)

if TYPE_CHECKING:
    from asleft.session.ledger import Ledger


def what_of(event: Event, ledger: Ledger | None = None) -> str:
    """What an event is about: by the names on the screen where a ledger is given, else by ids."""
    what = event.what
    match what:
        case Entered():
            brought = f", read at {what.read_at} by a file of readings or a rig" if what.read_at else ""
            return f"{_field(what.field, ledger)}: {what.typed}{brought}"
        case Used():
            return f"{_field(what.field, ledger)}: {what.name}"
        case Chose():
            return f"chosen, {_chosen(what.topic, what.option, ledger)}"
        case FoundSetting() | WroteSetting() | ReadSettingBack():
            setting = ledger and ledger.equipment.setting_of(what.setting)
            named = setting.label if setting else what.setting
            return f"{what.kind.replace('_', ' ')} {named} at {what.address}: {what.shown}"
        case Powered():
            return f"power {what.state}"
        case Acknowledged():
            return f"acknowledged {what.id}"
        case Waived():
            return f"waived {what.finding.key}: {what.why}"
        case Noted() | Mended() | CouldNot() | Broke() | Reported() | Hinted():
            return f"noted, {_about(what)}{what.text}"
        case Retracted():
            return f"event {what.of} taken back: {what.why}"
        case Resumed():
            return "opened again"
        case Signed():
            return f"signed {what.outcome}"
        case Sealed():
            return f"sealed, events 1 to {what.of}"
        case Reviewed():
            return f"{what.outcome} by a supervisor: {what.why}"
        case Drilled():
            return "the drill began"
        case Revealed():
            return "the drill ended, its sheet revealed"
        case Senseless():
            return f"{what.kind} makes no sense: {what.why}"
        case _:
            assert_never(what)


def _about(note: NotedDone) -> str:
    """What a note is about, besides its text."""
    match note:
        case Mended():
            return f"mends {note.finding.key}{f', {note.part}' if note.part else ''}: "
        case CouldNot():
            return f"refused {refused_words(note)}: "
        case Broke():
            return f"broke {note.hold}: "
        case Reported():
            return f"reports {note.reports}: "
        case Noted() | Hinted():
            return ""
        case _:
            assert_never(note)


def refused_words(note: CouldNot) -> str:
    """What could not be done: power, a field by its id, or a finding by its key."""
    return note.what.key if isinstance(note.what, FindingName) else str(note.what)


def _chosen(topic: str, option: str, ledger: Ledger | None) -> str:
    known = ledger and ledger.equipment.topic_of(topic)
    if not known:
        return f"{topic}: {option}"
    return f"{known.label}: {next((o.label for o in known.option if o.id == option), option)}"


def _field(id: str, ledger: Ledger | None) -> str:
    """The label of a field, its number in it."""
    here = ledger and ledger.fields.get(id)
    if here:
        return here.label
    written = field_of(id)
    return _numbered(written, id) if written else id


def _numbered(field: Field, id: str) -> str:
    """The label as written, with what stands in the id in place of each brace."""
    label = field.label
    for pattern, part in zip(field.id.split("."), id.split("."), strict=False):
        label = label.replace(pattern, part) if pattern.startswith("{") else label
    return label
