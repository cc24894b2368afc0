"""A damaged session is left as it is, and its verified entries go on in a new one that follows it."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from asleft.drill.technician import act
from asleft.equipment.library import instruments
from asleft.journal import Broken, Chain, NewerFormat, NotASession, classify, event_bytes, read
from asleft.session.events import Event
from asleft.session.state import fold_all
from asleft.visit import Visit
from asleft.visit.carrying import carry_on
from asleft.visit.view import look
from played import begun_at

SAMPLE = sorted((Path(__file__).parents[2] / "sessions").glob("*.toml"))[0]
NOW = "2031-05-04T10:00:00Z"


@pytest.fixture
def damaged(tmp_path: Path) -> Callable[[int], Path]:
    """A sample session in which a byte of an event is changed."""

    def damage(n: int) -> Path:
        path = Path(shutil.copy(SAMPLE, tmp_path / "visit.toml"))
        data = bytearray(path.read_bytes())
        at = data.index(f"\nn = {n}\n".encode())
        data[data.index(b'by = "', at) + 6] ^= 1
        path.write_bytes(data)
        return path

    return damage


@pytest.mark.parametrize("unit", ["tarnfield-lowmoor-36", "osmere-corrie-24"])
def test_a_write_that_was_lost_is_found_before_anybody_signs(tmp_path: Path, unit: str) -> None:
    """The control holds what nobody has on record: every setting is looked at again, and put right."""
    job = begun_at(tmp_path, "sign", unit=unit)
    view = job.visit.view
    wrote = next(act for act in reversed(view.state.acts) if act.kind == "wrote")
    setting = job.visit.equipment.equipment.setting_of(wrote.setting)
    assert setting is not None
    assert setting.entry != "code"
    other = next(value for value in setting.values if value != wrote.shown)
    for request in (
        {"do": "power", "state": setting.power},
        {"do": "write", "setting": setting.id, "address": wrote.address, "value": other},
        {"do": "power", "state": "on"},
    ):
        assert "refused" not in job.rig.ask(request)
    job.visit.enter("note", "this stands for the entry that was lost")
    last = job.visit.view.state.history[-1]
    job.visit.close()
    data = bytearray(job.visit.path.read_bytes())
    data[data.rindex(b"by = ") + 6] ^= 1
    job.visit.path.write_bytes(data)

    named = {i.id: i for i in instruments()}
    visit = carry_on(job.visit.path, named, by=last.by, clock=lambda: last.at, session_id="new")
    seen = len(visit.view.state.acts)
    while visit.view.next.do != "nothing":
        visit.submit(*act(visit.view, job.rig))
    assert visit.view.state.signature is not None
    assert visit.view.state.signature.outcome == "commissioned"
    again = {(a.setting, a.address) for a in visit.view.state.acts[seen:]}
    assert {(a.setting, a.address) for a in visit.view.state.acts[:seen]} <= again
    held = job.rig.ask({"do": "power", "state": setting.power}) and job.rig.ask(
        {"do": "look", "setting": setting.id, "address": wrote.address}
    )
    assert held == {"shown": wrote.shown}
    visit.close()


def go_on(path: Path) -> Visit:
    return carry_on(
        path, {i.id: i for i in instruments()}, by="Ada", clock=lambda: NOW, session_id="new-session"
    )


@pytest.mark.parametrize("n", [1, 2, 60, 157])
def test_every_entry_before_the_damage_stands_in_the_new_session(
    damaged: Callable[[int], Path], n: int
) -> None:
    """As it was, with its time and its name; the new file says from where, and is whole."""
    path = damaged(n)
    before, broken = path.read_bytes(), read(path)
    with pytest.raises(Broken):
        Visit.open(path, {}, by="Ada", clock=lambda: NOW)
    visit = go_on(path)
    visit.close()
    assert path.read_bytes() == before
    assert visit.path.parent == path.parent
    new = read(visit.path)
    assert new.chain is Chain.WHOLE
    assert new.header["session"]["follows"] == broken.header["session"]["id"]
    assert new.header["equipment"] == broken.header["equipment"]
    *carried, resumed, note = ({k: v for k, v in e.items() if k != "link"} for e in new.events)
    assert carried == [{k: v for k, v in e.items() if k != "link"} for e in broken.events]
    assert len(carried) == n - 1
    assert (resumed["kind"], resumed["damaged"]) == ("resumed", True)
    assert f"Event {n} " in note["text"]
    assert path.name in note["text"]


def test_what_became_of_verdicts_stands_with_the_note(damaged: Callable[[int], Path]) -> None:
    """Those that going on changed, and none that are as they were."""
    path = damaged(60)
    events = [Event.read(event) for event in read(path).events]
    visit = go_on(path)
    told = set(read(visit.path).events[-1]["verdicts"])
    before = set(look(visit.view.equipment, fold_all(events)).verdicts())
    assert told == set(visit.view.verdicts()) - before
    assert "EL-18 unit not measured" in told
    assert told.isdisjoint(before)
    visit.close()


def test_a_session_of_a_newer_program_is_not_gone_on_with(tmp_path: Path) -> None:
    """It may be whole; what it says is not understood here."""
    path = tmp_path / "visit.toml"
    path.write_bytes(SAMPLE.read_bytes().replace(b"format = 1", b"format = 9", 1))
    with pytest.raises(NewerFormat, match=r"visit\.toml: .*newer"):
        go_on(path)
    assert [file.name for file in tmp_path.iterdir()] == ["visit.toml"]


def test_the_visit_goes_on_where_it_was(damaged: Callable[[int], Path]) -> None:
    """The next thing to do is that of the verified entries, and an entry can be made."""
    visit = go_on(damaged(60))
    assert visit.view.next.do != "nothing"
    last = visit.view.state.last_n
    view = visit.enter("note", "on we go")
    visit.close()
    assert [e.kind for e in view.state.history[last:]] == ["resumed", "noted"]


def test_a_seal_of_the_old_file_is_left_behind_and_a_retraction_still_means_its_event(
    damaged: Callable[[int], Path], tmp_path: Path
) -> None:
    """Numbers change where something is left out; what was taken back stays taken back."""
    path = damaged(60)
    verified = path.read_bytes()[: read(path).whole_size]
    contents = classify(verified)
    link, more = contents.link, b""
    common = {"at": NOW, "by": "Ada"}
    for event in (
        {"n": 60, **common, "kind": "sealed", "of": 59, "signature": ["x"]},
        {"n": 61, **common, "kind": "noted", "text": "a slip"},
        {"n": 62, **common, "kind": "retracted", "of": 61, "why": "slip"},
    ):
        block, link = event_bytes(link, event)
        more += block
    path.write_bytes(verified + more + b"x")
    visit = go_on(path)
    visit.close()
    *_, slip, back, _, _ = visit.view.state.history
    assert (slip.kind, slip.n, back.written()["of"]) == ("noted", 60, 60)
    assert slip.n in visit.view.state.retracted
    assert all(event.kind != "sealed" for event in visit.view.state.history)


def test_where_not_even_the_header_is_verified_nothing_is_begun(tmp_path: Path) -> None:
    """There is nothing to go on with."""
    path = Path(shutil.copy(SAMPLE, tmp_path / "visit.toml"))
    data = bytearray(path.read_bytes())
    data[40] ^= 1
    path.write_bytes(data)
    with pytest.raises(Broken, match="begin a new visit"):
        go_on(path)
    other = tmp_path / "letter.toml"
    other.write_text("Dear Ada\n")
    with pytest.raises(NotASession):
        go_on(other)
    assert sorted(tmp_path.iterdir()) == [other, path]
