"""What folding the events of a session gives. Immutable; nothing is ever erased, only retracted."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any, Literal

Value = str | float | int | bool

_COMMON = frozenset({"n", "at", "by", "kind", "verdicts", "link"})
"""Keys that every kind of event can have."""


@dataclass(frozen=True, slots=True)
class Event:
    """One thing that happened: its number, time (UTC), who, kind and the kind's own keys."""

    n: int
    at: str
    by: str
    kind: str
    data: Mapping[str, Any]
    verdicts: tuple[str, ...] = ()

    @classmethod
    def from_mapping(cls, event: Mapping[str, Any]) -> Event:
        """An event as it stands in a file, common keys parted from the kind's own."""
        data = {k: v for k, v in event.items() if k not in _COMMON}
        return cls(
            event["n"], event["at"], event["by"], event["kind"], data, tuple(event.get("verdicts", ()))
        )


@dataclass(frozen=True, slots=True)
class Entry:
    """One entered field: what was typed beside what it means, in the base unit."""

    n: int
    at: str
    by: str
    field: str
    typed: str
    value: Value
    unit: str = ""
    readings: tuple[float, ...] = ()
    instrument: str = ""
    plus_minus: float = 0.0


@dataclass(frozen=True, slots=True)
class Used:
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
class Act:
    """A found, wrote or read_back: what the control showed, and after which event."""

    n: int
    kind: Literal["found", "wrote", "read_back"]
    setting: str
    address: str
    shown: str


@dataclass(frozen=True, slots=True)
class Power:
    """Power switched on or off at the unit."""

    n: int
    state: Literal["on", "off"]


@dataclass(frozen=True, slots=True)
class Waiver:
    """A finding let pass by a named person for a reason."""

    n: int
    id: str
    subject: str
    why: str
    by: str


@dataclass(frozen=True, slots=True)
class Note:
    """Free text; it may say what was mended, what could not be done, or which hold was broken.

    `affects` are the fields that have to be taken again because of what was mended. In a drill, `reports` is
    a kind of fault, `@` and its place where that was said, and `evidence` the events it rests on; `hint` is
    the number of the hint that the text is.
    """

    n: int
    text: str
    by: str
    mends: str = ""
    refused: str = ""
    broke: str = ""
    affects: tuple[str, ...] = ()
    reports: str = ""
    evidence: tuple[int, ...] = ()
    hint: int = 0


@dataclass(frozen=True, slots=True)
class Signature:
    """The record signed, with its outcome."""

    n: int
    by: str
    outcome: str


@dataclass(frozen=True, slots=True)
class State:
    """A session as it stands. `history` holds every event, the rest only what was not retracted."""

    history: tuple[Event, ...] = ()
    retracted: frozenset[int] = frozenset()
    entries: Mapping[str, tuple[Entry, ...]] = field(default_factory=dict)
    used: tuple[Used, ...] = ()
    choices: Mapping[str, Choice] = field(default_factory=dict)
    acts: tuple[Act, ...] = ()
    powered: tuple[Power, ...] = ()
    acknowledged: Mapping[str, tuple[int, ...]] = field(default_factory=dict)
    waivers: tuple[Waiver, ...] = ()
    notes: tuple[Note, ...] = ()
    signature: Signature | None = None
    drilled: str = ""
    """In a drill, the salted hash of its hidden sheet."""
    revealed: bool = False
    """Whether the drill is over: its sheet stands in the record."""

    @property
    def last_n(self) -> int:
        """Number of the last event, 0 before the first."""
        return self.history[-1].n if self.history else 0

    @property
    def power(self) -> str:
        """ "on" or "off"; until somebody says, a unit counts as on."""
        return self.powered[-1].state if self.powered else "on"

    def latest(self, field_id: str) -> Entry | None:
        """The newest entry of a field, stale or not."""
        entries = self.entries.get(field_id)
        return entries[-1] if entries else None

    def text(self, field_id: str) -> str | None:
        """The newest value of a field of words."""
        entry = self.latest(field_id)
        return str(entry.value) if entry else None

    def instrument(self, role: str, before: int | None = None) -> Used | None:
        """The instrument in use for a role, newest, or newest before an event."""
        for used in reversed(self.used):
            if used.role == role and (before is None or used.n < before):
                return used
        return None


