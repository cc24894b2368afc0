"""A rig served to trainees: nothing for nothing, and the sheet once, for the session that earned it."""

from __future__ import annotations

import errno
import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from asleft.drill.answers import RigError
from asleft.drill.classroom.client import Lesson, begin, go_on
from asleft.drill.classroom.ended import ended
from asleft.drill.classroom.lesson_unit import LessonUnit
from asleft.drill.classroom.register import Register
from asleft.drill.classroom.served_unit import ServedUnit
from asleft.drill.classroom.sheet import Staged
from asleft.drill.rig import BuiltIn, ask
from asleft.drill.technician import SimulatedClock, headless
from asleft.equipment.library import instruments
from asleft.journal import DiskFull, event_bytes, read
from asleft.session.acts import Hint
from asleft.session.commitment import commitment
from asleft.session.payloads import Revealed
from asleft.visit import Refused, SaveFailed, Visit
from drill.drills import SALT, begun, lesson_of, played_to, taken

OPEN = ("element-open", 1.0, "1")
HINTS = 'hints = ["Look.", "Look again.", "It is the first stage."]'
VOLTS = {"do": "read", "field": "electrical.line.l1_l2", "kind": "voltage", "instrument": "meter-corwen"}
LEFT_SAFE = (
    ("power", "off"),
    ("signoff.told", "Mrs Low"),
    ("signoff.made_safe", "isolated"),
    ("signoff.tagged", "yes"),
    ("sign", "not commissioned"),
)


def served(folder: Path, lesson: Staged, *, hidden: bool = True, earlier: str = SALT) -> ServedUnit:
    """A rig of a sheet, as a program that is started anew."""
    register = Register(folder / "lesson.register.jsonl")
    return ServedUnit(
        lesson, register, hidden=hidden, clock=lambda: "2031-05-04T09:30:00Z", earlier_salt=earlier
    )


def drill(folder: Path, unit: ServedUnit, name: str = "drill") -> tuple[Visit, Lesson]:
    """A drill begun with it."""
    clock = SimulatedClock(1)
    known = {i.id: i for i in instruments()}
    return begin(BuiltIn(unit), folder / name, known, by="Ada", clock=clock, session_id=name)


def sign(visit: Visit) -> None:
    """Leave a unit safe and sign it as not commissioned."""
    for left, typed in LEFT_SAFE:
        visit.enter(left, typed)


def chained(path: Path, change: dict[int, dict[str, Any]], *, drop: int = 0) -> str:
    """The text of a session with other keys in some events and without the last few, its links right."""
    contents = read(path)
    data = path.read_bytes()
    head = data[: data.index(b"\n[[event]]")]
    link = str(contents.header["chain"]["link"])
    for event in contents.events[: len(contents.events) - drop]:
        keys = {k: v for k, v in event.items() if k != "link"} | change.get(int(str(event["n"])), {})
        block, link = event_bytes(link, keys)
        head += block
    return head.decode()


@pytest.fixture
def signed(tmp_path: Path) -> Iterator[tuple[ServedUnit, Visit]]:
    """A drill with one reading from its rig, signed and not ended."""
    unit = served(tmp_path, lesson_of(OPEN, more=HINTS))
    visit, lesson = drill(tmp_path, unit)
    played_to(visit, lesson, "electrical.line.l1_l2")
    taken(visit, lesson, "electrical.line.l1_l2")
    sign(visit)
    yield unit, visit
    visit.close()


def refused(unit: ServedUnit, text: object) -> str:
    """Why a rig gives no sheet for this text."""
    answer = unit.answer({"do": "reveal", "session": text})
    assert set(answer) == {"refused"}
    return str(answer["refused"])


