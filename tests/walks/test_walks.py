"""A fast sample of the walks: `python -m walks --count 10000 --table` makes them all, `--away` the guards."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

import asleft.checks
from asleft.equipment.library import units
from walks.away import AWAY, BREAKS, HELD, breaks, without
from walks.holding import GUARDS
from walks.walk import WALKS_A_VISIT, batch, kinds, start_of
from walks.world import CHANGED

SAMPLE = (0, 4, 8, 17)
"""Visits that the sample's walks begin in; healthy units and faulty ones, two of them changed for it."""


@pytest.mark.parametrize("number", SAMPLE)
def test_no_walk_breaks_a_rule(number: int) -> None:
    """Acts of every kind between what `next` says, pauses, other people, damage and a rig that fails."""
    told = batch(number, 2)
    assert told.walks == 2
    assert told.crashes == []
    assert told.breaches == []
    assert sum(told.reached["acts taken"].values()) > 20


SEEN = (
    ("EL-2 | loads on", 3),
    ("BL-11 predicted | enabling heat", 9),
    ("SO-6 | signing as commissioned", 9),
    ("what a retraction leaves", 9),
)
"""Guards taken away in turn, and the visit in which that is seen soon."""


@pytest.mark.parametrize(("name", "number"), SEEN)
def test_a_guard_taken_away_is_missed(name: str, number: int) -> None:
    """Within the walks of one visit; `python -m walks --away` takes all of them."""
    aim = name.partition(" | ")[0] if " | " in name else ""
    start_of(number)
    with without(name):
        for first in range(WALKS_A_VISIT):
            told = batch(number, 1, first=first, aim=aim)
            if any(breaks(name, breach.rule, breach.act) for breach, _ in told.breaches):
                return
    raise AssertionError(f"nobody missed it in {WALKS_A_VISIT} walks")


def test_every_guard_of_the_catalogue_is_one_that_can_be_taken_away() -> None:
    """And every one that is taken away stands in the trade's list, from which the oracle is written."""
    catalogue = tomllib.loads((Path(asleft.checks.__file__).parent / "catalogue.toml").read_text("utf-8"))
    listed = set()
    for check in catalogue["check"]:
        guards = check.get("guards", ())
        parts = guards.items() if isinstance(guards, dict) else (("", guards),)
        listed |= {(f"{check['id']} {part}".strip(), act) for part, acts in parts for act in acts}
    taken = {(hold, act) for act, holds in HELD.items() for hold in holds}
    assert listed == taken
    asked = {(hold, act) for act, holds in GUARDS.items() for hold in holds}
    assert taken <= asked
    assert set(BREAKS) == {name for name in AWAY if " | " not in name}


def test_walks_are_made_at_every_unit() -> None:
    """Those of the library, and those changed for what none of them has."""
    assert set(kinds()) == {known.id for known in units()} | set(CHANGED)
