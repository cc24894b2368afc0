"""Pauses in a visit: when the unit that work goes on with may not be the unit that was left."""

from __future__ import annotations

from typing import TYPE_CHECKING

from asleft.session.timed import seconds_of

if TYPE_CHECKING:
    from asleft.session.events import Event
    from asleft.session.payloads import Resumed

LONGEST_PAUSE_S = 4 * 3600
"""A unit left alone for longer is not the unit that was left (common practice)."""
DAY_S = 24 * 3600


def left_alone(before: Event, event: Event, resumed: Resumed) -> bool:
    """Whether work goes on after a long pause, a damaged record, on another day, or by another person."""
    pause_s = seconds_of(event.at) - seconds_of(before.at)
    # A clock that went back tells nothing of how long it was.
    paused = pause_s > LONGEST_PAUSE_S or pause_s < 0
    return resumed.damaged or paused or another_sitting(before, event, resumed)


def another_sitting(before: Event, event: Event, resumed: Resumed) -> bool:
    """Whether work goes on by another person, or on another date where the unit stands."""
    days = {(seconds_of(at) + resumed.ahead_s) // DAY_S for at in (before.at, event.at)}
    return before.by != event.by or len(days) > 1
