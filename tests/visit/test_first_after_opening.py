"""Whoever opens a visit again is held to what has lapsed since, from the first act on."""

from __future__ import annotations

import pytest

from asleft.equipment.library import instruments
from asleft.session.acts import Acknowledge, Enter
from asleft.visit import Refused, Visit
from entering import enter
from face.stages import READ, told_at
from visit.in_memory import InMemory, unit

SAME_DAY, LATER = "2031-05-04T09:40:00Z", "2031-05-04T23:00:00Z"
READING, RUN = "electrical.line.l1_l2", "blower.static.supply"


def opened(by: str, at: str, before: str = "") -> tuple[Visit, InMemory]:
    """A visit on the running unit, opened again by somebody at some time; as it was before a reading."""
    told = [e.written() for e in told_at(READ).state.history]
    end = next((i for i, event in enumerate(told) if before and event.get("field") == before), len(told))
    papers = [event for event in told[end:] if event.get("field", "").startswith("identity.")]
    journal = InMemory([{**event, "n": n} for n, event in enumerate((*told[:end], *papers), 1)])
    held = {i.id: i for i in instruments()}
    return Visit(journal, unit(), held, by=by, clock=lambda: at), journal  # type: ignore[arg-type]


@pytest.fixture
def worker() -> str:
    """Who worked so far."""
    return told_at(READ).state.history[-1].by


def test_another_person_gives_each_word_before_the_first_reading() -> None:
    """EL-18 and EL-19 were somebody else's; nothing is written by a refusal."""
    visit, journal = opened("Bo", SAME_DAY)
    for field, hold in ((READING, "EL-18"), (RUN, "EL-19")):
        told = visit.forbidden(Enter(field))
        assert told is not None
        assert hold in {h.id for h in told.holds}
        with pytest.raises(Refused, match=hold):
            enter(visit, field, "240 V" if field == READING else "0.3 in wc")
    assert journal.written == []
    enter(visit, "acknowledge:EL-18", "yes")
    enter(visit, READING, "240 V")
    assert [block["kind"] for block in journal.written] == ["resumed", "acknowledged", "entered"]


def test_what_lapsed_stands_in_the_file_with_the_first_act() -> None:
    """The verdicts of that act say so, though they were shown before it."""
    visit, journal = opened("Bo", SAME_DAY)
    enter(visit, "note", "x")
    assert {"EL-18 unit not measured", "EL-19 unit not measured"} <= set(journal.written[-1]["verdicts"])


def test_after_a_long_pause_the_same_person_clears_the_unit_again(worker: str) -> None:
    """Fourteen hours later on the same day: EL-19, and not EL-18. Next says so at once."""
    visit, _ = opened(worker, LATER)
    assert visit.view.finding("EL-19 unit").verdict == "not measured"  # type: ignore[union-attr]
    with pytest.raises(Refused, match="EL-19"):
        enter(visit, RUN, "0.3 in wc")
    enter(visit, READING, "240 V")


def test_next_asks_for_the_word_and_not_for_the_reading(worker: str) -> None:
    """What is next in a visit opened by another person can be done."""
    mine, _ = opened(worker, SAME_DAY, before=READING)
    assert mine.view.next.enter == READING
    theirs, _ = opened("Bo", SAME_DAY, before=READING)
    assert theirs.view.next.act == Acknowledge("EL-18")


def test_opened_again_within_the_hour_nothing_lapsed(worker: str) -> None:
    """The same person, the same day."""
    visit, journal = opened(worker, SAME_DAY)
    enter(visit, RUN, "0.3 in wc")
    assert [block["kind"] for block in journal.written] == ["resumed", "entered"]
