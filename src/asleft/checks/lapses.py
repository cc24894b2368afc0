"""When a word once given no longer stands: a fact of the order of events, which no retraction takes back.

What hands did, they did; so the whole history counts here, what was taken back included.
"""

from __future__ import annotations

from calendar import timegm
from collections.abc import Iterator
from functools import lru_cache
from itertools import pairwise
from typing import TYPE_CHECKING

from asleft.sequence.guards import HANDS, acts_of_field
from asleft.session.fields import field_of
from asleft.session.payloads import (
    Entered,
    FoundSetting,
    Powered,
    ReadSettingBack,
    Resumed,
    Used,
    WroteSetting,
)

if TYPE_CHECKING:
    from asleft.equipment.model import Equipment
    from asleft.session.events import Event
    from asleft.session.ledger import Ledger

ISOLATED, READY, CLEAR = "EL-1", "EL-18", "EL-19"
LONGEST_PAUSE_S = 4 * 3600
"""A unit left alone for longer is not the unit that was left (common practice)."""
DAY_S = 24 * 3600
TESTERS = ("meter", "clamp")
"""What is in hand where somebody reads what is live."""


def stands(ledger: Ledger, id: str) -> bool:
    """Whether what was acknowledged for a check still holds."""
    given = ledger.state.acknowledged.get(id, ())
    return bool(given) and given[-1] > lapsed(ledger, id)


def lapsed(ledger: Ledger, id: str) -> int:
    """The number of the last event at which an acknowledgement lapsed; 0 where none did."""
    return max(_lapses(ledger.equipment, ledger.state.history, id), default=0)


def _lapses(equipment: Equipment, history: tuple[Event, ...], id: str) -> Iterator[int]:
    match id:
        case "EL-1":
            yield from (e.n for e in history if isinstance(e.what, Powered) and e.what.state == "on")
            yield from (e.n for before, e in pairwise(history) if _left_alone(before, e))
        case "EL-18":
            yield from (e.n for e in history if isinstance(e.what, Used) and e.what.role in TESTERS)
            yield from (e.n for before, e in pairwise(history) if _another_sitting(before, e))
        case "EL-19":
            yield from (e.n for e in history if isinstance(e.what, Powered) and e.what.state == "off")
            yield from (e.n for e in history if _hands_inside(equipment, e))
            yield from (e.n for before, e in pairwise(history) if _left_alone(before, e))


def _left_alone(before: Event, event: Event) -> bool:
    """Whether work goes on after a long pause, a damaged record, on another day, or by another person."""
    if not isinstance(event.what, Resumed):
        return False
    pause_s = _at_s(event.at) - _at_s(before.at)
    # A clock that went back tells nothing of how long it was.
    paused = pause_s > LONGEST_PAUSE_S or pause_s < 0
    return event.what.damaged or paused or _another_sitting(before, event)


def _another_sitting(before: Event, event: Event) -> bool:
    """Whether work goes on by another person, or on another date where the unit stands."""
    if not isinstance(event.what, Resumed):
        return False
    days = {(_at_s(at) + event.what.ahead_s) // DAY_S for at in (before.at, event.at)}
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
