"""A healthy visit cut where it stands still: begun, papers told, isolated, read, chosen, written, done.

Told event by event without a file (`checks.visits`): a row can be asked for at every stage in no time.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from typing import Any

from asleft.equipment.model import Equipment, Instrument
from asleft.face.rows import Row, rows
from asleft.session.events import Event
from asleft.session.payloads import Acknowledged
from asleft.session.state import State, fold, fold_all
from asleft.visit.view import View, look
from checks.visits import Change, all_of, visit
from support import Told, demo_unit, event

BEGUN, PAPERS, ISOLATED, IDLE, READ, CHOSEN, WRITTEN, DONE = (
    "begun",
    "papers",
    "isolated",
    "idle",
    "read",
    "chosen",
    "written",
    "done",
)
WHO = {"identity.technician": "Ada Calder", "identity.site": "Mill Lane"}
"""What the healthy visit does not say."""
Until = Callable[[Event], bool]

_FIRST: dict[str, Until] = {
    BEGUN: lambda e: True,
    PAPERS: lambda e: e.kind == "powered",
    ISOLATED: lambda e: e.what == Acknowledged("EL-19"),
    IDLE: lambda e: e.kind == "found",
    READ: lambda e: e.kind == "chose",
    CHOSEN: lambda e: e.kind == "wrote",
    WRITTEN: lambda e: e.kind == "read_back",
    DONE: lambda e: False,
}
"""Each stage ends before the first event like this."""


@cache
def state_at(stage: str) -> State:
    """The events of the healthy visit until that stage."""
    history = visit().state.history
    end = next((n for n, event in enumerate(history) if _FIRST[stage](event)), len(history))
    return fold_all(history[:end])


def told_at(stage: str, *changes: Change, equipment: Equipment | None = None) -> Told:
    """The visit at a stage, and what is told then."""
    told = Told(equipment or demo_unit())
    told.state = state_at(stage)
    for change in () if stage == BEGUN else (all_of(WHO),):
        change(told)
    for change in changes:
        change(told)
    return told


def seen(stage: str, *changes: Change, equipment: Equipment | None = None, system: str = "ip") -> View:
    """What a person sees then."""
    if not changes and equipment is None:
        return _seen(stage, system)
    told = told_at(stage, *changes, equipment=equipment)
    return look(told.equipment, told.state, system)


@cache
def _seen(stage: str, system: str) -> View:
    return look(demo_unit(), told_at(stage).state, system)


def pane(view: View, name: str, system: str = "ip") -> dict[str, Row]:
    """The rows of a pane by the act that each submits; of rows that share one, the last."""
    return {row.left: row for row in rows(view, name, system)}


def row(view: View, left: str, name: str = "", system: str = "ip") -> Row:
    """The row of an act, on the pane of its field unless one is named."""
    return pane(view, name or left.partition(".")[0], system)[left]


def noted(text: str, **more: Any) -> Change:
    """A note, with what makes it more than a remark."""

    def told(job: Told) -> None:
        n = job.state.last_n + 1
        at = f"2031-05-04T09:{n // 60:02}:{n % 60:02}Z"
        job.state = fold(job.state, event(n, "noted", at=at, text=text, **more))

    return told


def instrument(id: str, role: str, name: str, accuracy: tuple[str, ...]) -> Instrument:
    """One that may be picked."""
    return Instrument(id=id, role=role, name=name, accuracy=accuracy, calibrated_until="2033-01-31")  # type: ignore[arg-type]
