"""A session walked event by event: the same forward and back, then beside today, troubles where they are."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from asleft.drill.technician import SimulatedClock
from asleft.equipment.library import instruments
from asleft.line.replay import opened
from asleft.review.replay import APART, KEPT, Replay, Search
from asleft.session.state import fold_all
from asleft.unattended.drills import play_drill
from asleft.visit import Visit
from asleft.visit.carrying import carry_on
from drill.drills import lesson_of
from played import cut_after, session_bytes
from review.sessions import SAMPLES, Event, session, where
from review.test_examine import answered_so, back, differs, low_volts, waiver, with_note

NAMED = {i.id: i for i in instruments()}


def replay_of(data: bytes, tmp_path: Path) -> Replay:
    """The replay of a file."""
    path = tmp_path / "x.toml"
    path.write_bytes(data)
    return opened(path, "ip")[1]


@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem[:20])
def test_a_session_of_this_program_does_not_differ_from_itself(path: Path) -> None:
    """Every verdict that was shown then is what today's rules give, at the same event."""
    _, replay = opened(path, "ip")
    assert not replay.differs
    assert sum(len(told.today) for told in replay.all_told()) > 100


def visited(path: Path, *acts: tuple[str, str]) -> None:
    """One more sitting at a session: these acts, the last one taken back and brought back."""
    visit = Visit.open(path, NAMED, by="Ada", clock=SimulatedClock(3))
    for left, typed in acts:
        visit.enter(left, typed)
    visit.undo()
    visit.redo()
    visit.close()


def test_sittings_retractions_and_a_damaged_end_make_no_difference(tmp_path: Path) -> None:
    """What was opened again, taken back, brought back, torn, or goes on from a broken file is as it was."""
    path = tmp_path / "x.toml"
    path.write_bytes(cut_after(session_bytes()[1], 70))
    ready = ("acknowledge:EL-18", "yes")
    visited(path, ("identity.altitude", "900 ft"), ready, ("electrical.line.l1_l2", "180 V"))
    visited(path, ready, ("electrical.line.l1_l2", "239 V"))
    path.write_bytes(path.read_bytes()[:-100])
    visited(path, ("note", "went on after a cut"))
    _, replay = opened(path, "ip")
    assert sum(event.kind == "resumed" for event in replay.events) == 3
    assert [told.n for told in replay.all_told() if told.differs] == []
    path.write_bytes(path.read_bytes().replace(b"went on", b"went up", 1))
    visit = carry_on(path, NAMED, by="Ada", clock=SimulatedClock(4), session_id="new")
    visit.enter("identity.altitude", "950 ft")
    visit.close()
    _, replay = opened(visit.path, "ip")
    assert [told.n for told in replay.all_told() if told.differs] == []


def test_a_drill_does_not_differ_from_itself(tmp_path: Path) -> None:
    """From its commitment to its sheet revealed."""
    played = play_drill(tmp_path, lesson_of())
    _, replay = opened(played.path, "ip")
    assert replay.events[0].kind == "drilled"
    assert [told.n for told in replay.all_told() if told.differs] == []


def test_back_and_forth_the_views_are_the_same() -> None:
    """Whatever was looked at before."""
    _, replay = opened(SAMPLES[0], "ip")
    _, other = opened(SAMPLES[0], "ip")
    forward = [replay.view(n).verdicts() for n in range(0, len(replay), 7)]
    backward = [other.view(n).verdicts() for n in reversed(range(0, len(other), 7))]
    assert forward == backward[::-1]
    assert [replay.told(n) for n in (90, 3, 41)] == [other.told(n) for n in (90, 3, 41)]


def long_replay(events: int = 2000) -> Replay:
    """A sample that goes on with the same readings over and over."""
    found, replay = opened(SAMPLES[0], "ip")
    assert found.view is not None
    own = [event for event in replay.events if event.kind == "entered"]
    more = [replace(own[n % len(own)], n=len(replay) + n + 1) for n in range(events - len(replay))]
    return Replay(found.view.equipment, (*replay.events, *more))


def test_a_long_session_is_folded_from_near_by_and_keeps_little() -> None:
    """No step folds more than the events from one kept state to the next; few views are kept."""
    replay = long_replay()
    plain = long_replay()
    for n in (2000, 1999, 1900, 1000, 1001, 999, 50, 49, 51, 0):
        assert replay.view(n).state == fold_all(plain.events[:n])
    for n in range(1990, 1990 - 2 * KEPT, -1):
        replay.view(n)
    assert len(replay._views) == KEPT
    assert len(replay._states) <= 1 + 2000 // APART


