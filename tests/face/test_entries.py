"""What is typed and not yet taken: kept until it is on disk, and what is said of it."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pytest

from asleft.drill.rig import Answer
from asleft.drill.technician import SimulatedClock
from asleft.equipment.library import find, instruments
from asleft.face.drafts import Drafts, drafts_of
from asleft.face.entries import Entries, Said, Wording
from asleft.face.meaning import both, meant
from asleft.face.rows import Row
from asleft.session.acts import Enter, FindingName, parse
from asleft.session.payloads import CouldNot, Waived
from asleft.session.values import Amount
from asleft.visit import Refused, SaveFailed, Visit
from entering import enter

WORDS = Wording(" Esc empties it.", "F5", "F6", "F7", "F6 again", "F7 again")
SITE = Row(parse("identity.site"), "Site")
ALTITUDE = Row(parse("identity.altitude"), "Altitude")


@pytest.fixture
def visit(tmp_path: Path) -> Iterator[Visit]:
    """An empty visit."""
    made = Visit.create(
        tmp_path,
        find("tarnfield-lowmoor-36"),
        {i.id: i for i in instruments()},
        site="Mill Lane",
        by="Ada",
        clock=SimulatedClock(1),
        session_id="s",
    )
    yield made
    made.close()


@pytest.fixture
def entries(visit: Visit) -> Entries:
    """Nothing typed yet."""
    return Entries(visit, Drafts(None), WORDS)


class Full:
    """A disk that takes nothing while it is full."""

    def __init__(self, visit: Visit, monkeypatch: pytest.MonkeyPatch) -> None:
        self.full, self._real = True, visit.submit
        monkeypatch.setattr(visit, "submit", self._submit)

    def _submit(self, *args: object, **named: object) -> object:
        if self.full:
            raise SaveFailed("No space left.")
        return self._real(*args, **named)  # type: ignore[arg-type]


@pytest.fixture
def disk(visit: Visit, monkeypatch: pytest.MonkeyPatch) -> Full:
    """A full one."""
    return Full(visit, monkeypatch)


def test_what_is_typed_is_kept_by_act_until_it_is_taken(entries: Entries, visit: Visit) -> None:
    """Taken, it is forgotten, and the sentence says which entry it became."""
    entries.type(parse("identity.site"), "Mill")
    entries.type(parse("identity.altitude"), "300 ft")
    assert (entries.of(parse("identity.site")), entries.of(parse("identity.altitude"))) == ("Mill", "300 ft")
    assert entries.take(SITE, "Mill Lane", "ip") == Said("Saved 1: Site: Mill Lane", taken=True)
    assert (entries.of(parse("identity.site")), entries.of(parse("identity.altitude"))) == ("", "300 ft")
    assert visit.view.state.text("identity.site") == "Mill Lane"


def test_a_bare_number_is_in_the_units_of_the_screen(entries: Entries, visit: Visit) -> None:
    """As it was shown to who typed it."""
    entries.take(ALTITUDE, "100", "si")
    entry = visit.view.ledger.current("identity.altitude")
    assert entry is not None
    assert entry.value == Amount(100.0, "m")


def test_what_is_refused_stays_typed_and_says_why(entries: Entries) -> None:
    """And how to get rid of it."""
    entries.type(parse("identity.altitude"), "high")
    said = entries.take(ALTITUDE, "high", "ip")
    assert (said.bad, said.taken) == (True, False)
    assert said.text.startswith("Not taken: ")
    assert said.text.endswith(". Esc empties it.")
    assert ".." not in said.text
    assert entries.of(parse("identity.altitude")) == "high"
    entries.empty(parse("identity.altitude"))
    assert entries.of(parse("identity.altitude")) == ""


def test_an_entry_that_fails_its_check_says_so(entries: Entries) -> None:
    """It is saved all the same; a finding that only rests on it is not named."""
    said = entries.take(Row(parse("identity.model"), "Model"), "Another", "ip")
    assert said == Said("Saved 1: Model: Another. ID-1 fail", bad=True, taken=True)
    assert entries.take(SITE, "Mill Lane", "ip") == Said("Saved 2: Site: Mill Lane", taken=True)


def test_a_clock_that_went_back_is_told_at_once(visit: Visit) -> None:
    """The entry is saved, dated before the one before it."""
    times = iter(["2031-05-04T09:00:00Z", "2031-05-04T08:00:00Z", "2031-05-04T09:00:01Z"])
    visit._clock = lambda: next(times)  # the clock is handed in when a visit is made
    entries = Entries(visit, Drafts(None), WORDS)
    assert entries.take(SITE, "One", "ip") == Said("Saved 1: Site: One", taken=True)
    assert entries.take(SITE, "Two", "ip") == Said(
        "Saved 2: Site: Two. The clock went back: event 2 is dated before the one before it",
        bad=True,
        taken=True,
    )


def test_what_could_not_be_saved_is_kept_and_named(entries: Entries, disk: Full) -> None:
    """Until it is on disk, or typed otherwise."""
    assert entries.unsaved == ()
    assert entries.take(SITE, "Mill Lane", "ip") == Said(
        "Not saved; F5 saves in another folder, Enter tries again.", bad=True
    )
    assert (entries.failed, entries.unsaved) == ("No space left.", ("Site",))
    assert entries.of(parse("identity.site")) == "Mill Lane"
    entries.type(parse("identity.site"), "Mill Lane")
    assert entries.unsaved == ("Site",)
    entries.type(parse("identity.site"), "Mill Lane 2")
    assert entries.unsaved == ()
    disk.full = False
    assert entries.take(SITE, "Mill Lane 2", "ip").taken
    assert (entries.failed, entries.unsaved, entries.of(parse("identity.site"))) == ("", (), "")


def test_what_waited_is_handed_over_in_order_elsewhere(entries: Entries, disk: Full, visit: Visit) -> None:
    """Each in the units in which it was typed; it says where the session is."""
    entries.take(SITE, "Mill Lane", "ip")
    entries.take(ALTITUDE, "100", "si")
    disk.full = False
    said = entries.moved(Path("/other/visit.toml"))
    assert said == Said("Saved 2: Altitude: 100. The session is now in /other/visit.toml.", taken=True)
    assert [e.written()["field"] for e in visit.view.state.history] == ["identity.site", "identity.altitude"]
    entry = visit.view.ledger.current("identity.altitude")
    assert entry is not None
    assert entry.value == Amount(100.0, "m")
    assert entries.unsaved == ()
    assert entries.moved(Path("/third")) == Said("The session is now in /third.")


def test_where_the_first_is_not_saved_the_others_wait(entries: Entries, disk: Full, visit: Visit) -> None:
    """Nothing goes before what was entered before it."""
    entries.take(SITE, "Mill Lane", "ip")
    entries.take(ALTITUDE, "100", "si")
    said = entries.hand_over()
    assert (said.bad, said.taken, entries.unsaved) == (True, False, ("Site", "Altitude"))
    assert visit.view.state.last_n == 0
    assert entries.hand_over().text == "Not saved; F5 saves in another folder, Enter tries again."


def test_a_refusal_of_what_could_not_be_saved_gives_it_up(entries: Entries, disk: Full) -> None:
    """It will never be taken as it is."""
    entries.take(ALTITUDE, "high", "ip")
    assert entries.unsaved == ("Altitude",)
    disk.full = False
    assert entries.take(ALTITUDE, "high", "ip").bad
    assert entries.unsaved == ()


def test_why_something_cannot_be_done_is_asked_and_noted(entries: Entries, visit: Visit) -> None:
    """Beside what is typed for it, which stays; asked a second time it is asked no more."""
    entries.type(parse("identity.site"), "Mill")
    entries.reason(parse("identity.site"))
    assert entries.is_reason(parse("identity.site"))
    assert entries.of(parse("identity.site")) == ""
    entries.type(parse("identity.site"), "nobody knows")
    assert entries.of(parse("identity.site")) == "nobody knows"
    entries.reason(parse("identity.site"))
    assert not entries.is_reason(parse("identity.site"))
    assert entries.of(parse("identity.site")) == "Mill"
    entries.reason(parse("identity.site"))
    said = entries.take(SITE, "nobody knows", "ip")
    assert said.taken
    note = visit.view.state.notes[-1]
    assert note.what == CouldNot("nobody knows", Enter("identity.site"))
    assert not entries.is_reason(parse("identity.site"))
    assert entries.of(parse("identity.site")) == ""


def test_a_reason_is_why_not_then_why_it_may_stand_then_none(entries: Entries, visit: Visit) -> None:
    """One finding after the other; what was typed goes along, and Enter waives the one asked about."""
    serial, found = parse("identity.model"), [FindingName("ID-1", "unit"), FindingName("ID-6", "unit")]
    asked = []
    for _ in range(4):
        entries.reason(serial, found)
        asked.append((entries.is_reason(serial), entries.waives(serial)))
    assert asked == [(True, None), (True, found[0]), (True, found[1]), (False, None)]
    entries.reason(serial, found)
    entries.type(serial, "plate painted over")
    entries.reason(serial, found)
    assert entries.of(serial) == "plate painted over"
    said = entries.take(Row(serial, "Model"), "plate painted over", "ip")
    assert said.text.startswith("Saved 1: Model: waived ID-1 unit, plate painted over")
    assert visit.view.state.history[-1].what == Waived(found[0], "plate painted over")
    assert not entries.is_reason(serial)
    assert entries.waives(serial) is None


def test_what_is_no_reading_and_no_act_goes_straight_to_the_waiver(entries: Entries) -> None:
    """Of a choice nobody says that it cannot be done."""
    entries.reason(parse("choose:blower"), [FindingName("BL-7", "unit")])
    assert entries.waives(parse("choose:blower")) == FindingName("BL-7", "unit")
    entries.reason(parse("choose:blower"), [FindingName("BL-7", "unit")])
    assert not entries.is_reason(parse("choose:blower"))


def test_what_is_next_is_noted_as_what_it_is_about(entries: Entries, visit: Visit) -> None:
    """A field by itself, a repair by its finding."""
    first = visit.view.next.enter
    entries.reason(parse(first))
    assert entries.take(Row(parse(first), "Technician"), "no name given", "ip").taken
    assert visit.view.state.notes[-1].what == CouldNot("no name given", Enter(first))
    enter(visit, "identity.model", "Another")
    mended = "mended:ID-1/unit"
    entries.reason(parse(mended))
    assert entries.take(Row(parse(mended), "Model"), "no plate", "ip").taken
    assert visit.view.state.notes[-1].what == CouldNot("no plate", FindingName("ID-1", "unit"))


def test_what_nobody_can_note_says_so(entries: Entries, visit: Visit) -> None:
    """An act without a thing that it is about."""
    entries.reason(parse("sign"))
    said = entries.take(Row(parse("sign"), "Signature"), "not now", "ip")
    assert (said.bad, said.taken) == (True, False)
    assert entries.is_reason(parse("sign"))


@pytest.mark.parametrize(
    ("left", "done"),
    [
        ("identity.site", False),
        ("power", True),
        ("wrote:trail@unit", True),
        ("mended:EL-2/unit", True),
        ("found:trail@unit", False),
    ],
)
def test_a_rig_s_answer_is_offered_or_told_as_done(entries: Entries, left: str, done: bool) -> None:
    """What the rig did is done whether it is recorded or not; a reading was only taken."""
    said = entries.answer(parse(left), Answer(typed="on"))
    assert said == Said("Rig: on; it is done, and Enter records it." if done else "Rig: on; Enter takes it.")
    assert entries.of(parse(left)) == "on"
    assert entries.done_by_rig(parse(left)) == done
    entries.empty(parse(left))
    assert not entries.done_by_rig(parse(left))
    assert entries.of(parse(left)) == ""


@pytest.mark.parametrize(("entered", "stored"), [("300 ft", True), ("310 ft", False)])
def test_a_rig_s_time_goes_with_its_own_answer_alone(
    visit: Visit, entries: Entries, entered: str, stored: bool
) -> None:
    """What a person types over it was read by nobody's clock but his."""
    when = "2031-05-04T09:00:00Z"
    entries.answer(parse("identity.altitude"), Answer(typed="300 ft", read_at=when))
    assert entries.take(ALTITUDE, entered, "ip").taken
    assert visit.view.state.entries["identity.altitude"][-1].read_at == (when if stored else "")
    assert entries.take(ALTITUDE, "300 ft", "ip").taken
    assert visit.view.state.entries["identity.altitude"][-1].read_at == ""


