"""How a visit begins, goes on from another file, and moves to another folder."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from asleft.equipment.library import instruments
from asleft.guide import pane_of_role
from asleft.journal import Journal, JournalError, read
from asleft.visit import SaveFailed, Visit
from asleft.visit.visit import RULES
from entering import enter
from visit.in_memory import unit

NOW = "2031-05-04T12:00:00Z"


def begun(folder: Path, **more: Any) -> Visit:
    """A visit begun there."""
    told = {"site": "Mill Lane", "by": "Ada", "clock": lambda: NOW, "session_id": "one", **more}
    return Visit.create(folder, unit(), {i.id: i for i in instruments()}, **told)


def note(n: int) -> dict[str, Any]:
    """An entry that a visit may begin with."""
    return {"n": n, "at": NOW, "by": "Ada", "kind": "noted", "text": f"note {n}"}


def test_a_new_visit_names_its_file_by_day_place_and_unit_and_says_what_it_is(tmp_path: Path) -> None:
    """A job unless told otherwise, following nothing; its header says by which rules it was opened."""
    visit = begun(tmp_path)
    visit.close()
    assert visit.path.name == "2031-05-04-Mill-Lane-tarnfield-lowmoor-36.toml"
    header = read(visit.path).header
    session = header["session"]
    assert (session["id"], session["mode"], session["rules"], session["opened_by"]) == (
        "one",
        "job",
        RULES,
        "Ada",
    )
    assert "follows" not in session
    assert read(visit.path).equipment_text == unit().text
    assert (visit.by, visit.system, visit.sealed_with, visit.finisher) == ("Ada", "ip", "", None)
    assert visit.view.state.last_n == 0


def test_what_a_visit_begins_with_is_no_earlier_sitting_unless_it_follows_one(tmp_path: Path) -> None:
    """Then its first act says that it goes on."""
    alone = begun(tmp_path, entries=[note(1)], mode="demo")
    enter(alone, "note", "x")
    assert [e.kind for e in alone.view.state.history] == ["noted", "noted"]
    assert alone.mode == "demo"
    alone.close()
    follows = begun(tmp_path, entries=[note(1)], follows="zero", session_id="two")
    enter(follows, "note", "x")
    assert [e.kind for e in follows.view.state.history] == ["noted", "resumed", "noted"]
    assert read(follows.path).header["session"]["follows"] == "zero"
    follows.close()


def test_where_it_cannot_be_begun_nothing_stays_behind(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """No folder, or a full disk."""
    (tmp_path / "file").write_text("x")
    with pytest.raises(SaveFailed):
        begun(tmp_path / "file")

    for error, raised in ((JournalError("disk full"), SaveFailed), (KeyboardInterrupt(), KeyboardInterrupt)):

        def full(journal: Journal, blocks: object, error: BaseException = error) -> None:
            raise error

        monkeypatch.setattr(Journal, "append", full)
        with pytest.raises(raised) as found:
            begun(tmp_path, entries=[note(1)])
        assert str(found.value) == str(error)
        assert [path.name for path in tmp_path.iterdir()] == ["file"]
        monkeypatch.undo()


def test_a_visit_moves_with_every_byte_and_goes_on_there(tmp_path: Path) -> None:
    """The file it came from stays as it was; it is no new sitting."""
    for name in ("here", "there"):
        (tmp_path / name).mkdir()
    visit = begun(tmp_path / "here")
    enter(visit, "note", "one")
    before = visit.path
    there = visit.move(tmp_path / "there")
    assert there == visit.path
    assert there.parent == tmp_path / "there"
    kept = before.read_bytes()
    assert there.read_bytes() == kept
    enter(visit, "note", "two")
    assert before.read_bytes() == kept
    assert [e.kind for e in visit.view.state.history] == ["noted", "noted"]
    visit.close()
    again = Visit.open(there, {}, by="Bo", clock=lambda: NOW)
    assert again.view.state.last_n == 2
    enter(again, "note", "three")
    assert [(e.kind, e.by) for e in again.view.state.history[2:]] == [("resumed", "Bo"), ("noted", "Bo")]
    again.close()


def test_a_finding_is_found_by_its_key(tmp_path: Path) -> None:
    """Or is none; its verdict is told behind its key."""
    visit = begun(tmp_path)
    found = visit.view.finding("ID-1 unit")
    assert found is not None
    assert (found.id, found.subject) == ("ID-1", "unit")
    assert visit.view.finding("ID-1 other") is None
    assert "ID-1 unit not measured" in visit.view.verdicts()
    assert len(visit.view.verdicts()) == len(visit.view.findings)
    visit.close()


@pytest.mark.parametrize(
    ("role", "pane"),
    [
        ("blower-tier", "blower"),
        ("blower-run-on", "blower"),
        ("auxiliary-delay", "delay"),
        ("stage-delay", "delay"),
        ("auxiliary-heat", "heat"),
        ("restart", "heat"),
    ],
)
def test_a_topic_stands_on_the_pane_of_its_role(role: str, pane: str) -> None:
    """What is not the blower's or a delay is about heat."""
    assert pane_of_role(role) == pane
