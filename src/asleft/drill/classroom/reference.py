"""A drill worked by somebody who does only what is next and knows nothing: what a trainee is held against."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, cast

from asleft.checks.finding import FAILS
from asleft.drill.answers import RigError
from asleft.drill.classroom.lesson_unit import LessonUnit
from asleft.drill.rig import BuiltIn
from asleft.drill.technician import SimulatedClock, Stuck, headless
from asleft.equipment.library import instruments
from asleft.session.events import Event, read_all
from asleft.visit import View, Visit

if TYPE_CHECKING:
    from asleft.drill.classroom.sheet import Staged
    from asleft.journal import Journal

SALT = "reference play, no secret"


class InMemory:
    """Events kept in memory in place of a journal on disk."""

    def __init__(self, events: Sequence[Mapping[str, Any]] = ()) -> None:
        self.events = list(events)

    @property
    def contents(self) -> InMemory:
        """What was read."""
        return self

    def append(self, blocks: Sequence[Mapping[str, Any]]) -> None:
        """One entry."""
        self.events.extend(blocks)

    def close(self) -> None:
        """Nothing to let go of."""


@dataclass(frozen=True)
class Reference:
    """How far `next` alone leads in a drill: the last view, and every finding that failed on the way.

    `failed` gives for each finding, by its check and subject, the event after which it failed first.
    """

    view: View
    history: tuple[Event, ...]
    """Its events as a file would hold them, with the verdicts shown then."""
    failed: Mapping[str, int]
    stuck: str = ""

    @property
    def events(self) -> int:
        """How many entries that took."""
        return self.view.state.last_n

    @property
    def choices(self) -> dict[str, str]:
        """The option taken of each topic: what the readings of this unit recommend."""
        return {topic: choice.option for topic, choice in self.view.state.choices.items()}

    @property
    def outcome(self) -> str:
        """How it was signed; empty where it was not."""
        return self.view.state.signature.outcome if self.view.state.signature else ""


def reference(staged: Staged) -> Reference:
    """Work a drill as `next` says, in memory; the same sheet gives the same play."""
    journal = InMemory()
    visit = Visit(
        cast("Journal", journal),
        staged.equipment,
        {i.id: i for i in instruments()},
        by=staged.healthy.job["identity.technician"],
        clock=SimulatedClock(staged.sheet.seed),
    )
    stuck = ""
    try:
        headless(visit, BuiltIn(LessonUnit(staged, SALT)))
    except (RigError, Stuck) as trouble:
        stuck = str(trouble)
    return of_events(visit.view, journal.events, stuck)


def of_events(view: View, events: Sequence[Mapping[str, Any]], stuck: str = "") -> Reference:
    """A play by its last view and its events as they were written."""
    history = read_all(events)
    return Reference(view, history, first_failed(history), stuck)


def first_failed(history: Sequence[Event]) -> dict[str, int]:
    """The event after which each finding was first told to fail, by `ID SUBJECT`, as it was shown then."""
    failed: dict[str, int] = {}
    for event in history:
        for verdict in event.verdicts:
            id, subject, word = verdict.split(" ", 2)
            if word in FAILS:
                failed.setdefault(f"{id} {subject}", event.n)
    return failed
