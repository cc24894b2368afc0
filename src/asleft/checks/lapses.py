"""When a word once given no longer stands: a fact of the order of events, which no retraction takes back.

What hands did, they did; so the whole history counts here, what was taken back included.
"""

from __future__ import annotations

from calendar import timegm
from functools import lru_cache
from itertools import takewhile
from typing import TYPE_CHECKING

from asleft.sequence.guards import HANDS, acts_of_field
from asleft.session.fields import field_of
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

LONGEST_PAUSE_S = 4 * 3600
"""A unit left alone for longer is not the unit that was left (common practice)."""
DAY_S = 24 * 3600
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
            return before is not None and _left_alone(before, event, resumed)
        case "EL-18", Resumed() as resumed:
            return before is not None and _another_sitting(before, event, resumed)
        case "EL-19", _:
            return _hands_inside(equipment, event)
        case _:
            return False


def _left_alone(before: Event, event: Event, resumed: Resumed) -> bool:
    """Whether work goes on after a long pause, a damaged record, on another day, or by another person."""
    pause_s = _at_s(event.at) - _at_s(before.at)
    # A clock that went back tells nothing of how long it was.
    paused = pause_s > LONGEST_PAUSE_S or pause_s < 0
    return resumed.damaged or paused or _another_sitting(before, event, resumed)


def _another_sitting(before: Event, event: Event, resumed: Resumed) -> bool:
    """Whether work goes on by another person, or on another date where the unit stands."""
    days = {(_at_s(at) + resumed.ahead_s) // DAY_S for at in (before.at, event.at)}
    return before.by != event.by or len(days) > 1


@lru_cache(maxsize=1024)
def _at_s(utc: str) -> int:
    """Seconds since 1970 of a time as the session file has it."""
    date, _, time = utc.removesuffix("Z").partition("T")
    return timegm((*map(int, date.split("-")), *map(int, time.split(":"))))


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
