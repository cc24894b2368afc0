"""Acts that hands must not do: which hold each breaks, and what would have happened."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import TYPE_CHECKING

import tomli

from asleft.drill.classroom.hands import Held, hurts
from asleft.sequence.guards import ENABLING, HANDS, power_of_field
from asleft.session.acts import Break, Enter, Look, Write

if TYPE_CHECKING:
    from asleft.session.acts import Act
    from asleft.session.fields import Field
    from asleft.visit import Refused, View, Visit

OHMS = "ohms"
MOST = 380
"""Characters of what would have happened, as of any text that a session takes."""


@dataclass(frozen=True, slots=True)
class Breach:
    """A hold that an act breaks, what is said of it beforehand, and what would have happened."""

    broke: str
    because: str
    happens: str

    @property
    def sentence(self) -> str:
        """Why the hold held, as a sentence of its own."""
        return f"{self.because[:1].upper()}{self.because[1:]}."

    @property
    def act(self) -> Break:
        """The act that records it."""
        return Break(self.broke)


@dataclass(frozen=True, slots=True)
class _Known:
    act: str
    breaks: str
    happens: str
    source: str


@cache
def known() -> Mapping[str, _Known]:
    """What would happen, by the guarded act."""
    data = tomli.loads(resources.files(__package__).joinpath("breaches.toml").read_text("utf-8"))
    return {item["act"]: _Known(**item) for item in data["breach"]}


def breach_of(visit: Visit, act: Act, held: Held | None = None) -> Breach | None:
    """What an act would break if hands did it now; None where it may be done, or does nothing."""
    view = visit.view
    field = view.ledger.fields.get(act.field) if isinstance(act, Enter) else None
    if held is not None and (at := view.ledger.fields.get(held.at)) and hurts(held, at):
        return _breach(OHMS, "ohms are never measured on a live circuit")
    refused = visit.forbidden(act)
    if refused is None:
        return None
    if refused.holds:
        return _by_a_hold(refused)
    if _power_for(view, act, field) == "off" and view.state.power == "on":
        ohms = field is not None and field.kind == "resistance"
        return _breach(OHMS if ohms else HANDS, str(refused))
    return None


def _by_a_hold(refused: Refused) -> Breach:
    hold = refused.holds[0]
    acts = [act for act in known() if act in hold.guards]
    act = acts[0] if acts else ENABLING
    return _breach(act, str(refused), hold.id)


def _power_for(view: View, act: Act, field: Field | None) -> str:
    """The power that an act of hands wants, nothing where either will do."""
    if field is not None:
        return power_of_field(field)
    setting = view.equipment.setting_of(act.setting) if isinstance(act, Look | Write) else None
    return setting.power if setting else ""


def _breach(act: str, because: str, broke: str = "") -> Breach:
    told = known()[act]
    return Breach(broke or told.breaks, because.rstrip("."), told.happens[:MOST])
