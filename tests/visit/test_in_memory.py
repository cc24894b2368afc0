"""A visit between two acts: sealing, ending a drill, undoing, what is forbidden before anybody does it."""

from __future__ import annotations

from pathlib import Path

import pytest

from asleft.equipment.library import find, instruments
from asleft.journal import JournalError, NotSealed, read
from asleft.session.acts import parse
from asleft.session.commitment import commitment
from asleft.visit import Refused, SaveFailed, Visit
from asleft.visit.undo import last_act, last_undo
from checks.visits import happens, say
from entering import enter
from face.stages import BEGUN, CHOSEN, DONE, IDLE, ISOLATED, PAPERS, READ, WRITTEN, told_at
from faults.walks import Base
from played import place_of, session_file
from visit.in_memory import standing

OFF = happens("powered", state="off")
SHEET, SALT = ("format = 1", "seed = 1"), "0123456789abcdef"
DRILL = happens("drilled", hash=commitment(SHEET, SALT), by="x")


def test_a_seal_signs_the_newest_link_with_the_key_that_is_named() -> None:
    """Home is meant by `~`; the visit does not go on by it, and the key is remembered."""
    visit, journal = standing(DONE)
    asked: list[tuple[str, Path]] = []

    def signer(link: str, key: Path) -> tuple[str, ...]:
        asked.append((link, key))
        return ("-----BEGIN", "-----END")

    visit.signer = signer
    last = visit.view.state.last_n
    view = enter(visit, " seal ", " ~/key ")
    assert asked == [("0" * 64, Path.home() / "key")]
    assert [block["kind"] for block in journal.written] == ["sealed"]
    assert (journal.written[0]["of"], journal.written[0]["signature"]) == (last, ["-----BEGIN", "-----END"])
    assert visit.sealed_with == "~/key"
    assert view is visit.view
    assert view.state.last_n == last + 1


@pytest.mark.parametrize("error", [NotSealed("no such key."), RuntimeError("no home.")])
def test_a_key_that_cannot_seal_is_refused_with_why(error: Exception) -> None:
    """And not remembered."""
    visit, journal = standing(DONE)

    def signer(link: str, key: Path) -> tuple[str, ...]:
        raise error

    visit.signer = signer
    with pytest.raises(Refused) as refused:
        enter(visit, "seal", "key")
    assert str(refused.value) == str(error).rstrip(".")
    assert (journal.written, visit.sealed_with) == ([], "")


def test_a_drill_ends_with_the_sheet_that_it_began_with() -> None:
    """Typed yes, or its beginning; after it nothing more is taken but a seal or a review."""
    for typed in ("yes", " Y ", "ye"):
        visit, journal = standing(IDLE, DRILL)
        visit.finisher = lambda: (SHEET, SALT)
        enter(visit, "finish", typed)
        assert journal.written[-1]["kind"] == "revealed"
        assert (journal.written[-1]["sheet"], journal.written[-1]["salt"]) == (list(SHEET), SALT)
        assert len(journal.written) == 1
        with pytest.raises(
            Refused, match=r"this drill is over and its sheet revealed; asleft drill --debrief"
        ):
            enter(visit, "note", "x")
        enter(visit, "review:accepted", "fine")


def test_a_drill_does_not_end_by_chance_or_with_another_sheet() -> None:
    """Nor where its rig fails."""

    def failing() -> tuple[tuple[str, ...], str]:
        raise OSError("the rig is gone.")

    visit, journal = standing(IDLE, DRILL)
    for finisher, typed, says in (
        (lambda: (SHEET, SALT), "", "the drill goes on; yes ends it"),
        (lambda: (SHEET, SALT), "no", "the drill goes on; yes ends it"),
        (lambda: (SHEET, SALT), "yesx", "the drill goes on; yes ends it"),
        (failing, "yes", "the rig is gone"),
        (
            lambda: (("other",), SALT),
            "yes",
            "the sheet that the rig gives is not the one that this drill began with; the rig that the drill"
            " was begun with",
        ),
    ):
        visit.finisher = finisher
        with pytest.raises(Refused) as refused:
            enter(visit, "finish", typed)
        assert str(refused.value) == says
    assert journal.written == []