def test_a_rig_s_refusal_becomes_the_reason(entries: Entries) -> None:
    """What was typed for it stays beneath."""
    entries.type(parse("power"), "off")
    said = entries.answer(parse("power"), Answer(refused="the switch is seized"))
    assert said == Said("Rig: refused, the switch is seized; Enter notes that it cannot be done.")
    assert entries.is_reason(parse("power"))
    assert entries.of(parse("power")) == "the switch is seized"
    assert not entries.done_by_rig(parse("power"))
    entries.empty(parse("power"))
    assert not entries.is_reason(parse("power"))


def test_undo_and_redo_ask_before_they_do(entries: Entries, visit: Visit) -> None:
    """The first call says what it would be; another question, or another act, asks anew."""
    assert entries.undo() == Said("There is nothing to undo.")
    assert entries.redo() == Said("There is nothing to redo.")
    enter(visit, "identity.site", "Mill Lane")
    what = visit.undoable()
    assert entries.undo() == Said(f"Undo: {what}. F6 again does it.")
    entries.forget_question()
    assert entries.undo() == Said(f"Undo: {what}. F6 again does it.")
    assert entries.undo() == Said(f"Undo done: {what}.", taken=True)
    assert visit.view.state.text("identity.site") is None
    again = visit.redoable()
    assert entries.redo() == Said(f"Redo: {again}. F7 again does it.")
    assert entries.undo().text == "There is nothing to undo."
    assert entries.redo() == Said(f"Redo done: {again}.", taken=True)
    assert visit.view.state.text("identity.site") == "Mill Lane"
    assert entries.undo().text.startswith("Undo: ")