def test_before_a_drill_is_begun_nothing_is_answered(tmp_path: Path) -> None:
    """Neither a reading nor a hint nor the sheet; only what a trainee may know."""
    unit = served(tmp_path, lesson_of(OPEN, more=HINTS))
    asked: tuple[dict[str, Any], ...] = (
        {"do": "reveal"},
        {"do": "hint", "n": 1},
        VOLTS,
        {"do": "power", "state": "off"},
        {"do": "resume", "reads": {}, "settings": {}},
    )
    for request in asked:
        assert unit.answer(request) == {"refused": "no drill was begun here yet"}
    assert set(unit.answer({"do": "brief"})) == {"brief"}
    assert (tmp_path / "lesson.register.jsonl").read_bytes() == b""


def test_the_unit_of_a_seed_serves_an_ordinary_visit_too(tmp_path: Path) -> None:
    """As it always did; hints and sheet are for a drill, and nothing is written down of it."""
    unit = served(tmp_path, lesson_of(OPEN, more=HINTS), hidden=False)
    assert set(unit.answer(VOLTS)) == {"typed"}
    for request in ({"do": "reveal"}, {"do": "hint", "n": 1}):
        assert unit.answer(request) == {"refused": "no drill was begun here yet"}
    assert (tmp_path / "lesson.register.jsonl").read_bytes() == b""


def test_each_drill_has_a_promise_of_its_own(tmp_path: Path) -> None:
    """So that twenty can have one sheet, each its end; asked again, a rig gives the promise that it gave."""
    lesson = lesson_of(OPEN)
    hashes = set()
    for _ in range(3):
        unit = served(tmp_path, lesson)
        (hash,) = unit.answer({"do": "commit"}).values()
        assert unit.answer({"do": "commit"}) == {"hash": hash}
        assert "another drill" in unit.answer({"do": "commit", "hash": "a" * 64})["refused"]
        hashes.add(hash)
    assert len(hashes) == 3


def test_a_finished_session_gets_its_sheet_once(signed: tuple[ServedUnit, Visit], tmp_path: Path) -> None:
    """From this rig and from one that is started later."""
    unit, visit = signed
    later = served(tmp_path, lesson_of(OPEN, more=HINTS))
    assert later.answer({"do": "commit", "hash": visit.view.state.drilled}) == {
        "hash": visit.view.state.drilled
    }
    text = visit.path.read_text("utf-8")
    visit.enter("finish", "yes")
    assert commitment(visit.view.state.history[-1].what.sheet, _salt(visit)) == visit.view.state.drilled
    assert refused(unit, text) == "this drill is over"
    assert refused(later, text) == "this drill is over"
    after = served(tmp_path, lesson_of(OPEN, more=HINTS))
    assert after.answer({"do": "commit", "hash": visit.view.state.drilled}) == {
        "refused": "this drill is over"
    }


def _salt(visit: Visit) -> str:
    last = visit.view.state.history[-1].what
    assert isinstance(last, Revealed)
    return last.salt


def test_no_other_text_gets_a_sheet(signed: tuple[ServedUnit, Visit], tmp_path: Path) -> None:
    """Nothing, nonsense, another's, one that is torn, changed or unsigned; then the right one does."""
    unit, visit = signed
    text = visit.path.read_text("utf-8")
    assert "none came" in refused(unit, None)
    assert "none came" in refused(unit, [text])
    for nonsense in ("", "x", "\ud800", text.replace("\n", "\r\n"), "format = 2\n[session]\n"):
        refused(unit, nonsense)
    assert "not whole" in refused(unit, text[:-40])
    assert "not whole" in refused(unit, text.replace('by = "Ada"', 'by = "Eve"'))
    other, _ = drill(tmp_path, served(tmp_path, lesson_of(OPEN, more=HINTS)), "other")
    sign(other)
    assert "another drill" in refused(unit, other.path.read_text("utf-8"))
    other.close()
    assert "not signed" in refused(unit, chained(visit.path, {}, drop=1))
    assert "is nothing that was written there" in refused(
        unit,
        chained(visit.path, {2: {"kind": "entered", "field": "no.such.field", "typed": "x", "value": "x"}}),
    )
    assert set(unit.answer({"do": "reveal", "session": text})) == {"sheet", "salt", "hints"}