def test_undo_takes_back_the_newest_act_that_can_be_and_redo_brings_it_back() -> None:
    """Neither a signature nor what was taken back already; with their reasons in the file."""
    visit, journal = standing(BEGUN)
    assert (visit.undoable(), visit.redoable()) == ("", "")
    with pytest.raises(Refused, match=r"^there is nothing to undo$"):
        visit.undo()
    with pytest.raises(Refused, match=r"^there is nothing to redo$"):
        visit.redo()
    enter(visit, "identity.site", "Mill Lane")
    enter(visit, "note", "a remark")
    assert visit.undoable() == "event 2, noted, a remark"
    visit.undo()
    assert (journal.written[-1]["of"], journal.written[-1]["why"]) == (2, "undone")
    assert visit.undoable().startswith("event 1, ")
    assert visit.redoable() == "event 2, noted, a remark"
    visit.undo("a slip")
    assert journal.written[-1]["why"] == "a slip"
    visit.redo()
    assert (journal.written[-1]["of"], journal.written[-1]["why"]) == (4, "redone")
    assert visit.view.state.text("identity.site") == "Mill Lane"
    assert visit.redoable() == "event 2, noted, a remark"
    enter(visit, "note", "more")
    assert visit.redoable() == ""


def test_what_would_be_undone_is_said_by_the_names_on_the_screen() -> None:
    """A field and a topic by their labels."""
    visit, _ = standing(BEGUN)
    enter(visit, "identity.site", "Mill Lane")
    assert visit.undoable() == "event 1, Site: Mill Lane"
    chosen, _ = standing(READ)
    enter(chosen, "choose:tier", "hush")
    assert chosen.undoable().endswith(", chosen, Blower tier: Hush")


def test_before_the_first_entry_there_is_nothing_to_review() -> None:
    """By whomever."""
    visit, journal = standing(BEGUN)
    with pytest.raises(Refused) as refused:
        enter(visit, "review:accepted", "fine")
    assert str(refused.value) == "there is nothing to review yet; a review judges entries"
    assert journal.written == []


def test_what_cannot_be_retracted_is_not_undone() -> None:
    """What was signed, sealed or reviewed stands; the act before it is what undo means."""
    state = told_at(
        DONE, happens("signed", outcome="commissioned"), happens("reviewed", outcome="accepted", why="x")
    ).state
    found = last_act(state)
    assert found is not None
    assert found.kind == "entered"
    assert last_undo(state) is None
    assert last_act(told_at(BEGUN).state) is None
    retracted = told_at(BEGUN, say("identity.site", "x"), happens("retracted", of=1, why="x")).state
    assert last_act(retracted) is None
    pair = last_undo(retracted)
    assert pair is not None
    assert (pair[0].n, pair[1].n) == (2, 1)


@pytest.mark.parametrize(
    ("stage", "changes", "left", "says"),
    [
        (ISOLATED, (), "power", "power on is locked by EL-19"),
        (IDLE, (), "power", ""),
        (IDLE, (OFF,), "electrical.line.l1_l2", "power=on first"),
        (IDLE, (), "electrical.line.l1_l2", ""),
        (IDLE, (), "electrical.ground.resistance", "power=off first"),
        (IDLE, (), "wrote:trail@unit", "has no as-found value on record"),
        (CHOSEN, (), "wrote:bank-use@system", ""),
        (CHOSEN, (say("identity.orientation", "sideways"),), "wrote:silent-line@system", ""),
        (CHOSEN, (say("identity.orientation", "sideways"),), "wrote:thaw-warmth@system", "is locked by ID-3"),
        (CHOSEN, (OFF,), "found:trail@unit", "power=on first"),
        (WRITTEN, (OFF,), "read_back:trail@unit", "power=on first"),
        (IDLE, (), "choose:tier", ""),
        (PAPERS, (), "mended:EL-2/unit", ""),
        (PAPERS, (), "identity.site", ""),
        (PAPERS, (), "no.such.field", ""),
    ],
)
def test_what_would_be_refused_is_said_before_anybody_does_it(
    stage: str, changes: tuple[object, ...], left: str, says: str
) -> None:
    """Power as it would be switched, a setting as it is meant to be."""
    visit, journal = standing(stage, *changes)  # type: ignore[arg-type]
    refused = visit.forbidden(parse(left))
    assert (refused is None) == (not says)
    assert says in str(refused or "")
    assert journal.written == []


