"""The score of a finished drill: what was done, held against the sheet and against what `next` alone does."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from asleft.drill.again import asked
from asleft.drill.classroom.known import known_faults, shows
from asleft.drill.classroom.lesson_unit import LessonUnit
from asleft.drill.classroom.matching import Match, Matched, matched, reports_of
from asleft.drill.classroom.reference import SALT, Reference, first_failed
from asleft.drill.classroom.rubric import Part, rubric
from asleft.drill.classroom.tolerance import near
from asleft.session.events import Event
from asleft.session.fields import Field, field_of
from asleft.session.ledger import Ledger
from asleft.session.payloads import Broke, Entered, Hinted, Revealed
from asleft.session.state import fold_all
from asleft.session.values import number_of

if TYPE_CHECKING:
    from asleft.drill.classroom.sheet import Staged


@dataclass(frozen=True, slots=True)
class Broken:
    """A breach: in which event, of which hold, and what would have happened."""

    n: int
    hold: str
    happens: str


@dataclass(frozen=True, slots=True)
class Misread:
    """A reading entered that the unit did not show where its row asks for it."""

    n: int
    field: str
    entered: str
    showed: str


@dataclass(frozen=True, slots=True)
class Setting:
    """A topic as the trainee left it: the option taken and the settings stored, beside the right ones."""

    topic: str
    took: str
    right: str
    stored: bool


@dataclass(frozen=True, slots=True)
class Mark:
    """What one part of the rubric came to."""

    part: Part
    points: float
    why: str


@dataclass(frozen=True)
class Score:
    """A drill scored. `total` is what remains after caps and deductions, 0 to 100."""

    total: float
    marks: tuple[Mark, ...]
    breaches: tuple[Broken, ...]
    matched: Matched
    evidence: tuple[bool, ...]
    settings: tuple[Setting, ...]
    misread: tuple[Misread, ...]
    hints: int
    minutes: float
    outcome: str
    cap: float
    off: float
    failed: dict[str, int]


def score(history: Sequence[Event], staged: Staged, by: Reference) -> Score:
    """Score a session's events against its sheet. The same events and sheet give the same score."""
    state = fold_all(history)
    ledger = Ledger(staged.equipment.equipment, state)
    held = matched(staged.sheet.faults, tuple(reports_of(state)))
    evidence = tuple(_proved(match, history, staged) for match in held.faults)
    breaches = tuple(_breaches(history))
    settings = tuple(_settings(ledger, by))
    misread = tuple(_misread(history, staged))
    hints = _hints(history)
    minutes = _minutes(history)
    outcome = state.signature.outcome if state.signature else ""
    marks = {
        "faults": _faults(held, evidence),
        "settings": _settled(settings),
        "read back": _read_back(ledger),
        "readings": _true(history, misread),
        "outcome": _outcome(outcome, staged),
        "work": _work(history, by, outcome),
        "time": _time(minutes, staged.sheet.minutes, outcome),
    }
    rules = rubric()
    counted = {part.name: part for part in rules.parts if marks[part.name] is not None}
    scale = 100.0 / sum(part.points for part in counted.values())
    given: list[Mark] = []
    for part in rules.parts:
        mark = marks[part.name]
        if mark is not None:
            share, why = mark
            given.append(Mark(part, round(part.points * scale * share, 1), why))
    off = rules.false_report * len(held.false) + rules.hint * hints
    cap = rules.cap(len(breaches))
    total = max(0.0, min(cap, sum(m.points for m in given) - off))
    return Score(
        round(total, 1),
        tuple(given),
        breaches,
        held,
        evidence,
        settings,
        misread,
        hints,
        minutes,
        outcome,
        cap,
        off,
        first_failed(history),
    )


_Share = tuple[float, str]
"""How much of a part was earned, 0 to 1, and why."""


def _hints(history: Sequence[Event]) -> int:
    """As many as the session says, or as the rig counted: what was read was read."""
    counted = max((e.what.hints for e in history if isinstance(e.what, Revealed)), default=0)
    return max(counted, sum(isinstance(e.what, Hinted) for e in history))


def _breaches(history: Sequence[Event]) -> Iterator[Broken]:
    """What was taken back later happened all the same."""
    for event in history:
        if isinstance(event.what, Broke):
            yield Broken(event.n, event.what.hold, event.what.text)


def _proved(match: Match, history: Sequence[Event], staged: Staged) -> bool:
    """Whether any entry named as evidence is a reading that shows the fault."""
    if match.report is None:
        return False
    known = known_faults()[match.fault.kind]
    named = {e.n: e for e in history}
    return any(
        shows(known, named[n].what, staged.equipment.equipment) for n in match.report.evidence if n in named
    )


