"""What typed text would mean, before it counts."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from asleft.quantity import KINDS, show
from asleft.visit import Refused, View
from asleft.visit.acts import read_act

if TYPE_CHECKING:
    from asleft.equipment.model import Instrument


def both(value: float, kind: str, system: str) -> tuple[str, ...]:
    """A value in the base unit as both unit systems show it, the one in use first; once where they agree."""
    other = "si" if system == "ip" else "ip"
    return tuple(dict.fromkeys(show(value, kind, s) for s in (system, other)))


def meant(
    view: View, instruments: Mapping[str, Instrument], left: str, text: str, system: str
) -> tuple[str, ...]:
    """What a quantity typed for a field reads as, in both; empty while the text means nothing yet."""
    field = view.ledger.fields.get(left)
    if field is None or field.kind not in KINDS or not text.strip():
        return ()
    try:
        draft = read_act(view, instruments, left, text, system)
    except Refused:
        return ()
    return both(float(draft.data["value"]), field.kind, system)
