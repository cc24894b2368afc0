"""A drill from its promise to its end: nothing is known beforehand, and everything is checked afterwards."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path
from typing import Any

import pytest

from asleft.drill.answers import RigError
from asleft.drill.classroom.client import go_on
from asleft.drill.classroom.ended import NotADrill, ended
from asleft.drill.classroom.hands import Held
from asleft.drill.classroom.lesson_unit import LessonUnit, salt_of
from asleft.drill.rig import BuiltIn, ask
from asleft.drill.technician import SimulatedClock, headless
from asleft.equipment.library import instruments
from asleft.journal import read
from asleft.session.acts import Act, Enter, FindingName, Hint, Mend
from asleft.session.payloads import Reported
from asleft.visit import Refused, Visit
from drill.drills import SALT, begun, lesson_of, played_to, taken

OPEN = ("element-open", 1.0, "1")


def request(unit: LessonUnit, **what: Any) -> dict[str, Any]:
    """One request, made of JSON alone."""
    return unit.answer(json.loads(json.dumps(what)))


def test_the_promise_is_a_salted_hash_that_anybody_can_check(tmp_path: Path) -> None:
    """It stands in the first entry; the sheet and the salt in the last, and they give it."""
    lesson = lesson_of(OPEN)
    visit, _ = begun(tmp_path, lesson)
    promised = read(visit.path).events[0]
    visit.enter("finish", "yes")
    first, *_, last = read(visit.path).events
    text = "\n".join((last["salt"], *last["sheet"]))
    assert first["kind"] == "drilled"
    assert first["hash"] == promised["hash"] == hashlib.sha256(text.encode()).hexdigest()
    assert "\n".join(last["sheet"]) == lesson.sheet.text
    visit.close()


def test_before_the_end_nothing_in_the_file_or_the_brief_names_a_fault(tmp_path: Path) -> None:
    """Neither kind, place, size nor hints."""
    lesson = lesson_of(OPEN, more='hints = ["It is the first stage."]')
    visit, client = begun(tmp_path, lesson)
    played_to(visit, client, "electrical.stage.1.current")
    visit.close()
    text = visit.path.read_text("utf-8")
    assert "element-open" not in text
    assert "first stage" not in text
    assert "first stage" not in repr(client.brief)
    assert set(client.brief.possible) > {"element-open", "loose-lug"}


def test_after_the_end_the_rig_refuses_all_else_and_the_record_is_closed(tmp_path: Path) -> None:
    """Nobody goes on with a drill whose sheet is known."""
    visit, client = begun(tmp_path, lesson_of(OPEN))
    visit.enter("finish", "yes")
    assert "over" in client.rig.ask({"do": "look", "setting": "x", "address": "y"})["refused"]
    with pytest.raises(Refused, match="over"):
        visit.enter("identity.site", "elsewhere")
    with pytest.raises(Refused, match="over"):
        visit.enter("finish", "yes")
    visit.close()


def test_a_sheet_that_was_not_promised_does_not_end_a_drill(tmp_path: Path) -> None:
    """Changed afterwards, it has another hash."""
    visit, _ = begun(tmp_path, lesson_of(OPEN))
    visit.finisher = lambda: (["format = 1"], SALT)
    with pytest.raises(Refused, match="not the one that this drill began with"):
        visit.enter("finish", "yes")
    assert not visit.view.state.revealed
    visit.close()


def test_a_sheet_exchanged_in_a_finished_file_is_not_scored(tmp_path: Path) -> None:
    """The debrief checks the promise again, from the file alone."""
    visit, _ = begun(tmp_path, lesson_of(OPEN))
    visit.enter("finish", "yes")
    forged = [dict(event) for event in read(visit.path).events]
    forged[-1]["salt"] = "another salt, longer"
    with pytest.raises(NotADrill, match="not the one"):
        ended(forged, visit.equipment)
    with pytest.raises(NotADrill, match="not finished"):
        ended(forged[:-1], visit.equipment)
    with pytest.raises(NotADrill, match="no drill"):
        ended(forged[1:], visit.equipment)
    visit.close()


def test_gone_on_with_it_meets_the_same_unit_in_the_same_state(tmp_path: Path) -> None:
    """Every answer after opening is the one that would have come without closing."""
    lesson = lesson_of(OPEN, ("stored-not-in-force", 1.0, ""), ("manometer-offset", 1.0, ""), seed=2)
    visit, client = begun(tmp_path, lesson)
    for _ in range(90):
        visit.submit(*_next(visit, client.rig))
    visit.close()
    again = Visit.open(
        visit.path, {i.id: i for i in instruments()}, by="Ada", clock=SimulatedClock(lesson.sheet.seed)
    )
    resumed = go_on(BuiltIn(LessonUnit(lesson, SALT)), again)
    for _ in range(60):
        if visit.view.next.do == "nothing":
            break
        one, other = _next(visit, client.rig), _next(again, resumed.rig)
        assert one == other
        again.submit(*other)
        visit.view = again.view
    again.close()


def _next(visit: Visit, rig: Any) -> tuple[Act, str, str]:
    from asleft.drill.technician import act

    return act(visit.view, rig)


def test_another_drills_rig_is_refused(tmp_path: Path) -> None:
    """It would answer for another unit."""
    visit, _ = begun(tmp_path, lesson_of(OPEN))
    with pytest.raises(RigError, match="another drill"):
        go_on(BuiltIn(LessonUnit(lesson_of(), SALT)), visit)
    visit.close()


def test_the_salt_is_the_same_for_a_sheet_and_another_for_another_or_another_machine() -> None:
    """So that a drill can be gone on with, and nobody guesses it."""
    assert salt_of(b"here", "a") == salt_of(b"here", "a")
    assert len({salt_of(b"here", "a"), salt_of(b"here", "b"), salt_of(b"there", "a")}) == 3


def test_leads_put_elsewhere_show_what_is_there(tmp_path: Path) -> None:
    """Another place of the same state; on a wrong dial nothing; OL where the range is too small."""
    unit = LessonUnit(lesson_of(), SALT)
    row = {"do": "read", "field": "electrical.line.l1_l2", "kind": "voltage", "instrument": "meter-corwen"}

    def by(dial: str, range: str = "auto", at: str = "electrical.line.l1_l2") -> dict[str, Any]:
        return request(unit, **row, **{"with": Held(dial, range, at).as_mapping()})

    plain = float(request(unit, **row)["typed"].split()[0])
    assert float(by("V ac")["typed"].split()[0]) == pytest.approx(plain, abs=3)
    assert float(by("V ac", at="electrical.line.l1_ground")["typed"].split()[0]) == pytest.approx(
        plain / 2, abs=3
    )
    assert float(by("V dc")["typed"].split()[0]) == pytest.approx(0.0, abs=0.5)
    assert "OL" in by("V ac", "60 V 0.01 V")["refused"]
    assert "off" in by("off")["refused"]
    assert "dial" in by("frobs")["refused"]
    assert "cannot be put there" in by("V ac", at="electrical.loaded.l1_l2")["refused"]
    assert "cannot be put there" in by("V ac", at="nowhere")["refused"]


def test_another_instrument_of_the_kind_is_sound() -> None:
    """A meter that reads low is found out by the next one."""
    unit = LessonUnit(lesson_of(("meter-reads-low", 1.0, "")), SALT)
    row = {"do": "read", "field": "electrical.line.l1_l2", "kind": "voltage"}
    low = float(request(unit, **row, instrument="meter-corwen")["typed"].split()[0])
    sound = float(request(unit, **row, instrument="meter-unmarked")["typed"].split()[0])
    assert low / sound == pytest.approx(0.92, abs=0.02)


def test_what_own_hands_can_set_right_is_mended_and_nothing_else(tmp_path: Path) -> None:
    """A manometer is zeroed, and its readings are right; an open element stays open."""
    visit, client = begun(tmp_path, lesson_of(("manometer-offset", 1.0, ""), OPEN))
    played_to(visit, client, "mended:BL-15/unit")
    assert ask(client.rig, visit.view, Mend(FindingName("BL-15", "unit"))).typed
    refused = client.rig.ask({"do": "mend", "finding": "EL-15", "subject": "stage.1"})
    assert "report it" in refused["refused"]
    zero = ask(client.rig, visit.view, Enter("blower.open_port")).typed
    assert abs(float(zero.split()[0])) <= 0.004
    visit.close()


def test_a_part_that_is_named_heals_its_own_faults_and_no_other() -> None:
    """Of what own hands can set right: the clamp is zeroed, the manometer is not, the element stays open."""
    both = (("manometer-offset", 1.0, ""), ("clamp-not-zeroed", 1.0, ""), OPEN)
    unit = LessonUnit(lesson_of(*both), SALT)
    port = {"do": "read", "field": "blower.open_port", "kind": "static_pressure"}
    amps = {"do": "read", "field": "electrical.circuit.1.no_call.l1", "kind": "current"}

    def shown() -> tuple[float, float]:
        return tuple(float(request(unit, **asked)["typed"].split()[0]) for asked in (port, amps))  # type: ignore[return-value]

    mend = {"do": "mend", "finding": "BL-15", "subject": "unit"}
    zero, drawn = shown()
    assert request(unit, **mend, part="instrument.clamp") == {"done": True}
    assert shown()[0] == pytest.approx(zero, abs=0.01)
    assert shown()[1] < drawn - 1.0
    assert "report it" in request(unit, **mend, part="instrument.clamp")["refused"]
    assert "report it" in request(unit, **mend, part="stage.1")["refused"]
    assert request(unit, **mend, part="instrument.manometer") == {"done": True}
    assert abs(shown()[0]) <= 0.004


def test_hints_come_in_order_and_stay_counted(tmp_path: Path) -> None:
    """The rig has no more than the sheet; taken back, a hint was read all the same."""
    visit, client = begun(tmp_path, lesson_of(OPEN, more='hints = ["Look.", "Look again."]'))
    for n, words in ((1, "Look."), (2, "Look again.")):
        visit.submit(Hint(n), ask(client.rig, visit.view, Hint(n)).typed)
        assert visit.view.state.notes[-1].text == words
    visit.undo()
    assert "no hint is left" in ask(client.rig, visit.view, Hint(3)).refused
    with pytest.raises(Refused, match="hint:3"):
        visit.enter("hint:2", "Look again.")
    visit.enter("finish", "yes")
    over = ended(read(visit.path).events, visit.equipment)
    assert over.score.hints == 2
    visit.close()


def test_a_report_names_kind_place_and_what_shows_it(tmp_path: Path) -> None:
    """By field, by finding, by number, by setting; kept as the numbers of the entries."""
    visit, client = begun(tmp_path, lesson_of(OPEN))
    played_to(visit, client, "electrical.stage.1.current")
    n = taken(visit, client, "electrical.stage.1.current")
    for typed in (
        "element-open@1 by electrical.stage.1.current",
        f"Element open@1 by {n}",
        "element-open@1 by EL-15/stage.1",
    ):
        visit.enter("report", typed)
        note = visit.view.state.notes[-1].what
        assert isinstance(note, Reported)
        assert note.reports == "element-open@1"
        assert n in note.evidence
    visit.close()


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("", "is no kind of fault"),
        ("element-open", "no evidence"),
        ("element-open by ", "no evidence"),
        ("elemnt-open by identity.site", "did you mean element-open"),
        ("gremlins by identity.site", "asleft help drill"),
        ("element-open@[b] by identity.site", "is no place"),
        ("element-open by electrical.stage.1.current", "nothing was entered"),
        ("element-open by 99", "there is no event 99"),
        ("element-open by nonsense", "is no evidence"),
        ("element-open by EL-2/unit", "rests on nothing"),
    ],
)
def test_a_report_that_cannot_be_is_refused_with_what_would_be_right(
    tmp_path: Path, typed: str, words: str
) -> None:
    """Nothing is recorded."""
    visit, _ = begun(tmp_path, lesson_of(OPEN))
    visit.enter("identity.site", "Hill")
    before = visit.view.state.last_n
    with pytest.raises(Refused, match=words):
        visit.enter("report", typed)
    assert visit.view.state.last_n == before
    visit.close()


def test_the_same_sheet_gives_the_same_session_byte_for_byte(tmp_path: Path) -> None:
    """Played twice."""
    files = []
    for name in ("one", "other"):
        visit, client = begun(tmp_path / name, lesson_of(OPEN))
        headless(visit, client.rig)
        visit.enter("finish", "yes")
        visit.close()
        files.append(visit.path.read_bytes())
    assert files[0] == files[1]