def test_what_needs_no_reckoning_is_known_at_once_and_the_rest_by_looking_on(tmp_path: Path) -> None:
    """A breach and a finding that failed then before anybody was there; the difference once looked at."""

    def change(events: list[Event]) -> list[Event]:
        events = list(with_note(broke="EL-1")(events))
        events[where(events, field="electrical.line.l1_l2")]["verdicts"] = ["EL-2 unit fail"]
        del events[where(events, field="electrical.line.l2_ground")]["verdicts"]
        return events

    replay = replay_of(session(change), tmp_path)
    assert [n for n in range(1, len(replay) + 1) if replay.troubles_known(n)] == [68, 162]
    assert not replay.known(70)
    while replay.look_on():
        pass
    assert replay.looked_at == len(replay)
    assert [n for n in range(1, len(replay) + 1) if replay.troubles_known(n)] == [68, 70, 162]
    assert len(replay._views) <= 1


def test_a_search_goes_on_where_it_grew_weary(tmp_path: Path) -> None:
    """Several troubles on, both ways, and to the end where there are no more."""
    replay = replay_of(session(lambda e: with_note(broke="EL-1")(list(low_volts(e)))), tmp_path)
    odd = [told.n for told in replay.all_told() if told.troubles]
    search, stops = Search(replay, 0, 1, wanted=2), 0
    while not search.go_on(lambda: True):
        stops += 1
    assert (search.found, stops) == (odd[1], odd[1] - 2)
    there = Search(replay, len(replay) + 1, -1)
    assert there.go_on(lambda: False)
    assert there.found == odd[-1]
    beyond = Search(replay, odd[-1], 1)
    assert beyond.go_on(lambda: False)
    assert (beyond.found, beyond.wanted) == (0, 1)


def taken_back(events: list[Event]) -> list[Event]:
    """An event taken back at the end."""
    data = {"kind": "retracted", "of": 40, "why": "slip"}
    return [*events[:-1], {"at": events[-1]["at"], "by": "A", **data}, events[-1]]


def wrong_write_taken_back(events: list[Event]) -> list[Event]:
    """A second write that is said never to have been made, before the read-back."""
    wrote = max(n for n, e in enumerate(events) if e["kind"] == "wrote")
    last = {"at": events[wrote]["at"], "by": "A"}
    slip = {**events[wrote], "shown": "nothing like it"}
    back = {**last, "kind": "retracted", "of": wrote + 2, "why": "never written"}
    return [*events[: wrote + 1], slip, back, *events[wrote + 1 :]]


def test_a_write_that_was_taken_back_is_not_held_against_the_read_back(tmp_path: Path) -> None:
    """What counts is what stands as written."""
    replay = replay_of(session(wrong_write_taken_back), tmp_path)
    assert not any("otherwise than written" in t for told in replay.all_told() for t in told.troubles)


def test_an_error_text_at_a_write_is_not_held_against_the_read_back(tmp_path: Path) -> None:
    """It says nothing of what was written."""
    replay = replay_of(session(answered_so), tmp_path)
    assert not any("otherwise than written" in t for told in replay.all_told() for t in told.troubles)


def test_what_happened_is_said_by_the_names_on_the_screen(tmp_path: Path) -> None:
    """Fields, instruments, choices and settings by their labels; notes by their text."""
    replay = replay_of(session(with_note(broke="EL-1")), tmp_path)
    said = [told.what for told in replay.all_told()]
    assert all(said)
    assert "Shown for: Air handler: 1" in said
    assert "noted, broke EL-1: x" in said
    assert any(": Corwen" in words for words in said)
    assert any(words.startswith("chosen, Auxiliary heat: ") for words in said)


def test_verdicts_that_were_other_then_differ_there_and_nowhere_else(tmp_path: Path) -> None:
    """A file linked anew over other verdicts says what it says."""

    def altered(events: list[Event]) -> list[Event]:
        at = where(events, field="electrical.line.l1_l2")
        events[at]["verdicts"] = ["EL-2 unit fail"]
        return events

    replay = replay_of(session(altered), tmp_path)
    (told,) = [told for told in replay.all_told() if told.differs]
    assert told.then == ("EL-2 unit fail",)
    assert "other verdicts today than then" in told.troubles


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (with_note(broke="EL-1"), "breach of EL-1"),
        (waiver, "EL-20 circuit.1 waived: no tool at hand"),
        (back, "the clock went back"),
        (differs, "read back otherwise than written, "),
        (taken_back, "event 40 taken back: slip"),
        (low_volts, "EL-2 unit: fail"),
    ],
)
def test_troubles_are_where_they_happened(change: Any, words: str, tmp_path: Path) -> None:
    """Each in words."""
    replay = replay_of(session(change), tmp_path)
    assert any(words in trouble for told in replay.all_told() for trouble in told.troubles)


def test_a_session_without_trouble_has_none_told(tmp_path: Path) -> None:
    """None of those above stands in the one that they were put into."""
    healthy = replay_of(session(), tmp_path)
    assert not any(told.troubles for told in healthy.all_told())
