"""Rows that only a drill has: what was reported, hints, the end."""

from __future__ import annotations

from asleft.face.rows import Row, rows
from asleft.face.rows.drill import drill_rows
from asleft.session.acts import parse
from checks.visits import happens
from face.stages import DONE, noted, seen

DRILLED = happens("drilled", hash="0" * 64, by="lesson")
RIGHT = (
    "KIND[@PLACE] by EVIDENCE[, EVIDENCE]; evidence is a field, SETTING@ADDRESS, the number of an event, or a"
    " finding as ID/SUBJECT. On the screen Ctrl+F reports it from the row that shows it."
)
HINT_HELP = "The drill gives it, as it gives a reading. Each hint costs points."
END_HELP = "Ends it for good: the sheet is revealed, and the score told. Sign first."
REPORTED = noted("open element at 2", reports="element-open@2", evidence=(3,))


def test_a_visit_that_is_no_drill_has_none_of_them() -> None:
    """Nothing to report, no hint, no end of its own."""
    assert list(drill_rows(seen(DONE))) == []


def test_a_drill_takes_a_report_a_hint_and_its_end() -> None:
    """Before what any visit has."""
    wanted = [
        Row(parse("report"), "Report a fault", group="Drill", help=RIGHT),
        Row(parse("hint:1"), "Hint 1", help=HINT_HELP),
        Row(parse("finish"), "Finish the drill", help=END_HELP, choices=("yes",)),
    ]
    assert list(drill_rows(seen(DONE, DRILLED))) == wanted
    assert list(rows(seen(DONE, DRILLED), "signoff", "ip")[:3]) == wanted


def test_what_was_reported_and_hinted_is_counted_and_listed() -> None:
    """The next hint has the next number."""
    view = seen(DONE, DRILLED, REPORTED, noted("look at stage 2", hint=1), REPORTED)
    n = seen(DONE, DRILLED).state.last_n + 1
    report, hint, _ = drill_rows(view)
    assert report == Row(
        parse("report"),
        "Report a fault",
        now="2",
        group="Drill",
        help=RIGHT,
        details=(f"Event {n}: open element at 2", f"Event {n + 2}: open element at 2"),
        done=True,
    )
    assert hint == Row(
        parse("hint:2"),
        "Hint 2",
        now="1",
        help=HINT_HELP,
        details=("Hint 1: look at stage 2",),
        done=True,
    )


def test_when_it_is_over_nothing_more_is_taken() -> None:
    """Its rows can be read."""
    view = seen(DONE, DRILLED, REPORTED, happens("revealed", sheet=["x"], salt="y"))
    report, hint, end = drill_rows(view)
    assert (report.left, report.now, hint.left, hint.now, hint.done) == ("", "1", "", "", False)
    assert end == Row(None, "Finish the drill", now="finished", verdict="over", help=END_HELP, done=True)
