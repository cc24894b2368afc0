"""What typed text would mean, before it counts."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from asleft.quantity import KINDS, show
from asleft.session.acts import Enter
from asleft.session.payloads import Entered
from asleft.session.values import number_of
from asleft.visit import Refused, View
from asleft.visit.acts import read_act

if TYPE_CHECKING:
    from asleft.equipment.model import Instrument
    from asleft.session.acts import Act


def both(value: float, kind: str, system: str) -> tuple[str, ...]:
    """A value in the base unit as both unit systems show it, the one in use first; once where they agree."""
    other = "si" if system == "ip" else "ip"
    return tuple(dict.fromkeys(show(value, kind, s) for s in (system, other)))


def meant(
    view: View, instruments: Mapping[str, Instrument], act: Act | None, text: str, system: str
) -> tuple[str, ...]:
    """What a quantity typed for a field reads as, in both; empty while the text means nothing yet."""
    field = view.ledger.fields.get(act.field) if isinstance(act, Enter) else None
    if act is None or field is None or field.kind not in KINDS or not text.strip():
        return ()
    try:
        what = read_act(view, instruments, act, text, system)
    except Refused:
        return ()
    number = number_of(what.value) if isinstance(what, Entered) else None
    return () if number is None else both(number, field.kind, system)