def test_readings_and_settings_must_be_those_that_the_rig_showed(tmp_path: Path) -> None:
    """One number changed under right links is named; what stands no more is not asked about."""
    lesson = lesson_of(OPEN)
    unit = served(tmp_path, lesson)
    visit, client = drill(tmp_path, unit)
    headless(visit, client.rig)
    events = read(visit.path).events
    reading = next(e for e in events if e.get("field") == "electrical.line.l1_l2")
    n, value = int(str(reading["n"])), float(str(reading["value"]))
    changed = {"typed": f"{value + 20:.1f} V", "value": value + 20}
    said = refused(unit, chained(visit.path, {n: changed}))
    assert said.startswith(f"event {n} holds {changed['typed']!r} for electrical.line.l1_l2")
    back = next(e for e in events if e["kind"] == "read_back")
    at = int(str(back["n"]))
    said = refused(unit, chained(visit.path, {at: {"shown": "99"}}))
    assert said.startswith(f"event {at} holds '99' for {back['setting']}@{back['address']}")
    visit.enter("finish", "yes")
    assert visit.view.state.revealed
    visit.close()


def test_what_was_mistyped_and_taken_back_is_not_asked_about(tmp_path: Path) -> None:
    """The newest of a field counts, and what was taken back counts no more."""
    unit = served(tmp_path, lesson_of(OPEN))
    visit, client = drill(tmp_path, unit)
    played_to(visit, client, "electrical.line.l1_l2")
    visit.enter("electrical.line.l1_l2", "283 V")
    typed = visit.view.state.last_n
    sign(visit)
    with pytest.raises(Refused, match=r"'283 V' for electrical.line.l1_l2, which this rig never showed"):
        visit.enter("finish", "yes")
    assert not visit.view.state.revealed
    visit.enter(f"retract:{typed}", "mistyped")
    visit.enter("sign", "not commissioned")
    visit.enter("finish", "yes")
    assert visit.view.state.revealed
    visit.close()


def test_readings_of_an_earlier_rig_of_the_same_drill_count(tmp_path: Path) -> None:
    """Whoever goes on tomorrow is answered by another process."""
    lesson = lesson_of(OPEN)
    visit, client = drill(tmp_path, served(tmp_path, lesson))
    played_to(visit, client, "electrical.line.l1_l2")
    taken(visit, client, "electrical.line.l1_l2")
    visit.close()
    again = Visit.open(visit.path, {i.id: i for i in instruments()}, by="Ada", clock=SimulatedClock(2))
    go_on(BuiltIn(served(tmp_path, lesson)), again)
    sign(again)
    again.enter("finish", "yes")
    assert again.view.state.revealed
    again.close()


def test_hints_are_counted_by_the_rig(tmp_path: Path) -> None:
    """One that the session does not say is in the score; the third alone is three; none is counted twice."""
    lesson = lesson_of(OPEN, more=HINTS)
    unit = served(tmp_path, lesson)
    visit, client = drill(tmp_path, unit)
    visit.submit(Hint(1), ask(client.rig, visit.view, Hint(1)).typed)
    visit.close()
    beside = served(tmp_path, lesson)
    beside.answer({"do": "commit", "hash": visit.view.state.drilled})
    assert beside.answer({"do": "hint", "n": 3}) == {"shown": "It is the first stage."}
    assert beside.answer({"do": "hint", "n": 2}) == {"shown": "Look again."}
    again = Visit.open(visit.path, {i.id: i for i in instruments()}, by="Ada", clock=SimulatedClock(2))
    go_on(BuiltIn(served(tmp_path, lesson)), again)
    sign(again)
    again.enter("finish", "yes")
    events = read(again.path).events
    assert events[-1]["hints"] == 3
    assert ended(events, again.equipment).score.hints == 3
    again.close()


