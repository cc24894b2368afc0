"""A damaged session is left as it is, and its verified entries go on in a new one that follows it."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from asleft.equipment.library import instruments
from asleft.journal import Broken, Chain, NotASession, classify, event_bytes, read
from asleft.visit import Visit
from asleft.visit.carrying import carry_on

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
