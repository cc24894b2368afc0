"""What typed text would mean, before it counts."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from asleft.quantity import KINDS, show
from asleft.visit import Refused, View
from asleft.visit.acts import read_act

if TYPE_CHECKING:
    from asleft.equipment.model import Instrument


def echo(view: View, instruments: Mapping[str, Instrument], left: str, text: str, system: str) -> str:
    """The value in both unit systems, the one in use first; empty while the text means nothing yet."""
    field = view.ledger.fields.get(left)
    if field is None or field.kind not in KINDS or not text.strip():
        return ""
    try:
        draft = read_act(view, instruments, left, text, system)
    except Refused:
        return ""
    value = float(draft.data["value"])
    shown = dict.fromkeys(show(value, field.kind, s) for s in (system, "si" if system == "ip" else "ip"))
    return f"reads as {', '.join(shown)}; Enter takes it"