def test_hints_that_the_session_says_are_not_told_twice(tmp_path: Path) -> None:
    """Its end is written as it always was."""
    visit, client = begun(tmp_path, lesson_of(OPEN, more=HINTS))
    visit.submit(Hint(1), ask(client.rig, visit.view, Hint(1)).typed)
    visit.enter("finish", "yes")
    last = read(visit.path).events[-1]
    assert set(last) == {"n", "at", "by", "kind", "sheet", "salt", "link"} | ({"verdicts"} & set(last))
    assert ended(read(visit.path).events, visit.equipment).score.hints == 1
    visit.close()


def test_a_sheet_that_was_changed_is_another_drill(tmp_path: Path) -> None:
    """A drill begun before the change is not gone on with."""
    visit, _ = drill(tmp_path, served(tmp_path, lesson_of(OPEN)))
    with pytest.raises(RigError, match="another drill, or its sheet was changed"):
        go_on(BuiltIn(served(tmp_path, lesson_of())), visit)
    visit.close()


def test_a_drill_begun_before_there_were_registers_goes_on_and_ends(tmp_path: Path) -> None:
    """Its readings nobody wrote down, so nobody asks for them; once it is over it is over."""
    lesson = lesson_of(OPEN)
    visit, client = begun(tmp_path / "old", lesson)
    played_to(visit, client, "electrical.line.l1_l2")
    taken(visit, client, "electrical.line.l1_l2")
    go_on(BuiltIn(served(tmp_path, lesson)), visit)
    sign(visit)
    visit.enter("finish", "yes")
    assert visit.view.state.revealed
    again = served(tmp_path, lesson).answer({"do": "commit", "hash": visit.view.state.drilled})
    assert again == {"refused": "this drill is over"}
    visit.close()


def test_of_a_seed_an_unsigned_session_ends_with_what_was_typed(tmp_path: Path) -> None:
    """Its key can be printed by anybody: there is nothing to keep, and a misreading is for the score."""
    unit = served(tmp_path, lesson_of(OPEN), hidden=False)
    visit, client = drill(tmp_path, unit)
    played_to(visit, client, "electrical.line.l1_l2")
    visit.enter("electrical.line.l1_l2", "283 V")
    visit.enter("finish", "yes")
    assert len(ended(read(visit.path).events, visit.equipment).score.misread) == 1
    visit.close()


def test_what_cannot_be_remembered_is_not_answered(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A full disk gives neither reading nor hint nor sheet, and the rig lives on."""
    unit = served(tmp_path, lesson_of(OPEN, more=HINTS))
    visit, _ = drill(tmp_path, unit)
    sign(visit)
    unit.answer({"do": "power", "state": "on"})
    text = visit.path.read_text("utf-8")

    def full(*_: object) -> int:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    with monkeypatch.context() as patched:
        patched.setattr("asleft.drill.classroom.register.os.fsync", full)
        for request in (VOLTS, {"do": "hint", "n": 1}, {"do": "reveal", "session": text}):
            assert "no space left" in unit.answer(request)["refused"]
    assert set(unit.answer(VOLTS)) == {"typed"}
    visit.close()


def test_a_sheet_that_came_is_kept_until_its_entry_is_saved(
    signed: tuple[ServedUnit, Visit], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The rig gives it once; a full disk here must not cost the trainee the debrief."""
    _, visit = signed

    def full(*_: object) -> None:
        raise DiskFull("the disk is full")

    with monkeypatch.context() as patched:
        patched.setattr(visit._journal, "append", full)
        with pytest.raises(SaveFailed):
            visit.enter("finish", "yes")
    assert not visit.view.state.revealed
    visit.enter("finish", "yes")
    assert visit.view.state.revealed


def test_a_unit_in_this_process_asks_for_the_session_too(tmp_path: Path) -> None:
    """One line gives nothing, whoever holds the unit."""
    unit = LessonUnit(lesson_of(OPEN), SALT)
    assert set(unit.answer({"do": "reveal"})) == {"refused"}
    visit, _ = begun(tmp_path, lesson_of())
    assert (
        "another drill" in unit.answer({"do": "reveal", "session": visit.path.read_text("utf-8")})["refused"]
    )
    visit.close()
