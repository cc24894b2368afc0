"""The check of what hangs on the control transformer."""

from __future__ import annotations

import pytest

from asleft.equipment.model import Equipment
from checks.visits import Row, found, never, say, with_part
from support import demo_unit

ADDED = "electrical.control.added"


def transformer(**update: object) -> Equipment:
    """The demo unit, its control circuit otherwise."""
    return with_part("control_circuit", **update)


# The demo unit's loads are 3 + 7 + 10 + 6 = 26 VA, its transformer gives 40 VA.
ROWS = (
    Row("what came with the unit", "EL-7 unit", "pass", severity="correct"),
    Row("loaded to its rating", "EL-7 unit", "pass", (say(ADDED, "14 VA"),)),
    Row("one more", "EL-7 unit", "fail", (say(ADDED, "15 VA"),), says="41"),
    Row("not known to 2 VA", "EL-7 unit", "conditional pass", (say(ADDED, "13 VA ± 2 VA"),)),
    Row(
        "class 2 gives no more than 100 VA",
        "EL-7 unit",
        "fail",
        (say(ADDED, "75 VA"),),
        transformer(transformer=150.0),
        says="class 2",
    ),
    Row(
        "any other gives its rating",
        "EL-7 unit",
        "pass",
        (say(ADDED, "75 VA"),),
        transformer(transformer=150.0, class_2=False),
    ),
    Row("nobody looked", "EL-7 unit", "not measured", (never(ADDED),), fields=(ADDED,)),
    Row("its rating not on file", "EL-7 unit", "not applicable", equipment=transformer(transformer=None)),
    Row("its loads not on file", "EL-7 unit", "not applicable", equipment=transformer(loads=())),
    Row(
        "no control circuit on file",
        "EL-7 unit",
        "not applicable",
        equipment=demo_unit().model_copy(update={"control_circuit": None}),
    ),
)


@pytest.mark.parametrize("row", ROWS, ids=lambda r: f"{r.key}: {r.behaviour}")
def test_control_power(row: Row) -> None:
    """Each row is one behaviour."""
    row.prove()


def test_the_sum_is_shown() -> None:
    """3 + 7 + 10 + 6 + 5 = 31 VA of 40 VA."""
    assert found(say(ADDED, "5 VA"))["EL-7 unit"].working == "3 + 7 + 10 + 6 + 5 = 31 VA of 40 VA"
