"""The wizard's one screen: panes of rows, one entry line, and what to do next always in sight."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from textual import on
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.content import Content
from textual.screen import Screen
from textual.widgets import Input, Static

from asleft.drill.rig import Rig
from asleft.face.drafts import Drafts
from asleft.face.entries import Entries, Said
from asleft.face.rows import THIRD, Row
from asleft.tui.asking import Answered, Asking, Unanswered
from asleft.tui.chart_page import ChartPage
from asleft.tui.echo import echo
from asleft.tui.elsewhere import Elsewhere
from asleft.tui.entry import EntryLine
from asleft.tui.keys import WORDS, bindings, footer
from asleft.tui.ledger import Ledger
from asleft.tui.lines import (
    detail_lines,
    help_of,
    job_line,
    next_lines,
    pane_line,
    saved_word,
    title_line,
)
from asleft.tui.pages import HelpPage, WorkingPage
from asleft.tui.safe import fit, styled
from asleft.tui.standing import Standing
from asleft.visit import View, Visit

if TYPE_CHECKING:
    from asleft.guide import Next

SMALL = (60, 16)
WIDE = 110


class WizardScreen(Screen[None]):
    """Draws the visit's view and hands typed acts to it. It holds no truth of its own."""

    BINDINGS = bindings()

    def __init__(
        self, visit: Visit, rig: Rig | None, system: str, drafts: Drafts, offers: Mapping[str, str]
    ) -> None:
        super().__init__()
        self._visit, self._system = visit, system
        visit.read_in(system)
        self._entries = Entries(visit, drafts, WORDS)
        self._asking = Asking(rig, self)
        self._standing = Standing(visit.view.next.pane or "identity", offers)
        self._said = Said()

    def compose(self) -> ComposeResult:
        """Everything that stands on the screen, top to bottom."""
        yield Static(id="job", markup=False)
        yield Static(id="panes", markup=False)
        yield Static(id="title", markup=False)
        with Vertical(id="middle"):
            yield Ledger(id="ledger")
            yield Static(id="details", markup=False)
        yield Static(id="caution", markup=False)
        yield EntryLine(id="entry-line")
        yield Static(id="message", markup=False)
        yield Static(id="next", markup=False)
        yield Static(id="keys", markup=False)
        yield Static(id="small", markup=False)

    def on_mount(self) -> None:
        """Stand on what is next."""
        if self._visit.torn_kept:
            self._said = Said(f"The last entry was cut short; its bytes are kept in {self._visit.torn_kept}.")
        self._go(self.view.next)

    def on_resize(self) -> None:
        """Fit the new size; nothing typed is touched."""
        self.draw()

    @property
    def view(self) -> View:
        """The visit as it stands."""
        return self._visit.view

    @property
    def row(self) -> Row | None:
        """The row under the cursor."""
        return self._standing.row

    # ---- drawing

    def draw(self) -> None:
        """Draw everything from the view."""
        width, height = self.size
        small = width < SMALL[0] or height < SMALL[1]
        self.set_class(small, "small")
        self.set_class(width >= WIDE, "wide")
        if small:
            needs = f"asleft needs {SMALL[0]} columns and {SMALL[1]} rows; here are {width} and {height}."
            waiting = ", ".join(self._entries.unsaved)
            waiting = f"Not saved yet: {waiting}." if waiting else "All entries are saved."
            self._put(
                "small", styled(f"{self._entries.failed or waiting} Next: {self.view.next.text} {needs}")
            )
            return
        # Textual takes the focus from what a small screen hides; without it no key would do anything.
        self.query_one("#entry", Input).focus()
        view, standing = self.view, self._standing
        standing.look(view, self._system)
        self._put("job", job_line(view, self._visit.mode, self._saved(), width))
        self._put("panes", pane_line(view, standing.pane, width))
        self._put("title", title_line(view, standing.pane, width))
        third = THIRD.get(standing.pane, "limits")
        self.query_one(Ledger).show(standing.rows, standing.at, third)
        self._draw_row(width)
        self._put("next", next_lines(view.next, width))
        self._put("keys", styled(" " + footer(width - 2)))

    def _put(self, name: str, content: Content) -> None:
        self.query_one(f"#{name}", Static).update(content)

    def _saved(self) -> str:
        return "NOT SAVED" if self._entries.failed or self._entries.unsaved else saved_word(self.view)

    def _draw_row(self, width: int) -> None:
        row = self.row
        lines = [self._entries.failed] if self._entries.failed else []
        if len(self._said.text) >= width:
            lines.append(self._said.text)
        lines += detail_lines(self.view, row, wide=width >= WIDE) if row else []
        self.query_one("#details").set_class(not lines, "empty")
        self._put("details", Content("\n").join(styled(line) for line in lines))
        self._put("caution", styled(fit(f" ! {row.caution}" if row and row.caution else "", width)))
        self.query_one(EntryLine).label(row, refused=row is not None and self._entries.is_reason(row.left))
        self._draw_message(row, width)

    def _draw_message(self, row: Row | None, width: int) -> None:
        text = self._said.text or self._entries.trouble or help_of(row)
        self.query_one("#message").set_class(self._said.bad, "bad")
        self._put("message", styled(fit(" " + text, width)))

    def _say(self, text: str, *, bad: bool = False) -> None:
        """Say something and draw it."""
        self._said = Said(text, bad)
        self.draw()

    # ---- moving

    def _go(self, following: Next) -> None:
        self._standing.go(following, self.view, self._system)
        self._fill_entry(prefill=following.do in ("choose", "sign"))

    def _fill_entry(self, *, prefill: bool = False, offer: bool = True) -> None:
        """Put the draft of the row under the cursor into the entry line, else what is offered for it."""
        row = self.row
        text = self._entries.of(row.left) if row is not None and row.left else ""
        offered = not text and row is not None and (prefill or (offer and row.left in self._standing.offers))
        if offered and row is not None:
            text = row.prefill
        self.query_one(EntryLine).put(text, replaced=offered and not prefill)
        self.draw()

    def _leave_row(self) -> None:
        """What was said and half confirmed belongs to the row that is left."""
        self._said = Said()
        self._entries.forget_question()

    def _move(self, at: int) -> None:
        self._standing.move_to(at)
        self._leave_row()
        self._fill_entry()

    def action_row(self, by: int) -> None:
        """Move the cursor by rows."""
        self._move(self._standing.at + by)

    @on(Ledger.Picked)
    def _picked(self, event: Ledger.Picked) -> None:
        self._move(event.index)

    def action_next_pane(self) -> None:
        """The next pane."""
        self._turn(1)

    def action_previous_pane(self) -> None:
        """The pane before."""
        self._turn(-1)

    def _turn(self, by: int) -> None:
        self._standing.turn(by)
        self._standing.look(self.view, self._system)
        self._leave_row()
        self._fill_entry()

    def action_next(self) -> None:
        """Go to the next thing to do."""
        self._leave_row()
        self._go(self.view.next)

    # ---- entering

    @on(Input.Changed, "#entry")
    def _typed(self, event: Input.Changed) -> None:
        row = self.row
        if row is None or not row.left:
            return
        self._entries.type(row.left, event.value)
        if self._entries.is_reason(row.left):
            return
        before, width = self._said.text, self.size.width
        self._said = Said(echo(self.view, self._visit.instruments, row.left, event.value, self._system))
        if len(before) >= width:
            self._draw_row(width)
        else:
            self._draw_message(row, width)

    @on(Input.Submitted, "#entry")
    def _submitted(self, event: Input.Submitted) -> None:
        row = self.row
        if row is None or not row.left:
            self._say("There is nothing to enter on this row; F2 goes to what is next.", bad=True)
            return
        obeyed = row.left == self.view.next.enter
        self._done(self._entries.take(row, event.value, self._system), obeyed=obeyed)

    def _done(self, said: Said, *, obeyed: bool = True) -> None:
        """Say what came of an entry; if it was taken, stand where the work goes on.

        That is what is next, or for a person who goes down a pane in another order, the next empty row.
        """
        self._said = said
        if not said.taken:
            self.draw()
        elif not obeyed and self.view.next.pane != self._standing.pane and self._standing.go_down():
            self._fill_entry()
        else:
            self._go(self.view.next)

    # ---- the rig

    def action_ask_rig(self) -> None:
        """Ask the rig for the row under the cursor."""
        row = self.row
        if not self._asking.there:
            self._say("There is no rig here: read it yourself and type it.")
        elif row is None or not row.left:
            self._say("Nothing to ask.")
        elif forbidden := self._visit.forbidden(row.left):
            self._say(f"Not asked: {forbidden}", bad=True)
        else:
            self._say("Asking the rig; Esc stops waiting.")
            self._asking.ask(self.view, row.left)

    @on(Unanswered)
    def _unanswered(self, event: Unanswered) -> None:
        if self._asking.ends(event.left):
            self._say(f"Rig: {event.why} Go on by hand.", bad=True)

    @on(Answered)
    def _answered(self, event: Answered) -> None:
        left, answer, row = event.left, event.answer, self.row
        if not self._asking.ends(left) or row is None or row.left != left:
            return
        self._said = self._entries.answer(left, answer)
        self.query_one(EntryLine).put(self._entries.of(left))
        self.draw()

    def action_stop(self) -> None:
        """Stop waiting for the rig; otherwise empty the entry."""
        row = self.row
        if self._asking.waiting:
            self._asking.stop()
            self._say("Stopped waiting; type it by hand.")
            return
        if row is not None and self._entries.done_by_rig(row.left):
            self._say("The rig has done this already: Enter records it.", bad=True)
            return
        if row is not None and row.left:
            self._entries.empty(row.left)
        self._said = Said()
        self._fill_entry(offer=False)

    # ---- another folder

    def action_elsewhere(self) -> None:
        """Say where the session is; ask for another folder where it cannot be saved there."""
        if self._entries.failed:
            self.app.push_screen(Elsewhere(self._visit, self._entries.failed), self._moved)
            return
        waiting = self._entries.unsaved
        more = f" Not saved yet: {', '.join(waiting)}." if waiting else ""
        self._say(f"The session is saved in {self._visit.path}.{more}", bad=bool(waiting))

    def _moved(self, path: Path | None) -> None:
        if path is not None:
            self._done(self._entries.moved(path))

    # ---- the rest

    def action_undo(self) -> None:
        """Take back the last act, after saying which."""
        self._said = self._entries.undo()
        self.draw()

    def action_redo(self) -> None:
        """Bring back what was taken back, after saying which."""
        self._said = self._entries.redo()
        self.draw()

    def action_units(self) -> None:
        """Change the units shown, and what a bare number means."""
        self._system = "si" if self._system == "ip" else "ip"
        self._visit.read_in(self._system)
        self._say(f"Units: {'inch-pound' if self._system == 'ip' else 'SI'}.")

    def action_theme(self) -> None:
        """The next theme."""
        themes = ("textual-dark", "textual-light", "high-contrast")
        now = self.app.theme if self.app.theme in themes else themes[0]
        self.app.theme = themes[(themes.index(now) + 1) % len(themes)]

    def action_working(self) -> None:
        """Working and source of the row."""
        if self.row is not None:
            self.app.push_screen(WorkingPage(self.view, self.row))

    def action_chart(self) -> None:
        """The charts, those of the pane and the row first."""
        self.app.push_screen(ChartPage(lambda: self.view, self._standing.pane, self.row, self.action_units))

    def action_help(self) -> None:
        """Help on the pane."""
        self.app.push_screen(HelpPage(self._standing.pane))

    def on_unmount(self) -> None:
        """Leaving does not wait for a rig that is still asked."""
        self._asking.stop()

    def action_leave(self) -> None:
        """Leave; everything taken is on disk already."""
        self.app.exit()
