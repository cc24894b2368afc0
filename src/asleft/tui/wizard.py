"""The wizard's one screen: what is entered goes to the visit, and the screen shows what came of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from textual import on
from textual.timer import Timer
from textual.widgets import Input

from asleft.checks import CONCLUDING
from asleft.drill.rig import Rig
from asleft.face.drafts import Drafts
from asleft.face.entries import Said
from asleft.face.rows.findings import waivable
from asleft.session.acts import Act, Enter, FindingName, Refusable, Waive
from asleft.tui.asking import Answered, Asking, Unanswered
from asleft.tui.chart_page import ChartPage
from asleft.tui.clock import STEP_S, series
from asleft.tui.echo import echo
from asleft.tui.elsewhere import Elsewhere
from asleft.tui.entry import Entry, EntryLine
from asleft.tui.keys import ACTIONS, Action, key_of
from asleft.tui.ledger_screen import LedgerScreen
from asleft.tui.lines import asked_why
from asleft.tui.pages import HelpPage, WorkingPage
from asleft.tui.sealing import signer_on
from asleft.visit import Visit

if TYPE_CHECKING:
    from asleft.checks.finding import Finding


class WizardScreen(LedgerScreen):
    """Draws the visit's view and hands typed acts to it. It holds no truth of its own."""

    def __init__(
        self,
        visit: Visit,
        rig: Rig | None,
        system: str,
        drafts: Drafts,
        offers: Mapping[Act, str],
        actions: Sequence[Action] = ACTIONS,
        notice: str = "",
    ) -> None:
        super().__init__(visit, system, drafts, offers, actions, notice)
        visit.signer = signer_on(self)
        self._asking = Asking(rig, self)
        self._ticking: Timer | None = None

    # ---- entering

    @on(Input.Changed, "#entry")
    def _typed(self, event: Input.Changed) -> None:
        row = self.row
        if row is None or row.act is None:
            return
        self._entries.type(row.act, event.value)
        if self._entries.is_reason(row.act):
            return
        before = self._said.text
        self._said = Said(echo(self.view, self._visit.instruments, row, event.value, self._system))
        if len(before) >= self.size.width:
            self._drawer.row(self._seen)
        else:
            self._drawer.message(self._seen)

    @on(Entry.HelpWanted)
    def _help_wanted(self) -> None:
        self.action_help()

    def action_answer(self, at: int) -> None:
        """Put a choice of the row under the cursor into the entry."""
        row = self.row
        if row is not None and at < len(row.choices):
            entry = self.query_one(EntryLine)
            entry.input.value = row.choices[at]
            entry.input.cursor_position = len(entry.input.value)

    def action_cannot(self) -> None:
        """Ask why the row under the cursor cannot be done, then why what is open on it may stand."""
        row = self.row
        open_ = waivable(self.view, row) if row is not None else ()
        if row is None or row.act is None or not (isinstance(row.act, Refusable) or open_):
            held = next((f for key in (row.findings if row else ()) if (f := self._hold(key))), None)
            self.say(
                f"{held.id} is a hold, and nobody can waive it."
                if held
                else "There is nothing on this row that could not be done."
            )
            return
        self._entries.reason(row.act, [f.name for f in open_])
        self._said = Said(asked_why(self.view, row, self._entries, key_of(self._actions, "cannot")))
        self._fill_entry()

    def _hold(self, key: str) -> Finding | None:
        """A finding by its key, where it is an open hold."""
        found = self.view.finding(key)
        held = found is not None and found.open and found.severity == "hold" and found.id not in CONCLUDING
        return found if held else None

    def waive(self, finding: FindingName) -> None:
        """Ask why a finding of the row under the cursor may stand, else go to its row at the sign-off."""
        row = self.row
        if row is None or row.act is None or finding not in [f.name for f in waivable(self.view, row)]:
            self.go_to(Waive(finding))
            return
        self._entries.waive(row.act, finding)
        self._said = Said(asked_why(self.view, row, self._entries, key_of(self._actions, "cannot")))
        self._fill_entry()

    def action_take(self) -> None:
        """Take what stands in the entry line."""
        row, text = self.row, self.query_one(EntryLine).input.value
        if row is None or row.act is None:
            key = key_of(self._actions, "next")
            self.say(f"There is nothing to enter on this row; {key} goes to what is next.", bad=True)
            return
        obeyed = row.act == self.view.next.act
        text = text if self._entries.is_reason(row.act) else row.meant(text)
        self._done(self._entries.take(row, text, self._system), obeyed=obeyed)

    @on(Input.Submitted, "#entry")
    def _submitted(self) -> None:
        self.action_take()

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
            self.say("There is no rig here: read it yourself and type it.")
        elif row is None or row.act is None:
            self.say("Nothing to ask.")
        elif forbidden := self._visit.forbidden(row.act):
            self.say(f"Not asked: {forbidden}", bad=True)
        else:
            self.say("Asking the rig; Esc stops waiting.")
            self._asking.ask(self.view, row.act, typed=self._entries.of(row.act))

    @on(Unanswered)
    def _unanswered(self, event: Unanswered) -> None:
        if self._asking.ends(event.act):
            self.say(f"Rig: {event.why} Go on by hand.", bad=True)

    @on(Answered)
    def _answered(self, event: Answered) -> None:
        act, answer, row = event.act, event.answer, self.row
        if not self._asking.ends(act) or row is None or row.act != act:
            return
        self._said = self._entries.answer(act, answer)
        self.query_one(EntryLine).put(self._entries.of(act))
        self.draw()

    def action_stop(self) -> None:
        """Stop waiting for the rig; otherwise empty the entry."""
        act = self.row.act if self.row is not None else None
        if self._asking.waiting:
            self._asking.stop()
            self.say("Stopped waiting; type it by hand.")
            return
        if act is not None and self._entries.done_by_rig(act):
            self.say("The rig has done this already: Enter records it.", bad=True)
            return
        if act is not None:
            self._entries.empty(act)
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
        self.say(f"The session is saved in {self._visit.path}.{more}", bad=bool(waiting))

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

    def action_clock(self) -> None:
        """Start the clock of a timed series; running, stop it."""
        if self._ticking is not None:
            self._ticking.stop()
            said = f"The clock is stopped at {self._clock.shown}."
            self._clock.stop()
            self._ticking = None
            self.say(said)
        elif not series(self.view):
            self.say("Nothing is timed at this unit.")
        else:
            self._clock.start()
            self._ticking = self.set_interval(STEP_S, self._tick)
            key = key_of(self._actions, "clock")
            self.say(f"The clock runs from all heat called; it tells when a reading is due. {key} stops it.")

    def _tick(self) -> None:
        due = self._clock.fallen_due(self.view)
        if due:
            self.app.bell()
            self._said = Said(f"{self._clock.shown} on the clock: {self.view.ledger.fields[due].label} now.")
            pane = self.view.ledger.fields[due].pane
            typed = self.query_one(EntryLine).input.value
            if not typed and self._standing.find(Enter(due), pane, self.view, self._system):
                self._fill_entry()
                return
        elif self.view.state.signature:
            self.action_clock()
        self.draw()

    def action_units(self) -> None:
        """Change the units shown, and what a bare number means."""
        self._system = "si" if self._system == "ip" else "ip"
        self._visit.read_in(self._system)
        self.say(f"Units: {'inch-pound' if self._system == 'ip' else 'SI'}.")

    def action_theme(self) -> None:
        """The next theme of the whole program."""
        self.app.call_later(self.app.run_action, "theme")

    def action_palette(self) -> None:
        """Find any act by typing."""
        self.app.action_command_palette()

    def possible(self, action: str) -> bool:
        """Whether an action would do anything now."""
        row = self.row
        match action:
            case "ask_rig":
                return self._asking.there and row is not None and row.act is not None
            case "undo":
                return bool(self._visit.undoable())
            case "redo":
                return bool(self._visit.redoable())
            case "cannot":
                return row is not None and row.act is not None
            case "clock":
                return bool(series(self.view))
            case "working":
                return row is not None and bool(row.findings or row.details)
        return True

    def action_working(self) -> None:
        """Working and source of the row."""
        if self.row is not None:
            self.app.push_screen(WorkingPage(self.view, self.row))

    def action_chart(self) -> None:
        """The charts, those of the pane and the row first."""
        self.app.push_screen(ChartPage(lambda: self.view, self._standing.pane, self.row, self.action_units))

    def action_help(self) -> None:
        """Help on the row and the pane, and the keys."""
        self.app.push_screen(HelpPage(self._standing.pane, self.view, self.row, self._actions))

    def on_unmount(self) -> None:
        """Leaving does not wait for a rig that is still asked."""
        self._asking.stop()

    def action_leave(self) -> None:
        """Leave; everything taken is on disk already."""
        self.app.exit()
