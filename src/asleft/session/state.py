"""What folding the events of a session gives. Immutable; nothing is ever erased, only retracted."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise
from typing import Any, Literal

Value = str | float | int | bool


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
        common = {"n", "at", "by", "kind", "verdicts", "link"}
        data = {k: v for k, v in event.items() if k not in common}
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
    """The state after one more event. A retraction, or a retraction of one, folds the history anew."""
    history = (*state.history, event)
    if event.kind == "retracted":
        return fold_all(history)
    return replace(_apply(state, event), history=history)


def fold_all(events: Iterable[Event]) -> State:
    """The state that a whole list of events gives."""
    history = tuple(events)
    retracted: set[int] = set()
    for event in reversed(history):
        if event.kind == "retracted" and event.n not in retracted:
            retracted.add(int(event.data["of"]))
    state = State()
    for event in history:
        if event.n not in retracted:
            state = _apply(state, event)
    return replace(state, history=history, retracted=frozenset(retracted))


def _apply(state: State, event: Event) -> State:
    if state.signature and event.kind not in KEEPS_SIGNATURE:
        state = replace(state, signature=None)
    data, n = event.data, event.n
    match event.kind:
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
            return replace(
                state, entries={**state.entries, entry.field: (*state.entries.get(entry.field, ()), entry)}
            )
        case "used":
            role = str(data["field"]).rpartition(".")[2]
            used = Used(
                n,
                role,
                data["instrument"],
                data["name"],
                tuple(data["accuracy"]),
                data.get("calibrated_until", ""),
            )
            return replace(state, used=(*state.used, used))
        case "chose":
            return replace(state, choices={**state.choices, data["topic"]: Choice(n, data["option"])})
        case "found" | "wrote" | "read_back":
            act = Act(n, event.kind, data["setting"], data["address"], data["shown"])
            return replace(state, acts=(*state.acts, act))
        case "powered":
            return replace(state, powered=(*state.powered, Power(n, data["state"])))
        case "acknowledged":
            given = (*state.acknowledged.get(data["id"], ()), n)
            return replace(state, acknowledged={**state.acknowledged, data["id"]: given})
        case "waived":
            return replace(
                state, waivers=(*state.waivers, Waiver(n, data["id"], data["subject"], data["why"], event.by))
            )
        case "noted":
            note = Note(
                n,
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
            return replace(state, notes=(*state.notes, note))
        case "signed":
            return replace(state, signature=Signature(n, event.by, data["outcome"]))
        case "drilled":
            return replace(state, drilled=data["hash"])
        case "revealed":
            return replace(state, revealed=True)
        case _:
            return state
