"""A row as a line: what it says as found and as left, and what is only chosen, done or said."""

from __future__ import annotations

import pytest

from asleft.face.rows import AHEAD, Row
from asleft.line.dialog.listing import listed
from asleft.session.acts import parse


@pytest.mark.parametrize(
    ("row", "line"),
    [
        (
            Row(parse("f"), "F", found="1 V", now="1 V", verdict="pass", done=True),
            "as found and as left 1 V; pass.",
        ),
        (Row(parse("f"), "F", found="1 V", verdict="pass", done=True), "as found 1 V; pass."),
        (Row(parse("f"), "F", found="1 V", done=True), "as found 1 V."),
        (Row(parse("f"), "F", found="1 V", now="2 V", done=True), "as found 1 V; as left 2 V."),
        (Row(parse("f"), "F", found="1 V", verdict="take again"), "as found 1 V; take again."),
        (Row(parse("f"), "F"), "open."),
        (Row(parse("f"), "F", now="yes", done=True), "as left yes."),
        (Row(parse("choose:t"), "F", found="A", done=False), "as found A; open."),
        (
            Row(parse("choose:t"), "F", found="A", now=f"{AHEAD}B", done=True),
            "as found A; chosen and not set yet B.",
        ),
        (Row(parse("choose:t"), "F", now="B", done=True), "as left B."),
        (Row(parse("power"), "F", now="off", done=True), "off."),
        (Row(parse("acknowledge:EL-1"), "F", now="yes", verdict="given", done=True), "yes; given."),
        (Row(parse("identity.instrument.meter"), "F", now="m1", done=True), "m1."),
        (Row(parse("seal"), "F", now="1 to 9", verdict="sealed", done=True), "1 to 9; sealed."),
        (Row(None, "F", details=("It is so.",), findings=("EL-2 unit",)), " It is so."),
    ],
)
def test_a_row_is_a_line(row: Row, line: str) -> None:
    """Numbered, with its label."""
    (told,) = listed([row], "blower")
    assert told.removeprefix("1. F").removeprefix(":").removeprefix(".").strip() == line.strip()


def test_what_is_meant_stands_where_its_pane_has_it() -> None:
    """On the pane of the sequence."""
    row = Row(parse("wrote:a@b"), "F", found="1", bar="2", verdict="write", done=True)
    assert list(listed([row], "sequence")) == ["1. F: as found 1; meant 2; write."]
    assert list(listed([row], "blower")) == ["1. F: as found 1; write."]
