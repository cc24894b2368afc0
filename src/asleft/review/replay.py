"""A session walked event by event: the view after each, its verdicts then and today, what is odd."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, assert_never

from asleft.session.ledger import Ledger
from asleft.session.payloads import (
    Acknowledged,
    Broke,
    Chose,
    CouldNot,
    Drilled,
    Entered,
    FoundSetting,
    Hinted,
    Mended,
    Noted,
    Payload,
    Powered,
    ReadSettingBack,
    Reported,
    Resumed,
    Retracted,
    Revealed,
    Reviewed,
    Sealed,
    Senseless,
    Signed,
    Used,
    Waived,
    WroteSetting,
)
from asleft.session.saying import what_of
from asleft.session.state import State, fold_on, went_back
from asleft.visit import View, look

if TYPE_CHECKING:
    from asleft.equipment.model import Equipment
    from asleft.journal import Seal
    from asleft.session.events import Event

KEPT = 24
"""Views that are kept: those round the place where somebody stands."""
APART = 50
"""Events from one kept state to the next: none is folded on from farther back."""
FAILING = ("fail", "conditional fail")
ASIDE = (Resumed,)
"""What goes on disk together with the event after it, which holds the verdicts of both."""


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

    def __init__(
        self, equipment: Equipment, events: Sequence[Event], system: str = "ip", seals: Sequence[Seal] = ()
    ) -> None:
        self._equipment, self.events, self.system = equipment, tuple(events), system
        self.seals = tuple(seals)
        self._seal_at = {seal.event: seal for seal in seals}
        self._views: OrderedDict[int, View] = OrderedDict()
        self._states: dict[int, State] = {0: State()}
        self._newest = (0, State())
        self._verdicts: OrderedDict[int, tuple[str, ...]] = OrderedDict()
        self._told: dict[int, Told] = {}
        self._told_up_to = 0
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
            self._views[after] = self._seen(after)
            while len(self._views) > KEPT:
                self._views.popitem(last=False)
        self._views.move_to_end(after)
        return self._views[after]

    def _seen(self, after: int) -> View:
        """The same, a new one not kept: a walk through all leaves those round a person where they are."""
        return self._views.get(after) or look(self._equipment, self._state(after), self.system)

    def _state(self, after: int) -> State:
        """What so many events give, folded on from the nearest state that is kept."""
        at, state = self._newest
        nearest = after - after % APART
        while nearest not in self._states:
            nearest -= APART
        if not nearest <= at <= after:
            at, state = nearest, self._states[nearest]
        while at < after:
            to = min(after, at - at % APART + APART)
            state, at = fold_on(state, self.events[at:to]), to
            if at % APART == 0:
                self._states[at] = state
        self._newest = (after, state)
        return state

    def told(self, n: int) -> Told:
        """The event of a number, from 1; who asks for it looks at it too, so its view is kept."""
        if n not in self._told:
            self.view(n)
        return self.passed(n)

    def passed(self, n: int) -> Told:
        """The same for somebody who only goes past it."""
        if n not in self._told:
            self._told[n] = self._tell(n)
        return self._told[n]

    def troubles_known(self, n: int) -> bool:
        """Whether an event is known to be one to stop at, without reckoning anything for that.

        What was shown then is known at once; what today's rules say, once the event has been told.
        """
        return bool(self._told[n].troubles) if n in self._told else n in self._at_once

    def known(self, n: int) -> bool:
        """Whether an event has been told, so that nothing about it is still to come."""
        return n in self._told

    @property
    def looked_at(self) -> int:
        """Events from the first on of which all is known."""
        while self._told_up_to + 1 in self._told:
            self._told_up_to += 1
        return self._told_up_to

    def look_on(self) -> bool:
        """Tell one more event of those that nobody has asked for yet; False where there is none."""
        if self.looked_at == len(self):
            return False
        self.passed(self.looked_at + 1)
        return True

    @cached_property
    def _at_once(self) -> frozenset[int]:
        """Events whose own keys say that something is odd."""
        return frozenset(
            n
            for n, event in enumerate(self.events, 1)
            if _odd(event.what)
            or event.n in self._back
            or (event.n in self._seal_at and self._seal_at[event.n].false)
            or any(verdict.endswith(" fail") for verdict in event.verdicts)
        )

    def all_told(self) -> Iterator[Told]:
        """Every event, in order."""
        return (self.passed(n) for n in range(1, len(self) + 1))

    @cached_property
    def differs(self) -> bool:
        """Whether today's rules give other verdicts anywhere."""
        return any(told.differs for told in self.all_told())

    def _tell(self, n: int) -> Told:
        event, known = self.events[n - 1], set(self._verdicts_after(self._begun(n)))
        # Of what went on disk together, the last event holds the verdicts of all.
        waits = isinstance(event.what, ASIDE) and n < len(self)
        now = () if waits else self._verdicts_after(n)
        today = tuple(verdict for verdict in now if verdict not in known)
        ledger = Ledger(self._equipment, self._state(n), system=self.system)
        troubles = tuple(self._troubles(event, ledger, today))
        seal = self._seal_at.get(n)
        what = f"{what_of(event, ledger)}; {seal.verdict}" if seal else what_of(event, ledger)
        return Told(event.n, event.at, event.by, event.kind, what, event.verdicts, today, troubles)

    def _begun(self, n: int) -> int:
        """How many events stand before one, and before all that went on disk together with it."""
        before = n - 1
        while before and isinstance(self.events[before - 1].what, ASIDE):
            before -= 1
        return before

    def _verdicts_after(self, after: int) -> tuple[str, ...]:
        """The verdicts after so many events; those of the last few are kept, whichever way somebody walks."""
        if after not in self._verdicts:
            self._verdicts[after] = self._seen(after).verdicts()
            while len(self._verdicts) > KEPT:
                self._verdicts.popitem(last=False)
        return self._verdicts[after]

    def _troubles(self, event: Event, ledger: Ledger, today: tuple[str, ...]) -> Iterator[str]:
        if odd := _odd(event.what):
            yield odd
        if event.n in self._back:
            yield "the clock went back"
        if event.n in self._seal_at and self._seal_at[event.n].false:
            yield f"seal {self._seal_at[event.n].verdict}"
        if isinstance(event.what, ReadSettingBack) and (
            written := _written_otherwise(event.n, event.what, ledger)
        ):
            yield f"read back otherwise than written, {written}"
        for verdict in today:
            id, subject, word = verdict.split(" ", 2)
            if word in FAILING:
                yield f"{id} {subject}: {word}"
        if set(event.verdicts) != set(today):
            yield "other verdicts today than then"


