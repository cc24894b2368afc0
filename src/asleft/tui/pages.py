"""Pages that open over the wizard: help, and the working and source of what is judged."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, ClassVar

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import Markdown, Static

from asleft.checks import catalogue
from asleft.face.working import working_lines
from asleft.help import page, pages
from asleft.tui.keys import ACTIONS, key_page
from asleft.tui.safe import styled

if TYPE_CHECKING:
    from asleft.checks.finding import Finding
    from asleft.face.rows import Row
    from asleft.tui.keys import Action
    from asleft.visit import View


class Page(ModalScreen[None]):
    """Anything to be read, scrolled with the arrows, closed with Esc."""

    BINDINGS: ClassVar = [
        ("escape", "dismiss", "close"),
        ("f1", "dismiss", "close"),
        ("f4", "dismiss", "close"),
        ("f10", "dismiss", "close"),
        ("enter", "dismiss", "close"),
    ]

    def compose(self) -> ComposeResult:
        """The page in a frame, with how to close it."""
        with VerticalScroll(id="page") as scroll:
            yield from self.body()
        scroll.border_title = "Esc closes"

    def body(self) -> Iterator[Static | Markdown]:
        """What stands on it."""
        raise NotImplementedError


class HelpPage(Page):
    """Help on the row under the cursor, its pane, `more` pages and the keys."""

    def __init__(
        self,
        pane: str,
        view: View | None = None,
        row: Row | None = None,
        actions: Sequence[Action] = ACTIONS,
        more: Sequence[str] = ("wizard",),
    ) -> None:
        super().__init__()
        self._pane, self._view, self._row, self._actions, self._more = pane, view, row, actions, more

    def body(self) -> Iterator[Static | Markdown]:
        """The row first, in words that may be an equipment file's; then our own pages, which are Markdown."""
        if self._view is not None and self._row is not None:
            yield Static(_row_help(self._view, self._row), markup=False)
        for subject in (self._pane, *self._more):
            if subject in pages():
                yield Markdown(page(subject))
        yield Markdown(key_page(self._actions))


def _row_help(view: View, row: Row) -> Content:
    """What a row asks for, and how each of its checks is measured and why it matters."""
    rules = {rule.id: rule for rule in catalogue()}
    lines = [styled(row.label, "bold"), styled(row.help)]
    if row.choices:
        lines.append(styled("One of: " + ", ".join(row.choices) + "."))
    ids = dict.fromkeys(f.id for key in row.findings if (f := view.finding(key)) is not None)
    for rule in (rules[id] for id in ids):
        lines.append(styled(f"{rule.id} {rule.title}: {rule.rule}"))
        lines += [styled(f"   {text}") for text in (rule.measure, rule.why) if text]
    return Content("\n").join(lines)


class WorkingPage(Page):
    """Rule, working and source of every finding of a row."""

    def __init__(self, view: View, row: Row) -> None:
        super().__init__()
        self._view, self._row = view, row

    def body(self) -> Iterator[Static | Markdown]:
        """One block a finding."""
        found = [f for key in self._row.findings if (f := self._view.finding(key)) is not None]
        yield Static(styled(self._row.label, "bold"), markup=False)
        if not found:
            yield Static(styled("Nothing is judged by this row alone."), markup=False)
        for finding in found:
            yield Static(_working(finding), markup=False)
        for line in self._row.details:
            yield Static(styled(line), markup=False)


def _working(finding: Finding) -> Content:
    first, *rest = working_lines(finding)
    return Content("\n").join([styled(first, "bold"), *map(styled, rest), Content("")])
