"""What undo and redo would retract. Nothing is erased: redo retracts the retraction."""

from __future__ import annotations

from typing import TYPE_CHECKING

from asleft.session.payloads import Retracted
from asleft.session.state import CANNOT_RETRACT

if TYPE_CHECKING:
    from asleft.session.events import Event
    from asleft.session.state import State

_FIXED = (Retracted, *CANNOT_RETRACT)


def last_act(state: State) -> Event | None:
    """The newest event that undo would take back."""
    return next(
        (e for e in reversed(state.history) if not isinstance(e.what, _FIXED) and e.n not in state.retracted),
        None,
    )


def last_undo(state: State) -> tuple[Event, Event] | None:
    """What redo would take back and what that retracted: the newest retraction, if nothing came since."""
    for event in reversed(state.history):
        what = event.what
        if not isinstance(what, Retracted):
            return None
        target = next((e for e in state.history if e.n == what.of), None)
        stands = event.n not in state.retracted
        if stands and target is not None and not isinstance(target.what, Retracted):
            return event, target
    return None
