"""A sample of the large tree: damaged sessions are named right, and no healthy one is accused."""

from __future__ import annotations

import pytest

from asleft.review.examine import examined
from faults.audit_tree import DAMAGE, EVERY_DAMAGED, PLAYS, UNITS, written


@pytest.mark.parametrize("how", range(len(DAMAGE)), ids=DAMAGE)
def test_each_kind_of_damage_is_named_right(how: int) -> None:
    """Broken where something else stands there, torn where the end was cut."""
    data, chain = written((how + 1) * EVERY_DAMAGED - 1)
    row = examined(data, "x.toml")
    assert row.chain == chain != "whole"
    assert chain in {mark.rule for mark in row.marks}


@pytest.mark.parametrize("n", range(0, PLAYS, PLAYS // len(UNITS)))
def test_a_healthy_visit_by_anybody_on_any_day_is_not_accused(n: int) -> None:
    """At every unit; a waiver stands with its reason, and is no accusation."""
    data, chain = written(n)
    row = examined(data, "x.toml")
    assert (row.chain, chain) == ("whole", "whole")
    assert {mark.rule for mark in row.marks} <= {"waived"}
    assert row.outcome == "commissioned"


def test_the_same_number_gives_the_same_file_and_two_never_the_same_readings() -> None:
    """As two houses do."""
    assert written(3) == written(3)
    rows = [examined(written(n)[0], "x.toml") for n in range(0, 4 * PLAYS, PLAYS)]
    assert len({row.readings for row in rows}) == 4
