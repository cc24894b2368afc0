"""A fast sample of the hostile walks; `python -m faults.walks --count 10000` makes all of them."""

from __future__ import annotations

from copy import copy

import pytest

from asleft.drill.classroom.reference import InMemory
from asleft.equipment.library import units
from asleft.quantity.kinds import KINDS
from asleft.session.acts import Act
from asleft.visit import Refused, Visit
from faults.walks import base, batch, walk


@pytest.mark.parametrize("number", range(2 * len(list(units()))))
def test_no_walk_passes_a_guarded_act_and_next_ends_each(number: int) -> None:
    """Acts of every kind in any order, then `next` alone, at every unit, healthy and faulty."""
    walked = batch(number, 1)
    assert walked.walks == 1
    assert not walked.through
    assert not walked.troubles
    assert walked.reached["signing as commissioned"] == 1


@pytest.mark.parametrize(
    ("unit", "seed", "faulty", "number", "end"),
    [
        ("marrowby-linnet-30", 5, True, 1862, "not commissioned"),
        ("quillfen-heron", 17, True, 6723, "not commissioned"),
        ("marrowby-linnet-30", 9, False, 3250, "commissioned"),
        ("sallowby-trine-60", 21, False, 8174, "not commissioned"),
    ],
)
def test_walks_that_once_did_not_end_do(unit: str, seed: int, faulty: bool, number: int, end: str) -> None:
    """A setting given up that is set in the dark; a tag not hung where power could not be switched; a floor
    of less than nothing; power that stays on.
    """
    walked = walk(base(unit, seed, faulty), number)
    assert walked.troubles == []
    assert dict(walked.ends) == {end: 1}


@pytest.mark.parametrize("unit", ["tarnfield-lowmoor-36", "sallowby-trine-60"])
def test_no_number_in_any_field_breaks_what_is_reckoned(unit: str) -> None:
    """A number beyond all sense is refused or judged, in a visit where everything else is known."""
    played = base(unit, 3)
    signed = played.visit(played.events)
    taken = 0
    numbers = [id for id, field in signed.view.ledger.fields.items() if field.kind in KINDS]
    for id in numbers:
        for word in ("-5", "1e9"):
            # What a visit holds is never changed in place, but for its file.
            visit = copy(signed)
            visit._journal = InMemory(played.events)  # type: ignore[assignment]
            try:
                visit.enter(id, word)
            except Refused:
                continue
            taken += 1
            assert visit.view.findings
    assert taken


def test_a_walk_that_crashes_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """It is trouble, and ends no other walk."""

    def broken(visit: Visit, act: Act, typed: str, read_at: str = "", *, system: str = "ip") -> None:
        raise ZeroDivisionError(act)

    base("tarnfield-lowmoor-36", 1, False)
    monkeypatch.setattr(Visit, "submit", broken)
    walked = batch(7, 2)
    assert dict(walked.ends) == {"crashed": 2}
    assert all("ZeroDivisionError" in text for text in walked.troubles)


def test_the_walks_see_a_guard_that_is_not_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    """With nothing refused, acts are done that a hold forbids, and the walks say so."""
    monkeypatch.setattr("asleft.visit.visit.guard", lambda view, draft: None)
    passed = {text.split(": ")[1] for text in batch(11, 3).through}
    assert passed >= {"live readings", "loads on", "enabling heat", "signing as commissioned"}