def test_an_undo_that_cannot_be_saved_says_how_to_try(entries: Entries, visit: Visit, disk: Full) -> None:
    """It asks no second time."""
    disk.full = False
    enter(visit, "identity.site", "Mill Lane")
    disk.full = True
    entries.undo()
    for _ in range(2):
        assert entries.undo() == Said("Not saved; F5 saves in another folder, F6 tries again.", bad=True)
    assert entries.failed == "No space left."
    disk.full = False
    assert entries.undo().taken
    assert entries.failed == ""
    disk.full = True
    entries.redo()
    assert entries.redo().text == "Not saved; F5 saves in another folder, F7 tries again."


def test_drafts_outlive_the_terminal_and_trouble_is_told(tmp_path: Path, visit: Visit) -> None:
    """In a file of the session's name; an empty text is forgotten, and the last one with its file."""
    path = tmp_path / "drafts" / "s.json"
    drafts = Drafts(path)
    entries = Entries(visit, drafts, WORDS)
    entries.type(parse("identity.site"), "Mill")
    assert path.parent.stat().st_mode & 0o777 == 0o700
    assert json.loads(path.read_text("utf-8")) == {"identity.site": "Mill"}
    assert Drafts(path).get("identity.site") == "Mill"
    assert entries.trouble == ""
    entries.empty(parse("identity.site"))
    assert not path.exists()
    path.write_text("[1]")
    assert (Drafts(path).get("identity.site"), Drafts(path).trouble) == ("", "")
    path.write_text("{")
    assert Drafts(path).trouble.startswith("Drafts could not be read: ")
    blocked = Drafts(tmp_path / "note.txt" / "s.json")
    (tmp_path / "note.txt").write_text("x")
    blocked.put("a", "b")
    assert blocked.trouble.startswith("What is typed cannot be kept if the terminal dies: ")
    blocked.fill({"a": "other", "c": "d"})
    assert (blocked.get("a"), blocked.get("c")) == ("b", "d")
    assert drafts_of(visit)._path is not None
    assert str(drafts_of(visit)._path).endswith("drafts/s.json")


