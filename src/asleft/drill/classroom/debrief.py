"""The debrief of a drill in plain lines: what was wrong, what was seen of it and when, what to read."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fnmatch import fnmatchcase
from typing import TYPE_CHECKING, Any

from asleft.drill.classroom.known import KnownFault, known_faults, shows
from asleft.drill.classroom.matching import Match
from asleft.installation.faults import FAULTS, Fault
from asleft.session.events import Event
from asleft.session.fields import Field
from asleft.session.ledger import Ledger
from asleft.session.saying import what_of
from asleft.session.state import fold_all

if TYPE_CHECKING:
    from asleft.drill.classroom.marks import Score
    from asleft.drill.classroom.reference import Reference
    from asleft.drill.classroom.sheet import Staged


@dataclass(frozen=True, slots=True)
class Seen:
    """What a session showed of a fault: the entry that first could tell of it, and how, in words."""

    n: int
    what: str


def debrief(score: Score, staged: Staged, history: Sequence[Event], by: Reference) -> list[str]:
    """The debrief, a line or an empty one at a time; two spaces before what belongs to the line above."""
    return list(_lines(score, staged, history, by))


def _lines(score: Score, staged: Staged, history: Sequence[Event], by: Reference) -> Iterator[str]:
    ledger = Ledger(staged.equipment.equipment, fold_all(history))
    yield f"{staged.sheet.title}: {score.total:g} of 100"
    for mark in score.marks:
        yield f"  {mark.part.name:10} {mark.points:5.1f}  {mark.why}"
    if score.off:
        false = _count(len(score.matched.false), "false report", "false reports")
        yield f"  taken off  {score.off:5.1f}  {false}, {_count(score.hints, 'hint', 'hints')}"
    if score.breaches:
        yield f"  at most    {score.cap:5.1f}  with {_count(len(score.breaches), 'breach', 'breaches')}"
    yield from _safety(score)
    yield ""
    yield "What was wrong" if score.matched.faults else "Nothing was wrong with this unit."
    for match, proved in zip(score.matched.faults, score.evidence, strict=True):
        yield from _fault(match, proved, ledger, history, by)
    if score.matched.false:
        yield ""
        yield "Reported, and not there"
        for report in score.matched.false:
            yield f"  Event {report.n}: {FAULTS[report.kind].called}"
            yield f"    {known_faults()[report.kind].parts}"
    yield from _settings(score, staged)
    yield from _misread(score)
    pages = dict.fromkeys(
        page
        for match, proved in zip(score.matched.faults, score.evidence, strict=True)
        if match.report is None or not proved
        for page in known_faults()[match.fault.kind].read
    )
    if pages:
        yield ""
        yield "Read next time: " + ", ".join(f"asleft help {page}" for page in pages)


def _safety(score: Score) -> Iterator[str]:
    yield ""
    if not score.breaches:
        yield "Safety: no breach."
        return
    yield "Safety"
    for breach in score.breaches:
        yield f"  Event {breach.n} broke {breach.hold}: asleft check --explain {breach.hold}"
        yield f"    {breach.happens}"


def named(fault: Fault) -> str:
    """A fault in words: what it is called, where, and how large it is."""
    known = FAULTS[fault.kind]
    where = f" at {fault.where}" if fault.where else ""
    size = f", {fault.size:.0%} of its size ({known.sizes})" if "whatever" not in known.sizes else ""
    return f"{known.called}{where}{size}"


def _fault(
    match: Match, proved: bool, ledger: Ledger, history: Sequence[Event], by: Reference
) -> Iterator[str]:
    known = known_faults()[match.fault.kind]
    report = match.report
    if report is None:
        said = "missed"
    else:
        proof = "" if proved else ", by entries that do not show it"
        place = "" if match.placed else ", its place wrong or not said"
        alike = f", as {FAULTS[report.kind].called}, which reads alike" if match.alike else ""
        said = f"reported in event {report.n}{alike}{place}{proof}"
    yield f"  {named(match.fault)}: {said}"
    yield f"    {known.tells}"
    seen = first_seen(known, history, ledger)
    if seen is None:
        theirs = first_seen(known, by.history, by.view.ledger)
        fields = _wanted(known, by)
        if theirs:
            yield f"    Nothing entered could tell of it. By what is next it shows: {theirs.what}."
        elif fields:
            would = ", ".join(field.label for field in fields[:3])
            yield f"    Nothing entered could tell of it. What would: {would}."
    else:
        late = f", {report.n - seen.n} entries before it was reported" if report and report.n > seen.n else ""
        yield f"    It could be known from event {seen.n}{late}: {seen.what}."
    if report is None or not proved or match.alike:
        yield f"    {known.parts}"


def first_seen(known: KnownFault, history: Sequence[Event], ledger: Ledger) -> Seen | None:
    """The first entry after which a finding that names the fault failed, else the first reading of it."""
    for event in history:
        for verdict in event.verdicts:
            id, subject, word = verdict.split(" ", 2)
            if id in known.findings and "fail" in word:
                return Seen(event.n, f"{id} on {subject} fails after {what_of(event, ledger)}")
    for event in history:
        if shows(known, event.what, ledger.equipment):
            return Seen(event.n, what_of(event, ledger))
    return None


def _wanted(known: KnownFault, by: Reference) -> list[Field]:
    """The fields of this unit that show a fault."""
    fields = by.view.ledger.fields
    return [f for id, f in fields.items() if any(fnmatchcase(id, pattern) for pattern in known.evidence)]


def _settings(score: Score, staged: Staged) -> Iterator[str]:
    off = [s for s in score.settings if s.took != s.right or not s.stored]
    if not off:
        return
    yield ""
    yield "Settings"
    for setting in off:
        topic = staged.equipment.equipment.topic_of(setting.topic)
        options = {o.id: o.label for o in topic.option} if topic else {}
        right = options.get(setting.right, setting.right)
        took = options.get(setting.took, setting.took) or "nothing"
        chosen = "chosen" if setting.took == setting.right else f"{took} was chosen"
        stored = "and stored" if setting.stored else "and not so stored at the end"
        yield f"  {topic.label if topic else setting.topic}: {right} is right; {chosen}, {stored}"


MOST_MISREAD = 12


def _misread(score: Score) -> Iterator[str]:
    if not score.misread:
        return
    yield ""
    yield "Entered, and not what the unit showed where the row asks for it"
    for wrong in score.misread[:MOST_MISREAD]:
        yield f"  Event {wrong.n}, {wrong.field}: {wrong.entered}; there it showed {wrong.showed}"
    if len(score.misread) > MOST_MISREAD:
        yield f"  and {len(score.misread) - MOST_MISREAD} more"


def _count(n: int, one: str, many: str) -> str:
    return f"{n} {one if n == 1 else many}"


def as_mapping(score: Score, staged: Staged, history: Sequence[Event]) -> Mapping[str, Any]:
    """The score for a script."""
    ledger = Ledger(staged.equipment.equipment, fold_all(history))
    faults = []
    for match, proved in zip(score.matched.faults, score.evidence, strict=True):
        seen = first_seen(known_faults()[match.fault.kind], history, ledger)
        faults.append(
            {
                "kind": match.fault.kind,
                "size": match.fault.size,
                "where": match.fault.where,
                "reported": match.report.n if match.report else None,
                "as": match.report.kind if match.report else None,
                "proved": proved,
                "placed": match.placed,
                "seen": seen.n if seen else None,
            }
        )
    return {
        "title": staged.sheet.title,
        "total": score.total,
        "parts": {m.part.name: {"points": m.points, "why": m.why} for m in score.marks},
        "breaches": [{"n": b.n, "hold": b.hold, "happens": b.happens} for b in score.breaches],
        "faults": faults,
        "false_reports": [{"n": r.n, "kind": r.kind} for r in score.matched.false],
        "settings": [
            {"topic": s.topic, "took": s.took, "right": s.right, "stored": s.stored} for s in score.settings
        ],
        "misread": [
            {"n": m.n, "field": m.field, "entered": m.entered, "showed": m.showed} for m in score.misread
        ],
        "hints": score.hints,
        "minutes": score.minutes,
        "outcome": score.outcome or None,
    }
