"""When a word once given no longer stands: a fact of the order of events, which no retraction takes back.

What hands did, they did; so the whole history counts here, what was taken back included.
"""

from __future__ import annotations

from itertools import takewhile
from typing import TYPE_CHECKING

from asleft.sequence.guards import HANDS, acts_of_field
from asleft.session.fields import DEAD, field_of
from asleft.session.pauses import another_sitting, left_alone
from asleft.session.payloads import (
    Entered,
    FoundSetting,
    Powered,
    ReadSettingBack,
    Resumed,
    Senseless,
    Used,
    WroteSetting,
)

if TYPE_CHECKING:
    from asleft.equipment.model import Equipment
    from asleft.session.events import Event
    from asleft.session.ledger import Ledger

TESTERS = ("meter", "clamp")
"""What is in hand where somebody reads what is live."""


def stands(ledger: Ledger, id: str) -> bool:
    """Whether what was acknowledged for a check still holds."""
    given = ledger.state.acknowledged.get(id, ())
    if not given:
        return False
    since = takewhile(lambda doing: doing[1].n > given[-1], reversed(ledger.state.doings))
    return not any(_ends(ledger.equipment, id, before, event) for before, event in since)


def _ends(equipment: Equipment, id: str, before: Event | None, event: Event) -> bool:
    """Whether an acknowledgement of a check lapses with an event."""
    match id, event.what:
        case _, Senseless():
            return True
        case "EL-1", Powered(state):
            return state == "on"
        case "EL-19", Powered(state):
            return state == "off"
        case "EL-18", Used() as used:
            return used.role in TESTERS
        case "EL-1" | "EL-19", Resumed() as resumed:
            return before is not None and left_alone(before, event, resumed)
        case "EL-18", Resumed() as resumed:
            return before is not None and another_sitting(before, event, resumed)
        case "EL-1", Entered(id):
            # Whoever tests again whether it is dead has doubts.
            field = field_of(id)
            return field is not None and field.state == DEAD
        case "EL-19", _:
            return _hands_inside(equipment, event)
        case _:
            return False


def _hands_inside(equipment: Equipment, event: Event) -> bool:
    """Whether an event says that hands were inside the unit."""
    what = event.what
    match what:
        case Entered():
            field = field_of(what.field)
            return field is not None and HANDS in acts_of_field(field)
        case FoundSetting() | WroteSetting() | ReadSettingBack():
            setting = equipment.setting_of(what.setting)
            return setting is not None and setting.power == "off"
        case _:
            return False
