"""A fast sample of the hostile walks; `python tests/faults/walks.py --count 10000` makes all of them."""

from __future__ import annotations

import pytest

from asleft.equipment.library import units
from asleft.visit import Visit
from faults.walks import base, batch, walk


@pytest.mark.parametrize("number", range(2 * len(list(units()))))
def test_no_walk_passes_a_guarded_act_and_next_ends_each(number: int) -> None:
    """Acts of every kind in any order, then `next` alone, at every unit, healthy and faulty."""
    walked = batch(number, 2)
    assert walked.walks == 2
    assert not walked.through
    assert not walked.troubles
    assert walked.reached["signing as commissioned"] == 2


@pytest.mark.parametrize(
    ("unit", "seed", "number"), [("marrowby-linnet-30", 5, 1862), ("quillfen-heron", 17, 6723)]
)
def test_walks_that_once_did_not_end_do(unit: str, seed: int, number: int) -> None:
    """A setting given up that is set in the dark; a tag not hung where power could not be switched."""
    walked = walk(base(unit, seed, faulty=True), number)
    assert walked.troubles == []
    assert dict(walked.ends) == {"not commissioned": 1}


def test_the_walks_see_a_guard_that_is_not_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    """With nothing refused, acts are done that a hold forbids, and the walks say so."""
    monkeypatch.setattr(Visit, "_guard", lambda visit, draft: None)
    passed = {text.split(": ")[1] for text in batch(7, 25).through}
    assert passed >= {"live readings", "loads on", "enabling heat", "signing as commissioned"}
