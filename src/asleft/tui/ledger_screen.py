"""The screen of a visit: panes of rows, one entry line, and what to do next always in sight."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from textual import on
from textual.app import ComposeResult
from textual.binding import BindingsMap
from textual.containers import Horizontal, Vertical
from textual.screen import Screen

from asleft.face.drafts import Drafts
from asleft.face.entries import Entries, Said
from asleft.face.rows import Row
from asleft.session.fields import PANES
from asleft.tui.clock import SeriesClock
from asleft.tui.drawing import Drawer, Seen
from asleft.tui.entry import EntryLine
from asleft.tui.keys import Action, bindings, words
from asleft.tui.ledger import Ledger
from asleft.tui.lined import Lined
from asleft.tui.standing import Standing
from asleft.tui.targets import Targets
from asleft.visit import View, Visit

if TYPE_CHECKING:
    from asleft.guide import Next
    from asleft.session.acts import Act


class LedgerScreen(Screen[None]):
    """A visit drawn: where a person stands in it, and how to move about. What is entered is the wizard's."""

    def __init__(
        self,
        visit: Visit,
        system: str,
        drafts: Drafts,
        offers: Mapping[Act, str],
        actions: Sequence[Action],
        notice: str,
    ) -> None:
        super().__init__()
        self._bindings = BindingsMap.merge([self._bindings, BindingsMap(bindings(actions))])
        self._visit, self._system, self._actions = visit, system, tuple(actions)
        visit.read_in(system)
        self._entries = Entries(visit, drafts, words(actions))
        self._standing = Standing(visit.view.next.pane or "identity", visit.instruments, offers)
        self._drawer = Drawer(self, actions)
        self._clock = SeriesClock()
        self._said = Said(notice, bad=bool(notice))

    def compose(self) -> ComposeResult:
        """Everything that stands on the screen, top to bottom."""
        yield Lined(id="job")
        with Horizontal(id="body"):
            yield Targets(id="rail")
            with Vertical(id="main"):
                yield Targets(id="panes")
                yield Lined(id="title")
                with Horizontal(id="middle"):
                    yield Ledger(id="ledger")
                    yield Targets(id="side")
        yield Lined(id="caution")
        yield EntryLine(id="entry-line")
        yield Targets(id="message")
        yield Targets(id="next")
        yield Targets(id="keys")
        yield Lined(id="small")

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

    @property
    def _seen(self) -> Seen:
        return Seen(self.view, self._visit.mode, self._standing, self._entries, self._said, self._clock.shown)

    # ---- drawing

    def draw(self) -> None:
        """Draw everything from the view."""
        self._standing.look(self.view, self._system)
        if self._drawer.everything(self._seen):
            # Textual takes the focus from what a small screen hides; without it no key would do anything.
            self.query_one(EntryLine).input.focus()

    def say(self, text: str, *, bad: bool = False) -> None:
        """Say something and draw it."""
        self._said = Said(text, bad)
        self.draw()

    @on(Targets.Clicked)
    async def _clicked(self, event: Targets.Clicked) -> None:
        await self.run_action(event.action)

    # ---- moving

    def _go(self, following: Next) -> None:
        self._standing.go(following, self.view, self._system)
        self._fill_entry(prefill=following.do in ("choose", "sign"))

    def _fill_entry(self, *, prefill: bool = False, offer: bool = True) -> None:
        """Put the draft of the row under the cursor into the entry line, else what is offered for it."""
        row = self.row
        act = row.act if row is not None else None
        text = "" if act is None else self._entries.of(act)
        offered = not text and (prefill or (offer and act in self._standing.offers))
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

    def action_pane(self, pane: str) -> None:
        """A pane by its name."""
        self._standing.pane = pane
        self._turn(0)

    def go_to(self, act: Act) -> None:
        """Stand on the row of an act, on whichever pane it is drawn."""
        for pane in (self._standing.pane, *PANES):
            if self._standing.find(act, pane, self.view, self._system):
                self._leave_row()
                self._fill_entry()
                return

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
