"""Pages that open over an audit: all that is said of a session, and the sums."""

from __future__ import annotations

from collections.abc import Iterator

from textual.widgets import Markdown, Static

from asleft.checks.catalogue import called
from asleft.review.row import Row
from asleft.review.rules import rules
from asleft.review.store import Run
from asleft.tui.pages import Page
from asleft.tui.safe import styled


class MarksPage(Page):
    """Everything that an audit says of a session, each with why."""

    def __init__(self, row: Row) -> None:
        super().__init__()
        self._row = row

    def body(self) -> Iterator[Static | Markdown]:
        """The row, then its marks."""
        row = self._row
        yield Static(styled(row.file, "bold"), markup=False)
        told = (
            ("Site", row.site),
            ("Unit", row.unit),
            ("By", row.technician),
            ("From", row.began),
            ("To", row.ended),
            ("Entries", str(row.events)),
            ("Signed", row.outcome or "no"),
            ("Review", row.review or "none"),
            ("Open by today's rules", ", ".join(row.open)),
            ("Fails by today's rules", ", ".join(row.failed)),
            ("Found otherwise than left", ", ".join(row.wrong)),
            ("Seals", "; ".join(row.seals)),
        )
        for name, value in told:
            if value:
                yield Static(styled(f"{name}: {value}"), markup=False)
        for mark in row.marks:
            rule = rules()[mark.rule]
            yield Static(styled(f"{mark.rule}: {mark.text}", "bold"), markup=False)
            yield Static(styled(f"Why it matters: {rule.why} ({rule.basis})"), markup=False)
        if not row.marks:
            yield Static(styled("Nothing speaks against it."), markup=False)


class SummaryPage(Page):
    """What fails most, and at whom."""

    def __init__(self, run: Run) -> None:
        super().__init__()
        self._run = run

    def body(self) -> Iterator[Static | Markdown]:
        """A table a summary."""
        for name in ("technician", "unit", "month"):
            yield Static(styled(f"By {name}: sessions, commissioned, marked", "bold"), markup=False)
            for s in self._run.by(name):
                yield Static(
                    styled(f"{s.sessions:7} {s.commissioned:7} {s.marked:7}  {s.name}"), markup=False
                )
        for title, counted in (
            ("Checks that fail most", self._run.most_failed()),
            ("Settings found otherwise than they were left", self._run.most_wrong()),
        ):
            yield Static(styled(title, "bold"), markup=False)
            if not counted:
                yield Static(styled("none"), markup=False)
            for one in counted:
                yield Static(styled(f"{one.sessions:7}  {called(one.name)}"), markup=False)