def _faults(held: Matched, evidence: Sequence[bool]) -> _Share:
    if not held.faults:
        return 1.0, "nothing was wrong with this unit"
    weights = rubric().fault
    got = 0.0
    for match, proved in zip(held.faults, evidence, strict=True):
        if match.report:
            got += weights["kind"] + weights["evidence"] * proved + weights["place"] * match.placed
    found = sum(m.report is not None for m in held.faults)
    return got / len(held.faults), f"{found} of {len(held.faults)} found, {sum(evidence)} with proof"


def _settings(ledger: Ledger, by: Reference) -> Iterator[Setting]:
    """Every topic that the readings of this unit decide."""
    theirs = by.view.ledger
    for topic in ledger.equipment.topic:
        right = by.choices.get(topic.id)
        if right is None:
            continue
        choice = ledger.state.choices.get(topic.id)
        carried = {id for option in topic.option for id in option.set}
        places = [(s.id, a) for s, a in ledger.equipment.places() if s.id in carried]
        stored = all(ledger.held(*place) == theirs.held(*place) for place in places)
        yield Setting(topic.id, choice.option if choice else "", right, stored)


def _settled(settings: Sequence[Setting]) -> _Share | None:
    if not settings:
        return None
    good = sum(0.5 * (s.took == s.right) + 0.5 * s.stored for s in settings)
    return good / len(
        settings
    ), f"{sum(s.stored for s in settings)} of {len(settings)} topics as they should be"


def _read_back(ledger: Ledger) -> _Share | None:
    """Of the settings that were written, those read back after their last write, with what was written."""
    wrote = {(a.setting, a.address): a for a in ledger.state.acts if a.kind == "wrote"}
    if not wrote:
        return None
    back = {(a.setting, a.address): a for a in ledger.state.acts if a.kind == "read_back"}
    good = sum(
        place in back and back[place].n > act.n and _same(ledger, act.setting, back[place].shown, act.shown)
        for place, act in wrote.items()
    )
    return good / len(wrote), f"{good} of {len(wrote)} written settings read back as written"


def _same(ledger: Ledger, setting: str, one: str, other: str) -> bool:
    value_of = ledger.equipment.value_of
    return value_of(setting, one) == value_of(setting, other)


def _misread(history: Sequence[Event], staged: Staged) -> Iterator[Misread]:
    """Measured entries that differ from what the unit shows there, everything before done again."""
    unit = LessonUnit(staged, SALT)
    for event, requests in asked(staged.equipment.equipment, history):
        answers = [unit.answer(request) for request in requests]
        reading = _reading(event)
        if reading is None or not answers:
            continue
        field, what = reading
        showed = str(answers[0].get("typed", answers[0].get("refused", "")))
        if not near(field.kind, number_of(what.value), showed):
            yield Misread(event.n, what.field, what.typed, showed)


def _true(history: Sequence[Event], misread: Sequence[Misread]) -> _Share | None:
    taken = sum(_reading(event) is not None for event in history)
    if not taken:
        return None
    return 1.0 - len(misread) / taken, f"{taken - len(misread)} of {taken} readings as the unit showed them"


def _reading(event: Event) -> tuple[Field, Entered] | None:
    """The reading that an event is, with its field; None where no instrument took it."""
    what = event.what
    field = field_of(what.field) if isinstance(what, Entered) else None
    return (field, what) if isinstance(what, Entered) and field is not None and field.measured else None


def _outcome(outcome: str, staged: Staged) -> _Share:
    """The holds keep anybody from signing too well; what is left is not to sign, or worse than it is."""
    if not outcome:
        return 0.0, "not signed"
    if outcome == "not commissioned" and not staged.sheet.faults:
        return 0.0, "signed as not commissioned, and nothing was wrong"
    return 1.0, f"signed as {outcome}"


def _work(history: Sequence[Event], by: Reference, outcome: str) -> _Share:
    if not outcome:
        return 0.0, "not signed"
    spare = 1.0 + rubric().spare
    acts, enough = len(history), max(1.0, by.events * spare)
    return min(1.0, max(0.0, 2.0 - acts / enough)), f"{acts} entries; {by.events} do it"


def _minutes(history: Sequence[Event]) -> float:
    if not history:
        return 0.0
    first, last = (datetime.fromisoformat(e.at) for e in (history[0], history[-1]))
    return max(0.0, round((last - first).total_seconds() / 60.0, 1))


def _time(minutes: float, allowed: int, outcome: str) -> _Share | None:
    if not allowed:
        return None
    if not outcome:
        return 0.0, "not signed"
    return min(1.0, max(0.0, 2.0 - minutes / allowed)), f"{minutes:g} of {allowed} minutes"