@dataclass(slots=True)
class Search:
    """A walk to trouble: where it is, which way, how many are still wanted, the last that was found or 0."""

    replay: Replay
    at: int
    by: int
    wanted: int = 1
    found: int = 0

    def go_on(self, weary: Callable[[], bool]) -> bool:
        """Walk on until all that is wanted is found, or the end; False where it stopped weary before."""
        while self.wanted and 1 <= self.at + self.by <= len(self.replay):
            self.at += self.by
            if self.replay.passed(self.at).troubles:
                self.found, self.wanted = self.at, self.wanted - 1
            elif weary():
                return False
        return True


def _odd(what: Payload) -> str:
    """What is odd about what happened, whatever came of it; empty where nothing is."""
    match what:
        case Broke():
            return f"breach of {what.hold}"
        case Waived():
            return f"{what.finding.key} waived: {what.why}"
        case Retracted():
            return f"event {what.of} taken back: {what.why}"
        case (
            Entered()
            | Used()
            | Chose()
            | FoundSetting()
            | WroteSetting()
            | ReadSettingBack()
            | Powered()
            | Acknowledged()
            | Noted()
            | Mended()
            | CouldNot()
            | Reported()
            | Hinted()
            | Resumed()
            | Signed()
            | Sealed()
            | Reviewed()
            | Drilled()
            | Revealed()
            | Senseless()
        ):
            return ""
        case _:
            assert_never(what)


def _written_otherwise(n: int, back: ReadSettingBack, ledger: Ledger) -> str:
    """What was written where this was read back; empty where it is the same, or nothing was written."""
    value_of = ledger.equipment.value_of
    for act in reversed(ledger.state.acts):
        if act.kind == "wrote" and act.n < n and (act.setting, act.address) == (back.setting, back.address):
            if ledger.no_value(act.setting, act.shown):
                # What was written is not known: the control answered with an error text.
                return ""
            same = value_of(act.setting, act.shown) == value_of(act.setting, back.shown)
            return "" if same else act.shown
    return ""
