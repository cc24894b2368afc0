"""What happened in an event, in a few words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from asleft.session.fields import Field, field_of
from asleft.session.state import Event

if TYPE_CHECKING:
    from asleft.session.ledger import Ledger

ABOUT = ("reports", "mends", "refused", "broke")
"""What a note can be about, besides its text."""


def what_of(event: Event, ledger: Ledger | None = None) -> str:
    """What an event is about: by the names on the screen where a ledger is given, else by ids."""
    data = event.data
    match event.kind:
        case "entered":
            return f"{_field(str(data['field']), ledger)}: {data['typed']}"
        case "used":
            return f"{_field(str(data['field']), ledger)}: {data['name']}"
        case "chose":
            return f"chosen, {_chosen(str(data['topic']), str(data['option']), ledger)}"
        case "found" | "wrote" | "read_back":
            setting = ledger and ledger.equipment.setting_of(str(data["setting"]))
            named = setting.label if setting else data["setting"]
            return f"{event.kind.replace('_', ' ')} {named} at {data['address']}: {data['shown']}"
        case "powered":
            return f"power {data['state']}"
        case "waived":
            return f"waived {data['id']} {data['subject']}: {data['why']}"
        case "noted":
            about = next((f"{key} {data[key]}: " for key in ABOUT if data.get(key)), "")
            return f"noted, {about}{data['text']}"
        case "retracted":
            return f"event {data['of']} taken back: {data['why']}"
        case "resumed":
            return "opened again"
        case "sealed":
            return f"sealed, events 1 to {data['of']}"
        case "reviewed":
            return f"{data['outcome']} by a supervisor: {data['why']}"
        case "drilled":
            return "the drill began"
        case "revealed":
            return "the drill ended, its sheet revealed"
        case _:
            return f"{event.kind} {data.get('id') or data.get('outcome') or ''}".rstrip()


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