KEEPS_SIGNATURE = frozenset({"sealed", "reviewed", "revealed"})
CANNOT_RETRACT = frozenset({"signed", "sealed", "resumed", "reviewed", "drilled", "revealed"})


def went_back(events: Sequence[Event]) -> tuple[int, ...]:
    """Numbers of the events dated before the one before them: the clock was set back, or was wrong."""
    return tuple(e.n for before, e in pairwise(events) if e.at < before.at)


def fold(state: State, event: Event) -> State:
    """The state after one more event."""
    return fold_on(state, (event,))


def fold_on(state: State, events: Sequence[Event]) -> State:
    """The state after more events. A retraction, or a retraction of one, folds the history anew."""
    history = (*state.history, *events)
    if any(event.kind == "retracted" for event in events):
        return fold_all(history)
    growing = _Growing(state)
    for event in events:
        growing.take(event)
    return growing.state(history, state.retracted)


def fold_all(events: Iterable[Event]) -> State:
    """The state that a whole list of events gives."""
    history = tuple(events)
    retracted: set[int] = set()
    for event in reversed(history):
        if event.kind == "retracted" and event.n not in retracted:
            retracted.add(int(event.data["of"]))
    growing = _Growing(State())
    for event in history:
        if event.n not in retracted:
            growing.take(event)
    return growing.state(history, frozenset(retracted))


class _Growing:
    """A state while events are put into it."""

    def __init__(self, state: State) -> None:
        self._entries, self._choices = dict(state.entries), dict(state.choices)
        self._acknowledged = dict(state.acknowledged)
        self._used, self._acts, self._powered = list(state.used), list(state.acts), list(state.powered)
        self._waivers, self._notes = list(state.waivers), list(state.notes)
        self._signature, self._drilled, self._revealed = state.signature, state.drilled, state.revealed

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
            self._signature,
            self._drilled,
            self._revealed,
        )

    def take(self, event: Event) -> None:
        """Put one more event in."""
        data, n, kind = event.data, event.n, event.kind
        if kind not in KEEPS_SIGNATURE:
            self._signature = None
        match kind:
            case "entered":
                entry = Entry(
                    n,
                    event.at,
                    event.by,
                    data["field"],
                    data["typed"],
                    data["value"],
                    data.get("unit", ""),
                    tuple(data.get("readings", ())),
                    data.get("instrument", ""),
                    float(data.get("plus_minus", 0.0)),
                )
                self._entries[entry.field] = (*self._entries.get(entry.field, ()), entry)
            case "used":
                role = str(data["field"]).rpartition(".")[2]
                accuracy, until = tuple(data["accuracy"]), data.get("calibrated_until", "")
                self._used.append(Used(n, role, data["instrument"], data["name"], accuracy, until))
            case "chose":
                self._choices[data["topic"]] = Choice(n, data["option"])
            case "found" | "wrote" | "read_back":
                self._acts.append(Act(n, kind, data["setting"], data["address"], data["shown"]))
            case "powered":
                self._powered.append(Power(n, data["state"]))
            case "acknowledged":
                self._acknowledged[data["id"]] = (*self._acknowledged.get(data["id"], ()), n)
            case "waived":
                self._waivers.append(Waiver(n, data["id"], data["subject"], data["why"], event.by))
            case "noted":
                self._notes.append(_note(event))
            case "signed":
                self._signature = Signature(n, event.by, data["outcome"])
            case "drilled":
                self._drilled = data["hash"]
            case "revealed":
                self._revealed = True


def _note(event: Event) -> Note:
    data = event.data
    return Note(
        event.n,
        data["text"],
        event.by,
        data.get("mends", ""),
        data.get("refused", ""),
        data.get("broke", ""),
        tuple(data.get("affects", ())),
        data.get("reports", ""),
        tuple(int(n) for n in data.get("evidence", ())),
        data.get("hint", 0),
    )