def test_a_refusal_names_the_holds_and_a_mistyped_entry_behind_them() -> None:
    """At most three in words, all of them by what they are."""
    wrong = say("electrical.stage.1.voltage", "12 V")
    visit, _ = standing(DONE, say("electrical.line.l1_l2", "205 V"), wrong)
    with pytest.raises(Refused) as refused:
        enter(visit, "blower.static.supply", "0.3")
    assert {f.id for f in refused.value.holds} == {"EL-2", "EL-4"}
    assert refused.value.expected
    assert refused.value.what.startswith("Supply static, cooling is locked by EL-2, ")
    assert refused.value.what.count("; ") == 2


def test_what_is_not_saved_is_not_part_of_the_visit(monkeypatch: pytest.MonkeyPatch) -> None:
    """The view stays, and the first act of a sitting stays the first."""
    visit, journal = standing(IDLE)
    before = visit.view

    def full(blocks: object) -> None:
        raise JournalError("disk full")

    monkeypatch.setattr(journal, "append", full)
    with pytest.raises(SaveFailed, match=r"^Not saved: disk full$"):
        enter(visit, "note", "x")
    assert visit.view is before
    monkeypatch.undo()
    enter(visit, "note", "x")
    assert [block["kind"] for block in journal.written] == ["resumed", "noted"]


def test_an_event_says_who_when_and_which_verdicts_it_changed() -> None:
    """Of several events of one act, the last."""
    visit, journal = standing(IDLE)
    visit.by = "Bo"
    enter(visit, "identity.model", "Another")
    resumed, entered = journal.written
    assert (resumed["n"], resumed["at"], resumed["by"]) == (79, "2031-05-04T12:00:00Z", "Bo")
    assert "verdicts" not in resumed
    # What Ada acknowledged is no word of Bo's.
    lapsed = ["EL-18 unit not measured", "EL-19 unit not measured"]
    assert entered["verdicts"] == ["ID-1 unit fail", *lapsed, "SO-2 unit fail"]
    enter(visit, "note", "x")
    assert "verdicts" not in journal.written[-1]


def test_a_visit_is_read_in_other_units_without_a_word_recorded() -> None:
    """Asked for what it has, nothing is computed anew."""
    visit, journal = standing(DONE)
    ip = visit.view
    assert visit.read_in("ip") is ip
    si = visit.read_in("si")
    assert si is visit.view
    assert si.ledger.system == "si"
    assert (visit.system, journal.written) == ("si", [])
    assert enter(visit, "note", "x").ledger.system == "si"


def test_a_visit_knows_its_file_by_its_header() -> None:
    """Its id and what kind of visit it is."""
    visit, _ = standing(BEGUN)
    assert (visit.session_id, visit.mode, visit.path, visit.torn_kept) == (
        "in-memory",
        "job",
        Path("visit.toml"),
        None,
    )


def test_a_setting_at_several_addresses_wants_to_be_told_which() -> None:
    """One that lives at one address does not."""
    found = find("sallowby-trine-60")
    several = next(s for s in found.equipment.setting if len(s.address) > 1)
    one = next(s for s in found.equipment.setting if len(s.address) == 1)
    visit = Base(found, place_of(1, found.equipment.unit.id), 1, ()).visit(())
    with pytest.raises(Refused, match="lives at several addresses; one of: " + ", ".join(several.address)):
        visit.enter(f"found:{several.id}", several.values[0])
    visit.enter(f"found:{one.id}", one.values[0])
    assert visit.view.state.acts[-1].address == one.address[0]


def test_work_gone_on_with_says_in_which_zone(tmp_path: Path) -> None:
    """The date where the unit stands is told by it."""
    path = session_file(tmp_path)
    named = {i.id: i for i in instruments()}
    visit = Visit.open(path, named, by="Bo", clock=lambda: "2031-05-04T12:00:00Z", zone="+02:00")
    visit.enter("note", "again")
    visit.close()
    resumed, note = read(path).events[-2:]
    assert (resumed["kind"], resumed["zone"], note["text"]) == ("resumed", "+02:00", "again")
