"""The score of a drill: safety caps it, faults need proof, what is made up or not needed costs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import cache
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from asleft.drill.classroom.debrief import debrief
from asleft.drill.classroom.marks import Score, score
from asleft.drill.classroom.matching import Report, matched
from asleft.drill.classroom.reference import Reference, reference
from asleft.drill.classroom.rubric import rubric
from asleft.drill.classroom.sheet import Staged
from asleft.installation.faults import Fault
from asleft.session.events import Event
from asleft.session.payloads import Entered, Retracted
from asleft.session.values import Amount
from drill.drills import lesson_of
from support import event

OPEN = Fault("element-open", 1.0, "1")


@cache
def played(*faults: Fault, minutes: int = 0) -> tuple[Staged, Reference]:
    """A drill worked by what is next alone."""
    more = f"minutes = {minutes}" if minutes else ""
    staged = lesson_of(*((f.kind, f.size, f.where) for f in faults), more=more)
    return staged, reference(staged)


def with_notes(history: Sequence[Event], *notes: dict[str, Any]) -> tuple[Event, ...]:
    """The same session with these noted before it was signed."""
    *rest, signed = history
    events = [*rest]
    for data in notes:
        events.append(event(len(events) + 1, "noted", at=signed.at, **{"text": "x", **data}))
    return (*events, replace(signed, n=len(events) + 1))


def scored(*notes: dict[str, Any], faults: tuple[Fault, ...] = (OPEN,), minutes: int = 0) -> Score:
    """The score of the play by what is next, with these notes in it."""
    staged, by = played(*faults, minutes=minutes)
    return score(with_notes(by.history, *notes), staged, by)


def points(found: Score) -> dict[str, float]:
    """Points by part."""
    return {mark.part.name: mark.points for mark in found.marks}


def current() -> int:
    """The entry that shows the open element."""
    _, by = played(OPEN)
    return next(e.n for e in by.history if getattr(e.what, "field", "") == "electrical.stage.1.current")


def report(kind: str = "element-open@1", *evidence: int) -> dict[str, Any]:
    """A report."""
    return {"reports": kind, "evidence": list(evidence or (current(),))}


def test_the_rubric_adds_up_to_a_hundred_and_says_why() -> None:
    """Every part has its words; caps fall as breaches grow."""
    rules = rubric()
    assert sum(part.points for part in rules.parts) == 100.0
    assert all(part.what and part.why for part in rules.parts)
    assert sum(rules.fault.values()) == pytest.approx(1.0)
    assert [rules.cap(n) for n in range(5)] == [100.0, 59.0, 39.0, 19.0, 19.0]


def test_found_with_proof_at_its_place_everything_else_right_is_a_hundred() -> None:
    """Nothing is missing."""
    assert scored(report()).total == 100.0


def test_doing_only_what_is_next_scores_all_but_the_faults() -> None:
    """Nobody reported them."""
    found = scored()
    assert points(found)["faults"] == 0.0
    assert found.total == pytest.approx(100.0 - points(scored(report()))["faults"], abs=0.2)


@pytest.mark.parametrize(
    ("kind", "evidence", "share"),
    [
        ("element-open@1", (), 1.0),
        ("element-open@2", (), 0.9),
        ("element-open", (), 0.9),
        ("element-open@1", (1,), 0.7),
        ("element-open", (1,), 0.6),
        ("kit-not-as-labelled@x", (), 0.9),
        ("loose-lug@1.l2", (), 0.0),
    ],
)
def test_a_fault_counts_by_kind_proof_and_place(kind: str, evidence: tuple[int, ...], share: float) -> None:
    """Six, three and one in ten; what the readings cannot part is taken for it."""
    most = points(scored(report()))["faults"]
    assert points(scored(report(kind, *evidence)))["faults"] == pytest.approx(most * share, abs=0.06)


@pytest.mark.parametrize(("breaches", "most"), [(0, 100.0), (1, 59.0), (2, 39.0), (3, 19.0), (7, 19.0)])
def test_breaches_cap_whatever_else_was_right(breaches: int, most: float) -> None:
    """And each says what would have happened."""
    found = scored(report(), *({"broke": "EL-1", "text": "A shock."},) * breaches)
    assert found.total == most
    assert len(found.breaches) == breaches
    staged, by = played(OPEN)
    lines = debrief(found, staged, by.history, by)
    assert any("A shock." in line for line in lines) == bool(breaches)


def test_a_breach_taken_back_happened_all_the_same() -> None:
    """And a report taken back did not."""
    staged, by = played(OPEN)
    notes = with_notes(by.history, {"broke": "EL-1"}, report())
    *rest, signed = notes
    back = [
        Event(signed.n + n, signed.at, "Ada", Retracted(signed.n - of, "no")) for n, of in ((0, 1), (1, 2))
    ]
    found = score((*rest, *back, replace(signed, n=signed.n + 2)), staged, by)
    assert len(found.breaches) == 1
    assert points(found)["faults"] == 0.0


def test_false_reports_and_hints_are_taken_off() -> None:
    """Five and four each; no score is below nothing."""
    right = scored(report()).total
    assert scored(report(), report("loose-lug@1.l2")).total == pytest.approx(right - 5.0, abs=0.2)
    assert scored(report(), {"hint": 1}, {"hint": 2}).total == pytest.approx(right - 8.0, abs=0.2)
    many = (report("loose-lug@1.l2"),) * 40
    assert scored(*many).total == 0.0


def test_the_same_fault_reported_twice_is_not_false() -> None:
    """Nor a second proof of it."""
    assert scored(report(), report("element-open")).matched.false == ()


def test_a_healthy_unit_is_a_drill_too() -> None:
    """Nothing to find; signed as not commissioned it is wrong, and every report is false."""
    found = scored(faults=())
    assert found.total == 100.0
    assert found.outcome == "commissioned"
    assert scored(report("loose-lug", 20), faults=()).total == pytest.approx(95.0, abs=0.2)


def test_an_entry_that_the_unit_never_showed_is_told() -> None:
    """With what it showed there; noise is no lie."""
    staged, by = played(OPEN)
    lie = Entered("electrical.stage.1.current", "19.8 A", Amount(19.8, "A"))
    forged = tuple(replace(e, what=lie) if e.n == current() else e for e in by.history)
    found = score(forged, staged, by)
    assert [(m.n, m.entered) for m in found.misread] == [(current(), "19.8 A")]
    assert score(by.history, staged, by).misread == ()
    assert points(found)["readings"] < points(score(by.history, staged, by))["readings"]


@pytest.mark.parametrize(("minutes", "share"), [(480, 1.0), (90, 0.52), (50, 0.0)])
def test_time_counts_where_the_sheet_gives_any(minutes: int, share: float) -> None:
    """All of it within the time, none at twice as long. Without minutes it is not scored."""
    assert "time" not in points(scored(report()))
    found = scored(report(), minutes=minutes)
    assert points(found)["time"] == pytest.approx(
        5.0 * max(0.0, min(1.0, 2 - found.minutes / minutes)), abs=0.06
    )
    assert points(found)["time"] == pytest.approx(5.0 * share, abs=0.6)


def test_unsigned_nothing_is_given_for_haste() -> None:
    """Who does nothing has done no work quickly."""
    staged, by = played(OPEN, minutes=60)
    found = score(by.history[:10], staged, by)
    assert points(found)["outcome"] == points(found)["work"] == points(found)["time"] == 0.0
    assert found.total < 5.0


def test_needless_acts_cost() -> None:
    """A quarter more is nobody's business; twice as many earn nothing."""
    staged, by = played(OPEN)
    extra = tuple({"text": "again"} for _ in range(round(by.events * 1.6)))
    found = score(with_notes(by.history, *extra), staged, by)
    assert points(found)["work"] == 0.0
    assert points(scored(*extra[: by.events // 5]))["work"] == points(scored())["work"]


KINDS = st.sampled_from(["element-open", "kit-not-as-labelled", "loose-lug", "filter-loaded", "tier-too-low"])


@given(
    st.lists(st.tuples(KINDS, st.sampled_from(["", "1", "2"])), max_size=4),
    st.lists(st.tuples(KINDS, st.sampled_from(["", "1", "2"])), max_size=6),
)
@settings(max_examples=200, deadline=None)
def test_every_report_is_of_one_fault_or_false_or_said_twice(
    hidden: list[tuple[str, str]], said: list[tuple[str, str]]
) -> None:
    """No report counts for two faults, none vanishes, and a fault named exactly is never missed."""
    faults = [Fault(kind, 1.0, where) for kind, where in hidden]
    reports = [Report(n, kind, where, ()) for n, (kind, where) in enumerate(said, 1)]
    found = matched(faults, reports)
    used = [m.report.n for m in found.faults if m.report]
    assert len(used) == len(set(used))
    assert [m.fault for m in found.faults] == faults
    kinds = {m.report.kind for m in found.faults if m.report}
    for one in reports:
        assert (one in found.false) == (one.n not in used and one.kind not in kinds)
    for match in found.faults:
        if match.report is None:
            assert not any(r.kind == match.fault.kind and r.n not in used for r in reports)
