"""What happened in an event, in a few words."""

from __future__ import annotations

from asleft.session.fields import Field, field_of
from asleft.session.state import Event


def what_of(event: Event) -> str:
    """What an event is about, in a few words."""
    data = event.data
    if event.kind == "entered":
        field = field_of(data["field"])
        number = next((part for part in str(data["field"]).split(".") if part.isdigit()), "")
        label = _numbered(field, number) if field else str(data["field"])
        return f"{label}: {data['typed']}"
    if "setting" in data:
        return f"{event.kind.replace('_', ' ')} {data['setting']} at {data['address']}: {data['shown']}"
    said = str(data.get("option") or data.get("id") or data.get("state") or data.get("outcome") or "")
    about = f" {data['topic']}" if "topic" in data else ""
    return f"{event.kind.replace('_', ' ')}{about}{': ' if said else ''}{said}"


def _numbered(field: Field, number: str) -> str:
    label = field.label
    for brace in ("{circuit}", "{stage}", "{minute}", "{address}"):
        label = label.replace(brace, number)
    return label