def test_what_is_typed_is_read_back_in_both_units(visit: Visit) -> None:
    """Before it counts; nothing while it means nothing."""
    held = visit.instruments

    def read(left: str, text: str, system: str = "ip") -> tuple[str, ...]:
        return meant(visit.view, held, parse(left), text, system)

    assert read("identity.altitude", "300") == ("300.0 ft", "91.44 m")
    assert read("identity.altitude", "300", "si") == ("300.00 m", "984.3 ft")
    assert read("identity.altitude", " ") == ()
    assert read("identity.altitude", "30 V") == ()
    assert read("identity.site", "300") == ()
    assert read("nothing.there", "300") == ()
    assert both(240.0, "voltage", "ip") == ("240.0 V",)


def test_an_undo_that_is_refused_says_why(
    entries: Entries, visit: Visit, monkeypatch: pytest.MonkeyPatch
) -> None:
    """And it is asked anew the next time."""
    enter(visit, "identity.site", "Mill Lane")
    what = visit.undoable()

    def refusing() -> None:
        raise Refused("hands may be inside", "first power off")

    monkeypatch.setattr(visit, "undo", refusing)
    entries.undo()
    assert entries.undo() == Said("hands may be inside; first power off", bad=True)
    assert entries.undo() == Said(f"Undo: {what}. F6 again does it.")
