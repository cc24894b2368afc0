"""What folding the events of a session gives. Immutable; nothing is ever erased, only retracted."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Literal, TypeVar, assert_never

from asleft.session.acts import FindingName, ReviewOutcome
from asleft.session.events import Event
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
    NotedDone,
    Outcome,
    Powered,
    PowerState,
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
from asleft.session.values import Value

N = TypeVar("N", bound=NotedDone)


@dataclass(frozen=True, slots=True)
class Entry:
    """One entered field: what was typed beside what it means; `read_at` where its reading brought a time."""

    n: int
    at: str
    by: str
    field: str
    typed: str
    value: Value
    readings: tuple[float, ...] = ()
    instrument: str = ""
    plus_minus: float = 0.0
    read_at: str = ""

    @property
    def taken_at(self) -> str:
        """When it was read: the time that it brought, else that of the entry."""
        return self.read_at or self.at


@dataclass(frozen=True, slots=True)
class InHand:
    """One instrument taken into use. No accuracy lines: unknown accuracy."""

    n: int
    role: str
    instrument: str
    name: str
    accuracy: tuple[str, ...]
    calibrated_until: str


@dataclass(frozen=True, slots=True)
class Choice:
    """The answer taken to a topic."""

    n: int
    option: str


@dataclass(frozen=True, slots=True)
class SettingAct:
    """A setting found, written or read back: what the control showed, and after which event."""

    n: int
    kind: Literal["found", "wrote", "read_back"]
    setting: str
    address: str
    shown: str


@dataclass(frozen=True, slots=True)
class Power:
    """Power switched on or off at the unit."""

    n: int
    state: PowerState


@dataclass(frozen=True, slots=True)
class Waiver:
    """A finding let pass by a named person for a reason."""

    n: int
    finding: FindingName
    why: str
    by: str


@dataclass(frozen=True, slots=True)
class Remark:
    """Something noted: plainly, or as a mend, a refusal, a broken hold, a report or a hint."""

    n: int
    by: str
    what: NotedDone

    @property
    def text(self) -> str:
        """What was said."""
        return self.what.text


@dataclass(frozen=True, slots=True)
class Signature:
    """The record signed, with its outcome."""

    n: int
    by: str
    outcome: Outcome


@dataclass(frozen=True, slots=True)
class Opinion:
    """What a supervisor said of the record as it stands."""

    n: int
    by: str
    outcome: ReviewOutcome
    why: str
    link: str


@dataclass(frozen=True, slots=True)
class State:
    """A session as it stands. `history` holds every event, the rest only what was not retracted."""

    history: tuple[Event, ...] = ()
    retracted: frozenset[int] = frozenset()
    entries: Mapping[str, tuple[Entry, ...]] = field(default_factory=dict)
    used: tuple[InHand, ...] = ()
    choices: Mapping[str, Choice] = field(default_factory=dict)
    acts: tuple[SettingAct, ...] = ()
    powered: tuple[Power, ...] = ()
    acknowledged: Mapping[str, tuple[int, ...]] = field(default_factory=dict)
    waivers: tuple[Waiver, ...] = ()
    notes: tuple[Remark, ...] = ()
    mends: tuple[tuple[int, Mended], ...] = ()
    """Of the notes the repairs, each with the number of its event."""
    could_not: tuple[tuple[int, CouldNot], ...] = ()
    """Of the notes what could not be done, likewise."""
    doings: tuple[tuple[Event | None, Event], ...] = ()
    """What was read, set, switched, taken in hand or resumed, retracted or not, with the event before."""
    signature: Signature | None = None
    review: Opinion | None = None
    """The last review, if nothing but a seal came after it."""
    drilled: str = ""
    """In a drill, the salted hash of its hidden sheet."""
    damaged_at: int = 0
    """The event with which work went on from a damaged record, or that makes no sense; 0 where none is."""
    revealed: bool = False
    """Whether the drill is over: its sheet stands in the record."""

    @property
    def last_n(self) -> int:
        """Number of the last event, 0 before the first."""
        return self.history[-1].n if self.history else 0

    @property
    def power(self) -> PowerState:
        """ "on" or "off"; until somebody says, or says again after damage, a unit counts as on."""
        known = bool(self.powered) and self.powered[-1].n > self.damaged_at
        return self.powered[-1].state if known else "on"

    def latest(self, field_id: str) -> Entry | None:
        """The newest entry of a field, stale or not."""
        entries = self.entries.get(field_id)
        return entries[-1] if entries else None

    def text(self, field_id: str) -> str | None:
        """The newest value of a field of words."""
        entry = self.latest(field_id)
        return str(entry.value) if entry else None

    def noted(self, kind: type[N]) -> Iterator[tuple[int, N]]:
        """The notes of one kind, oldest first, each with the number of its event."""
        return ((note.n, note.what) for note in self.notes if isinstance(note.what, kind))

    def instrument(self, role: str, before: int | None = None) -> InHand | None:
        """The instrument in use for a role, newest, or newest before an event."""
        for used in reversed(self.used):
            if used.role == role and (before is None or used.n < before):
                return used
        return None


KEEPS_SIGNATURE = (Sealed, Reviewed, Revealed)
"""What may follow a signature without making the record unsigned."""
CANNOT_RETRACT = (Signed, Sealed, Resumed, Reviewed, Drilled, Revealed)
"""What nobody can take back."""


def went_back(events: Sequence[Event]) -> tuple[int, ...]:
    """Numbers of the events dated before the one before them: the clock was set back, or was wrong."""
    return tuple(e.n for before, e in pairwise(events) if e.at < before.at)


def fold(state: State, event: Event) -> State:
    """The state after one more event."""
    return fold_on(state, (event,))


def fold_on(state: State, events: Sequence[Event]) -> State:
    """The state after more events. A retraction, or a retraction of one, folds the history anew."""
    history = (*state.history, *events)
    if any(isinstance(event.what, Retracted) for event in events):
        return fold_all(history)
    growing = _Growing(state)
    for event in events:
        growing.happened(event)
        growing.take(event)
    return growing.state(history, state.retracted)


def fold_all(events: Iterable[Event]) -> State:
    """The state that a whole list of events gives."""
    history = tuple(events)
    retracted: set[int] = set()
    for event in reversed(history):
        if isinstance(event.what, Retracted) and event.n not in retracted:
            retracted.add(event.what.of)
    growing = _Growing(State())
    for event in history:
        growing.happened(event)
        if event.n not in retracted:
            growing.take(event)
    return growing.state(history, frozenset(retracted))


_DOINGS = (Entered, Used, FoundSetting, WroteSetting, ReadSettingBack, Powered, Resumed, Senseless)
"""What may end a word that was given before."""


class _Growing:
    """A state while events are put into it."""

    def __init__(self, state: State) -> None:
        self._entries, self._choices = dict(state.entries), dict(state.choices)
        self._acknowledged = dict(state.acknowledged)
        self._used, self._acts, self._powered = list(state.used), list(state.acts), list(state.powered)
        self._waivers, self._notes = list(state.waivers), list(state.notes)
        self._mends, self._could_not = list(state.mends), list(state.could_not)
        self._doings = list(state.doings)
        self._before = state.history[-1] if state.history else None
        self._signature, self._drilled, self._revealed = state.signature, state.drilled, state.revealed
        self._damaged_at, self._review = state.damaged_at, state.review

    def state(self, history: tuple[Event, ...], retracted: frozenset[int]) -> State:
        """What the events so far give."""
        return State(
            history,
            retracted,
            self._entries,
            tuple(self._used),
            self._choices,
            tuple(self._acts),
            tuple(self._powered),
            self._acknowledged,
            tuple(self._waivers),
            tuple(self._notes),
            tuple(self._mends),
            tuple(self._could_not),
            tuple(self._doings),
            self._signature,
            self._review,
            self._drilled,
            self._damaged_at,
            self._revealed,
        )

    def happened(self, event: Event) -> None:
        """Remember what was done, whether it is taken back or not."""
        if isinstance(event.what, _DOINGS):
            self._doings.append((self._before, event))
        self._before = event

    def take(self, event: Event) -> None:
        """Put one more event in."""
        what, n = event.what, event.n
        if not isinstance(what, KEEPS_SIGNATURE):
            self._signature = None
        if not isinstance(what, Sealed):
            self._review = None
        match what:
            case Entered():
                entry = _entry(event, what)
                self._entries[entry.field] = (*self._entries.get(entry.field, ()), entry)
            case Used():
                used = InHand(n, what.role, what.instrument, what.name, what.accuracy, what.calibrated_until)
                self._used.append(used)
            case Chose():
                self._choices[what.topic] = Choice(n, what.option)
            case FoundSetting() | WroteSetting() | ReadSettingBack():
                self._acts.append(SettingAct(n, what.kind, what.setting, what.address, what.shown))
            case Powered():
                self._powered.append(Power(n, what.state))
            case Acknowledged():
                self._acknowledged[what.id] = (*self._acknowledged.get(what.id, ()), n)
            case Waived():
                self._waivers.append(Waiver(n, what.finding, what.why, event.by))
            case Noted() | Mended() | CouldNot() | Broke() | Reported() | Hinted():
                self._notes.append(Remark(n, event.by, what))
                if isinstance(what, Mended):
                    self._mends.append((n, what))
                elif isinstance(what, CouldNot):
                    self._could_not.append((n, what))
            case Signed():
                self._signature = Signature(n, event.by, what.outcome)
            case Drilled():
                self._drilled = what.hash
            case Revealed():
                self._revealed = True
            case Resumed():
                self._damaged_at = n if what.damaged else self._damaged_at
            case Reviewed():
                self._review = Opinion(n, event.by, what.outcome, what.why, what.link)
            case Senseless():
                # What it once said may have been that power is on.
                self._damaged_at = n
            case Retracted() | Sealed():
                pass
            case _:
                assert_never(what)


def _entry(event: Event, what: Entered) -> Entry:
    return Entry(
        event.n,
        event.at,
        event.by,
        what.field,
        what.typed,
        what.value,
        what.readings,
        what.instrument,
        what.plus_minus or 0.0,
        what.read_at,
    )
