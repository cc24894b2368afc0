"""A sample of the table of drills: they end, the same every time, with the screen and without."""

from __future__ import annotations

from pathlib import Path

import pytest

from asleft.drill.classroom.sheet import drawn
from asleft.equipment.library import find
from asleft.unattended.drills import play_drill
from faults.drill_table import rows, told


@pytest.mark.parametrize("row", rows(24, 31)[::5], ids=str)
def test_a_drawn_drill_is_played_to_its_end(row: tuple[str, int, int]) -> None:
    """Signed, scored, without trouble; nobody who reports nothing is paid for faults."""
    found = told(*row)
    assert not found.trouble
    assert found.outcome in ("commissioned", "not commissioned")
    assert 0.0 < found.score < 65.0
    assert len(found.met) == row[2]


def test_a_plain_fault_is_met_by_doing_only_what_is_next() -> None:
    """An open path to ground is what nobody walks past."""
    seed = next(
        seed
        for seed in range(1, 60)
        if drawn(seed, 1, find("quillfen-heron")).sheet.faults[0].kind == "ground-open"
    )
    assert told("quillfen-heron", seed, 1).met["ground-open"] == "EL-13 unit"


def test_through_the_screen_a_drill_gives_the_same_bytes_and_score(tmp_path: Path) -> None:
    """Keys and drawn text alone lead to the same end."""
    lesson = drawn(3, 1, find("quillfen-heron"))
    screen = play_drill(tmp_path / "screen", lesson, screen=True)
    headless = play_drill(tmp_path / "headless", lesson)
    assert screen.path.read_bytes() == headless.path.read_bytes()
    assert screen.score.total == headless.score.total
