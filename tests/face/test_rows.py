"""Rows are a pure function of a view, and next always has one."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from asleft.drill.technician import act
from asleft.equipment.library import find, units
from asleft.face.bars import bar
from asleft.face.rows import rows
from asleft.face.rows.sequence import sequence_rows
from asleft.session.fields import PANES
from asleft.session.state import State
from asleft.unattended import Job
from asleft.visit.view import look


def test_next_has_a_row_on_its_pane_through_a_whole_visit(played: Callable[[str], Job]) -> None:
    """Whatever next names can be reached with F2."""
    job = played("")
    while job.visit.view.next.do != "nothing":
        view = job.visit.view
        lefts = [r.left for r in rows(view, view.next.pane, "ip")]
        assert view.next.enter in lefts
        job.visit.submit(*act(view, job.rig))
    for pane in PANES:
        assert rows(job.visit.view, pane, "si")


@pytest.mark.parametrize(
    ("value", "lower", "upper", "sign"),
    [
        (240.0, 216.0, 253.0, "•"),
        (300.0, 216.0, 253.0, "»"),
        (100.0, 216.0, 253.0, "«"),
        (0.2, None, 1.0, "•"),
    ],
)
def test_a_bar_shows_where_a_reading_lies(
    value: float, lower: float | None, upper: float | None, sign: str
) -> None:
    """Inside between the brackets, beyond as an arrow, never wider than its place."""
    drawn = bar(value, 1.0, lower, upper, 12)
    assert len(drawn) == 12
    assert sign in drawn
    assert ("]" in drawn) == (upper is not None)


def test_a_bar_without_limits_is_empty() -> None:
    """Nothing to compare with, nothing drawn."""
    assert bar(1.0, 0.1, None, None, 12) == ""


@pytest.mark.parametrize("id", [known.id for known in units()])
def test_an_address_heads_its_settings_once(id: str) -> None:
    """As many heads as addresses with settings, and power; no setting is missing."""
    equipment = find(id).equipment
    rows = list(sequence_rows(look(equipment, State()), "ip"))
    heads = [row.group for row in rows if row.group]
    assert len(heads) == len(set(heads)) == len({a for _, a in equipment.places()}) + 1
    assert len(rows) == len(list(equipment.places())) + 1


@pytest.mark.parametrize("id", [known.id for known in units()])
def test_what_is_open_is_called_in_words(id: str) -> None:
    """No subject as the file has it: a stage, a leg or a setting is said as a person says it."""
    equipment = find(id).equipment
    view = look(equipment, State())
    opened = [row for row in rows(view, "signoff", "ip") if row.verdict == "open"]
    assert opened
    labels = [row.label for row in opened]
    assert not [label for label in labels if "@" in label or "_" in label or ".measured" in label]
    for row, label in zip(opened, labels, strict=True):
        _, _, subject = row.findings[0].partition(" ")
        assert label.endswith(", measured") == subject.endswith(".measured")
        if subject.startswith("stage.1"):
            assert ", stage 1" in label
        if subject.startswith("setting."):
            setting = equipment.setting_of(subject.removeprefix("setting.").partition("@")[0])
            assert setting is not None
            assert setting.label in label
