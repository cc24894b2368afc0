"""What undo and redo would retract. Nothing is erased: redo retracts the retraction."""

from __future__ import annotations

from typing import TYPE_CHECKING

from asleft.session.state import CANNOT_RETRACT

if TYPE_CHECKING:
    from asleft.session.state import Event, State

_FIXED = {"retracted", *CANNOT_RETRACT}


def last_act(state: State) -> Event | None:
    """The newest event that undo would take back."""
    return next(
        (e for e in reversed(state.history) if e.kind not in _FIXED and e.n not in state.retracted), None
    )


def last_undo(state: State) -> tuple[Event, Event] | None:
    """What redo would take back and what that retracted: the newest retraction, if nothing came since."""
    for event in reversed(state.history):
        if event.kind != "retracted":
            return None
        target = next((e for e in state.history if e.n == event.data["of"]), None)
        if event.n not in state.retracted and target is not None and target.kind != "retracted":
            return event, target
    return None
