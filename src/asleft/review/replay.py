"""A session walked event by event: the view after each, its verdicts then and today, what is odd."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from asleft.session.saying import what_of
from asleft.session.state import Event, State, fold, fold_all, went_back
from asleft.visit import View, look

if TYPE_CHECKING:
    from asleft.equipment.model import Equipment

KEPT = 24
"""Views that are kept: those round the place where somebody stands."""
FAILING = ("fail", "conditional fail")
ASIDE = frozenset({"resumed"})
"""Kinds that go on disk together with the event after them, which holds the verdicts of both."""


@dataclass(frozen=True, slots=True)
class Told:
    """One event: what happened, the verdicts it changed as they were shown then and as they are today.

    `troubles` are what a supervisor would stop at, in words.
    """

    n: int
    at: str
    by: str
    kind: str
    what: str
    then: tuple[str, ...]
    today: tuple[str, ...]
    troubles: tuple[str, ...]

    @property
    def differs(self) -> bool:
        """Whether today's rules change other verdicts than were shown then."""
        return set(self.then) != set(self.today)


class Replay:
    """The verified events of a session, looked at in any order. A view is reckoned when it is asked for."""

    def __init__(self, equipment: Equipment, events: Sequence[Event], system: str = "ip") -> None:
        self._equipment, self.events, self.system = equipment, tuple(events), system
        self._views: OrderedDict[int, View] = OrderedDict()
        self._folded: tuple[int, State] = (0, State())
        self._told: dict[int, Told] = {}
        self._back = frozenset(went_back(self.events))

    def __len__(self) -> int:
        return len(self.events)

    def read_in(self, system: str) -> None:
        """Other units in the words of the views, ip or si."""
        if system != self.system:
            self.system = system
            self._views.clear()

    def view(self, after: int) -> View:
        """The view after so many events, 0 to all."""
        if after not in self._views:
            self._views[after] = look(self._equipment, self._state(after), self.system)
            while len(self._views) > KEPT:
                self._views.popitem(last=False)
        self._views.move_to_end(after)
        return self._views[after]

    def _state(self, after: int) -> State:
        """What so many events give: one more than before is folded on, all else anew."""
        at, state = self._folded
        if after == at + 1:
            state = fold(state, self.events[at])
        elif after != at:
            state = fold_all(self.events[:after])
        self._folded = (after, state)
        return state

    def told(self, n: int) -> Told:
        """The event of a number, from 1."""
        if n not in self._told:
            self._told[n] = self._tell(n)
        return self._told[n]

    def troubles_known(self, n: int) -> bool:
        """Whether an event is known to be one to stop at, without reckoning anything for that."""
        return n in self._told and bool(self._told[n].troubles)

    def all_told(self) -> Iterator[Told]:
        """Every event, in order."""
        return (self.told(n) for n in range(1, len(self) + 1))

    @cached_property
    def differs(self) -> bool:
        """Whether today's rules give other verdicts anywhere."""
        return any(told.differs for told in self.all_told())

    def _tell(self, n: int) -> Told:
        event = self.events[n - 1]
        today = self._today(n)
        return Told(
            event.n,
            event.at,
            event.by,
            event.kind,
            what_of(event),
            event.verdicts,
            today,
            tuple(self._troubles(n, event, today)),
        )

    def _today(self, n: int) -> tuple[str, ...]:
        """The verdicts that today's rules change here, in their order."""
        if self.events[n - 1].kind in ASIDE and n < len(self):
            return ()
        before = n - 1
        while before and self.events[before - 1].kind in ASIDE:
            before -= 1
        known = set(self.view(before).verdicts())
        return tuple(v for v in self.view(n).verdicts() if v not in known)

    def _troubles(self, n: int, event: Event, today: tuple[str, ...]) -> Iterator[str]:
        data = event.data
        if data.get("broke"):
            yield f"breach of {data['broke']}"
        if event.kind == "waived":
            yield f"{data['id']} {data['subject']} waived: {data['why']}"
        if event.kind == "retracted":
            yield f"event {data['of']} taken back: {data['why']}"
        if event.n in self._back:
            yield "the clock went back"
        if event.kind == "read_back" and self._otherwise(n, event):
            yield "read back otherwise than written"
        for verdict in today:
            id, subject, word = verdict.split(" ", 2)
            if word in FAILING:
                yield f"{id} {subject}: {word}"
        if set(event.verdicts) != set(today):
            yield "other verdicts today than then"

    def _otherwise(self, n: int, event: Event) -> bool:
        place = (event.data["setting"], event.data["address"])
        for earlier in reversed(self.events[: n - 1]):
            if earlier.kind == "wrote" and (earlier.data["setting"], earlier.data["address"]) == place:
                value_of = self._equipment.value_of
                return value_of(place[0], earlier.data["shown"]) != value_of(place[0], event.data["shown"])
        return False
