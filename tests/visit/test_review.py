"""A review is another person's word on the record as it stands, and ends with the next thing entered."""

from __future__ import annotations

from pathlib import Path

import pytest

from asleft.drill.technician import SimulatedClock
from asleft.equipment.library import instruments
from asleft.journal import read
from asleft.session.payloads import Reviewed
from asleft.visit import Refused, Visit
from played import session_file

TECHNICIAN = "Ada Calder"


def _opened(folder: Path, by: str) -> Visit:
    named = {i.id: i for i in instruments()}
    return Visit.open(session_file(folder), named, by=by, clock=SimulatedClock(11))


def test_it_stands_until_something_is_entered(tmp_path: Path) -> None:
    """It names the link that it was given on; a seal leaves it, any entry ends it."""
    visit = _opened(tmp_path, "Bo")
    given_on = read(visit.path).link
    visit.enter("review:accepted", "complete")
    review = visit.view.state.review
    assert review is not None
    assert (review.by, review.outcome, review.why, review.link) == ("Bo", "accepted", "complete", given_on)
    visit.signer = lambda link, key: ("x",)
    visit.enter("seal", "key")
    assert visit.view.state.review == review
    visit.enter("note", "one more thing")
    assert visit.view.state.review is None
    assert any(isinstance(e.what, Reviewed) for e in visit.view.state.history)
    visit.close()


@pytest.mark.parametrize(
    ("by", "why"),
    [
        ("", "type who reviews it"),
        ("  ", "type who reviews it"),
        ("Bo\x1b[2J", "U\\+001B is not text"),
        ("TECHNICIAN", "did this work and cannot review it; another person, named with --by$"),
        ("  technician ", "did this work and cannot review it"),
    ],
)
def test_nobody_reviews_their_own_work_or_without_a_name(tmp_path: Path, by: str, why: str) -> None:
    """Whoever did or signed it, in whatever capitals; and a name is text."""
    visit = _opened(tmp_path, "Bo")
    technician = visit.view.state.text("identity.technician")
    assert technician is not None
    visit.by = {"TECHNICIAN": technician.upper(), "  technician ": f"  {technician} "}.get(by, by)
    before = visit.path.read_bytes()
    with pytest.raises(Refused, match=why):
        visit.enter("review:accepted", "fine")
    assert visit.path.read_bytes() == before
    visit.close()
