"""The clock of a timed series runs from a key, tells once what is due, and sends nothing when it stands."""

from __future__ import annotations

from collections.abc import Callable

from asleft.tui import Wizard
from asleft.tui.clock import SeriesClock, series
from asleft.tui.drawn import drawn_text
from asleft.unattended import Job

Played = Callable[[str], Job]


class Hands:
    """A clock that a test moves."""

    def __init__(self) -> None:
        self.at = 100.0

    def __call__(self) -> float:
        return self.at


def test_the_series_is_the_ten_minutes_of_all_heat(played: Played) -> None:
    """Each minute's reading once, at its seconds."""
    timed = series(played("electrical.line.l1_l2").visit.view)
    assert sorted(set(timed.values())) == [60.0 * n for n in range(1, 11)]


def test_a_reading_falls_due_once_and_not_where_it_is_taken(played: Played) -> None:
    """Of several that have passed the newest is told; before the first minute none."""
    view, hands = played("electrical.line.l1_l2").visit.view, Hands()
    clock = SeriesClock(hands)
    assert (clock.running, clock.shown, clock.fallen_due(view)) == (False, "", "")
    clock.start()
    hands.at += 59.0
    assert clock.fallen_due(view) == ""
    hands.at += 1.0
    first = clock.fallen_due(view)
    assert series(view)[first] == 60.0
    assert clock.fallen_due(view) == ""
    hands.at += 130.0
    assert series(view)[clock.fallen_due(view)] == 180.0
    assert clock.shown == "3:10"
    clock.stop()
    assert (clock.running, clock.shown) == (False, "")


async def test_one_key_starts_it_and_stops_it_and_the_row_that_is_due_is_stood_on(played: Played) -> None:
    """What is being typed is not left for it."""
    job, hands = played("electrical.line.l1_l2"), Hands()
    app = Wizard(job.visit, job.rig)
    async with app.run_test(size=(120, 40)) as pilot:
        screen = app.screen
        screen._clock = SeriesClock(hands)  # type: ignore[attr-defined]
        await pilot.press("f12")
        assert "clock 0:00" in drawn_text(app)[0]
        hands.at += 60.0
        screen._tick()  # type: ignore[attr-defined]
        await pilot.pause()
        due = screen.row.left  # type: ignore[attr-defined]
        assert series(job.visit.view)[due] == 60.0
        assert any("1:00 on the clock" in line for line in drawn_text(app))
        await pilot.press("2")
        hands.at += 60.0
        screen._tick()  # type: ignore[attr-defined]
        await pilot.pause()
        assert screen.row.left == due  # type: ignore[attr-defined]
        assert any("2:00 on the clock" in line for line in drawn_text(app))
        await pilot.press("f12")
        assert "clock" not in drawn_text(app)[0]
        assert any("The clock is stopped at 2:00." in line for line in drawn_text(app))
