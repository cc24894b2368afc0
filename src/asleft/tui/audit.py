"""An audit on the screen: sessions worst first as they come in, a filter, and what is done with one."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from textwrap import wrap
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Horizontal
from textual.screen import Screen
from textual.widgets import Input

from asleft.journal import Signer
from asleft.review.examine import examined
from asleft.review.going_on import Auditing
from asleft.review.row import Row
from asleft.review.store import PAGE
from asleft.session.acts import Act, Review, Seal, parse
from asleft.settings import load
from asleft.tui.audit_lines import Asked, Bookmark, Chosen, item_of, keys_line, why_of
from asleft.tui.audit_pages import MarksPage, SummaryPage
from asleft.tui.lined import Lined
from asleft.tui.menu import Menu
from asleft.tui.pages import HelpPage
from asleft.tui.program import Program
from asleft.tui.safe import fit, styled
from asleft.tui.sealing import signer_on
from asleft.tui.small import note, too_small
from asleft.tui.themes import after, dress
from asleft.tui.typed import TypedLine

EVERY_S = 0.25
"""How often it is looked whether more has come."""

TALL, TALL_ROOM = 32, 6
"""Rows from which all marks of a session are told under the table, and the lines for them."""

Doing = Callable[[Path, Act, str, Signer], None]
"""Does one act in a session with what was typed for it, and what signs. Raises OSError or ValueError."""


class AuditScreen(Screen[None]):
    """Draws a page of the run, and knows the keys."""

    BINDINGS: ClassVar = [
        Binding("up", "move(-1)", show=False, priority=True),
        Binding("down", "move(1)", show=False, priority=True),
        Binding("pageup", "turn(-1)", show=False, priority=True),
        Binding("pagedown", "turn(1)", show=False, priority=True),
        Binding("enter", "take", show=False, priority=True),
        Binding("escape", "stop", show=False, priority=True),
        Binding("f1", "help", show=False, priority=True),
        Binding("f2", f"ask('{Review('accepted')}')", show=False, priority=True),
        Binding("f3", f"ask('{Review('sent back')}')", show=False, priority=True),
        Binding("f4", "marks", show=False, priority=True),
        Binding("f5", "report", show=False, priority=True),
        Binding("f6", "summary", show=False, priority=True),
        Binding("f7", f"ask('{Seal()}')", show=False, priority=True),
        Binding("f9", "theme", show=False, priority=True),
        Binding("f10,ctrl+q", "leave", show=False, priority=True),
    ]

    def __init__(self, work: Auditing, place: Bookmark, act: Doing) -> None:
        super().__init__()
        self._work, self._run, self._place, self._act = work, work.run, place, act
        self._rows: list[Row] = []
        self._asked: Asked | None = None
        self._seen = (-1, False)
        self._said, place.notice = place.notice, ""

    def compose(self) -> ComposeResult:
        """Title, table, what is said, the line to type in, keys."""
        yield Lined(id="audit-title")
        yield Menu(id="audit")
        yield Lined(id="audit-said")
        with Horizontal(id="audit-line"):
            yield Lined(id="audit-asked")
            yield TypedLine(id="audit-typed")
        yield Lined(id="audit-keys")
        yield note()

    def on_mount(self) -> None:
        """Begin to judge, unless that was done before; rows are drawn as they come."""
        typed = self.query_one("#audit-typed", Input)
        typed.value = self._place.words
        typed.focus()
        self._work.start()
        self._draw()
        self.set_interval(EVERY_S, self._look)

    def on_resize(self) -> None:
        """Fit the new size."""
        self._draw()

    def _look(self) -> None:
        """Draw anew where more has come."""
        now = (self._work.files, self._work.over)
        if now != self._seen:
            self._said = self._work.trouble or self._said
            self._draw()

    # ---- drawing

    @property
    def row(self) -> Row | None:
        """The session under the mark."""
        chosen = self.query_one(Menu).chosen
        return next((row for row in self._rows if row.file == chosen), None)

    def _draw(self) -> None:
        if too_small(self, "An audit"):
            return
        self.set_class(self.size.height >= TALL, "tall")
        width, words = self.size.width, self._place.words
        self._seen = (self._work.files, self._work.over)
        count = self._run.count(words)
        start = self._place.start = max(0, min(self._place.start, (count - 1) // PAGE * PAGE))
        self._rows = self._run.page(start, PAGE, words)
        shown = f"{start + 1} to {start + len(self._rows)} of {count}" if count else "none"
        going = "" if self._work.over else f", {self._work.files} files so far"
        self._put("audit-title", f" Audit, worst first: {shown}{going}", "bold")
        self.query_one(Menu).show([item_of(row, width) for row in self._rows], self._place.chosen or None)
        self._tell()
        asked = f" {self._asked.ask.prompt if self._asked else 'Filter'} > "
        label = self.query_one("#audit-asked", Lined)
        label.styles.width = len(asked)
        label.put_lines([styled(asked, "bold")])
        self._put("audit-keys", f" {keys_line(width - 2)}")

    def _tell(self) -> None:
        """What came of the last key; else why the marks of the session under the mark matter."""
        said = self.query_one("#audit-said", Lined)
        room = TALL_ROOM if self.has_class("tall") else 1
        width = self.size.width - 2
        told = (self._said,) if self._said else why_of(self.row, over=self._work.over, all_of_it=room > 1)
        lines = [line for text in told for line in (wrap(text, width) if room > 1 else (text,))]
        said.put_lines([styled(fit(f" {line}", self.size.width)) for line in lines[:room]])

    def _put(self, id: str, text: str, style: str = "") -> None:
        self.query_one(f"#{id}", Lined).put_lines([styled(fit(text, self.size.width), style)])

    # ---- keys

    @on(Input.Changed, "#audit-typed")
    def _typed(self, event: Input.Changed) -> None:
        if self._asked or event.value == self._place.words:
            return
        self._place.words, self._place.start, self._place.chosen = event.value, 0, ""
        self._said = ""
        self._draw()

    def action_move(self, by: int) -> None:
        """Move the mark, over the end of a page to the next; not while something is asked of a session."""
        if self._asked:
            return
        menu = self.query_one(Menu)
        before = menu.chosen
        menu.move(by)
        self._place.chosen, self._said = menu.chosen, ""
        if menu.chosen == before:
            self.action_turn(by)
        else:
            self._tell()

    def action_turn(self, by: int) -> None:
        """A page further, or back; likewise."""
        to = self._place.start + by * PAGE
        if not self._asked and 0 <= to < self._run.count(self._place.words):
            self._place.start, self._place.chosen = to, ""
            self._draw()

    @on(Menu.Chosen)
    def _clicked(self, event: Menu.Chosen) -> None:
        if self._asked:
            self._say(f"{self._asked.ask.what} {Path(self._asked.row.file).name}")
            return
        self._place.chosen = event.id
        self.action_take()

    def action_take(self) -> None:
        """Replay the session under the mark; where a reason is asked, take it."""
        row = self.row
        if self._asked:
            self._taken(self._asked, self.query_one("#audit-typed", Input).value)
        elif row is None:
            return
        elif row.chain == "unreadable":
            self._say(f"It cannot be replayed: {row.trouble}")
        else:
            self._leave_for("replay", row)

    def action_report(self) -> None:
        """A printable page of the session under the mark."""
        if (row := self.row) is not None:
            self._leave_for("report", row)

    def _leave_for(self, do: str, row: Row) -> None:
        self._place.chosen = row.file
        self.app.exit(Chosen(do, Path(row.file)))

    def action_ask(self, left: str) -> None:
        """Ask for the reason of accepting or sending back, or for the key to seal with."""
        row = self.row
        if row is None or row.chain != "whole":
            self._say("Only a whole record can be judged or sealed.")
            return
        act = parse(left)
        self._asked, self._place.chosen = Asked(act, row), row.file
        typed = self.query_one("#audit-typed", Input)
        typed.value = load().settings.seal_key if isinstance(act, Seal) else ""
        typed.cursor_position = len(typed.value)
        self._say(f"{self._asked.ask.what} {Path(row.file).name}")

    def _taken(self, asked: Asked, typed: str) -> None:
        """Do what was asked for, in the session that it was asked of, wherever the mark is by now."""
        file, ask = asked.row.file, asked.ask
        if not typed.strip():
            self._say(f"Nothing was typed. {ask.what}")
            return
        try:
            self._act(Path(file), asked.act, typed, signer_on(self))
            self._run.again(examined(Path(file).read_bytes(), file, self._work.signers))
        except (OSError, ValueError) as error:
            self._say(f"Not recorded: {error}")
            return
        self._ask_no_more()
        self._say(f"{ask.done}. {Path(file).name}")

    def action_stop(self) -> None:
        """Ask no more; else empty the filter."""
        if self._asked:
            self._ask_no_more()
        else:
            self.query_one("#audit-typed", Input).value = ""
        self._say("")

    def _ask_no_more(self) -> None:
        self._asked = None
        typed = self.query_one("#audit-typed", Input)
        typed.value = self._place.words
        typed.cursor_position = len(typed.value)

    def _say(self, text: str) -> None:
        self._said = text
        self._draw()

    def action_marks(self) -> None:
        """Everything that is said of the session under the mark."""
        if (row := self.row) is not None:
            self.app.push_screen(MarksPage(row))

    def action_summary(self) -> None:
        """What fails most, and at whom."""
        self.app.push_screen(SummaryPage(self._run))

    def action_theme(self) -> None:
        """The next theme."""
        dress(self.app, after(self.app.theme))
        self._draw()

    def action_help(self) -> None:
        """The page on audits."""
        self.app.push_screen(HelpPage("audit", actions=(), more=()))

    def action_leave(self) -> None:
        """Leave; what was recorded is in the sessions."""
        self.app.exit()


class AuditApp(Program[Chosen]):
    """The audit as a program of its own: it ends with what is to be done with a session, or nothing."""

    CSS_PATH = "audit.tcss"
    ENABLE_COMMAND_PALETTE = False

    def __init__(self, screen: AuditScreen) -> None:
        super().__init__()
        dress(self, load().settings.get("theme"))
        self._audit = screen

    def get_default_screen(self) -> Screen[None]:
        """The table, at once."""
        return self._audit
