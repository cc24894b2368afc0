"""The wizard's one screen: panes of rows, one entry line, and what to do next always in sight."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

from textual import on
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.content import Content
from textual.screen import Screen
from textual.widgets import Input, Static

from asleft.drill.rig import Answer, Rig, RigError, ask
from asleft.drill.technician import Stuck, cannot
from asleft.quantity import KINDS, show
from asleft.session.fields import PANES
from asleft.tui.drafts import Drafts
from asleft.tui.keys import bindings, footer
from asleft.tui.ledger import Ledger
from asleft.tui.pages import HelpPage, WorkingPage
from asleft.tui.rows import SHORT, THIRD, TITLES, Row, counts, pane_state, rows
from asleft.tui.safe import fit, plain, styled
from asleft.visit import Refused, SaveFailed, View, Visit
from asleft.visit.acts import read_act

if TYPE_CHECKING:
    from asleft.guide import Next

SMALL = (60, 16)
WIDE = 110
BUSY = "Asking the rig; Esc stops waiting."


class WizardScreen(Screen[None]):
    """Draws the visit's view and hands typed acts to it. It holds no truth of its own."""

    BINDINGS = bindings()

    def __init__(self, visit: Visit, rig: Rig | None, system: str, drafts: Drafts) -> None:
        super().__init__()
        self._visit, self._rig, self._system, self._drafts = visit, rig, system, drafts
        self._pane = visit.view.next.pane or "identity"
        self._cursor = dict.fromkeys(PANES, 0)
        self._rows: tuple[Row, ...] = ()
        self._waiting = ""
        self._refused: dict[str, str] = {}
        self._confirm = ""
        self._message, self._bad = "", False

    def compose(self) -> ComposeResult:
        """Everything that stands on the screen, top to bottom."""
        yield Static(id="job", markup=False)
        yield Static(id="panes", markup=False)
        yield Static(id="title", markup=False)
        with Vertical(id="middle"):
            yield Ledger(id="ledger")
            yield Static(id="details", markup=False)
        yield Static(id="caution", markup=False)
        with Horizontal(id="entry-line"):
            yield Static(id="entry-label", markup=False)
            yield Input(id="entry", select_on_focus=False)
        yield Static(id="message", markup=False)
        yield Static(id="next", markup=False)
        yield Static(id="keys", markup=False)
        yield Static(id="small", markup=False)

    def on_mount(self) -> None:
        """Stand on what is next, with the entry ready."""
        entry = self.query_one("#entry", Input)
        entry.cursor_blink = False
        entry.focus()
        if self._visit.torn_kept:
            self._say(f"The last entry was cut short; its bytes are kept in {self._visit.torn_kept}.")
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
        at = self._cursor[self._pane]
        return self._rows[at] if at < len(self._rows) else None

    # ---- drawing

    def draw(self) -> None:
        """Draw everything from the view."""
        width, height = self.size
        small = width < SMALL[0] or height < SMALL[1]
        self.set_class(small, "small")
        self.set_class(width >= WIDE, "wide")
        if small:
            text = (
                f"asleft needs {SMALL[0]} columns and {SMALL[1]} rows; here are {width} and {height}. "
                "All entries are saved."
            )
            self.query_one("#small", Static).update(styled(text))
            return
        view = self.view
        self._rows = rows(view, self._pane, self._system)
        self._cursor[self._pane] = min(self._cursor[self._pane], max(0, len(self._rows) - 1))
        self._draw_head(width)
        self.query_one("#ledger", Ledger).show(
            self._rows, self._cursor[self._pane], THIRD.get(self._pane, "limits")
        )
        self._draw_row(width)
        self._draw_next(view.next, width)
        self.query_one("#keys", Static).update(styled(" " + footer(width - 2)))

    def _draw_head(self, width: int) -> None:
        view, unit = self.view, self.view.equipment.unit
        left = any(a.kind == "wrote" for a in view.state.acts)
        site = view.state.text("identity.site") or "new site"
        right = f"{'as left' if left else 'as found'} · {self._saved()} "
        job = (
            fit(f" asleft  {site} · {unit.maker} {unit.model} · {self._visit.mode}", width - len(right))
            + right
        )
        self.query_one("#job", Static).update(styled(job, "bold"))
        parts = []
        for n, pane in enumerate(PANES, 1):
            number = f"{n} " if width >= 100 else ""
            text = f" {number}{SHORT[pane]} {pane_state(view, pane)}" + (" " if width >= 100 else "")
            parts.append(styled(text, "reverse bold" if pane == self._pane else ""))
        self.query_one("#panes", Static).update(Content("").join(parts))
        open_ = counts(view)
        said = f"open: {open_['hold']} hold, {open_['correct']} correct; told: {open_['told']}"
        title = f" {TITLES[self._pane]}   {said}"
        self.query_one("#title", Static).update(styled(fit(title, width)))

    def _saved(self) -> str:
        if self._bad and self._message.startswith("Not saved"):
            return "NOT SAVED"
        signature = self.view.state.signature
        return f"signed {signature.outcome}" if signature else f"saved {self.view.state.last_n}"

    def _draw_row(self, width: int) -> None:
        row = self.row
        details = self.query_one("#details", Static)
        lines = self._details(row) if row else []
        details.set_class(not lines, "empty")
        details.update(Content("\n").join(styled(line) for line in lines) if lines else Content(""))
        caution = row.caution if row else ""
        self.query_one("#caution", Static).update(styled(fit(f" ! {caution}" if caution else "", width)))
        label = self._entry_label(row)
        self.query_one("#entry-label", Static).update(styled(label, "bold"))
        self._draw_message(row, width)

    def _details(self, row: Row) -> list[str]:
        lines = list(row.details)
        if self.size.width >= WIDE:
            lines += [""] if lines else []
            for key in row.findings[:6]:
                finding = self.view.finding(key)
                if finding is not None and finding.text not in lines:
                    lines.append(f"{finding.id}: {finding.verdict}. {finding.text}")
        return lines

    def _entry_label(self, row: Row | None) -> str:
        if row is None or not row.left:
            return " (nothing to enter here) "
        if row.left in self._refused:
            return " Cannot be done, because > "
        unit = f" [{row.unit}]" if row.unit else ""
        return f" {fit(row.label, min(30, len(row.label)))}{unit} > "

    def _draw_message(self, row: Row | None, width: int) -> None:
        text = self._message or self._drafts.trouble
        if not text and row is not None:
            choices = f"  ({' | '.join(row.choices)})" if row.choices and len(row.choices) < 8 else ""
            text = f"{row.help}{choices}"
        message = self.query_one("#message", Static)
        message.set_class(self._bad, "bad")
        message.update(styled(fit(" " + text, width)))

    def _draw_next(self, following: Next, width: int) -> None:
        act = f"[{self._act_shown(following)}]"
        room = max(0, width - len(act) - 12)
        text = following.text if len(following.text) <= room else fit(following.text, room)
        first = styled(" next F2: ", "bold") + styled(f"{text} {act}", "bold")
        self.query_one("#next", Static).update(
            Content("\n").join(
                [first, styled(fit(f"   why: {following.why}" if following.why else "", width))]
            )
        )

    def _act_shown(self, following: Next) -> str:
        match following.do:
            case "sign":
                return f"sign: {following.outcome}"
            case "power":
                return f"power: {following.state}"
            case "nothing":
                return "nothing"
            case _:
                return plain(following.enter)

    def _say(self, text: str, *, bad: bool = False) -> None:
        self._message, self._bad = text, bad

    # ---- moving

    def _go(self, following: Next) -> None:
        if following.pane:
            self._pane = following.pane
        self._rows = rows(self.view, self._pane, self._system)
        for at, row in enumerate(self._rows):
            if row.left == following.enter:
                self._cursor[self._pane] = at
                break
        self._fill_entry(prefill=following.do in ("choose", "sign"))

    def _fill_entry(self, *, prefill: bool = False) -> None:
        """Put the draft of the row under the cursor into the entry line."""
        row = self.row
        entry = self.query_one("#entry", Input)
        text = ""
        if row is not None and row.left:
            text = self._refused.get(row.left) or self._drafts.get(row.left)
            if not text and prefill:
                text = row.prefill
        with entry.prevent(Input.Changed):
            entry.value = text
        entry.cursor_position = len(text)
        self.draw()

    def _move(self, at: int) -> None:
        if not self._rows:
            return
        self._cursor[self._pane] = max(0, min(at, len(self._rows) - 1))
        self._say("")
        self._confirm = ""
        self._fill_entry()

    def action_row(self, by: int) -> None:
        """Move the cursor by rows."""
        self._move(self._cursor[self._pane] + by)

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
        self._pane = PANES[(PANES.index(self._pane) + by) % len(PANES)]
        self._say("")
        self._confirm = ""
        self._rows = rows(self.view, self._pane, self._system)
        self._fill_entry()

    def action_next(self) -> None:
        """Go to the next thing to do."""
        self._say("")
        self._confirm = ""
        self._go(self.view.next)

    # ---- entering

    @on(Input.Changed, "#entry")
    def _typed(self, event: Input.Changed) -> None:
        row = self.row
        if row is None or not row.left:
            return
        if row.left in self._refused:
            self._refused[row.left] = event.value
            return
        self._drafts.put(row.left, event.value)
        self._say(self._echo(row, event.value))
        self._draw_message(row, self.size.width)

    def _echo(self, row: Row, text: str) -> str:
        """What a typed value would mean, before it counts; silent while it means nothing yet."""
        field = self.view.ledger.fields.get(row.left)
        if field is None or field.kind not in KINDS or not text.strip():
            return ""
        try:
            draft = read_act(self.view, self._visit.instruments, row.left, text, self._system)
        except Refused:
            return ""
        other = "si" if self._system == "ip" else "ip"
        value = float(draft.data["value"])
        shown = (show(value, field.kind, system) for system in (self._system, other))
        return f"reads as {', '.join(shown)}; Enter takes it"

    def on_key(self, event: object) -> None:
        """Left and right go through choices where the entry holds none of a person's words."""
        key = getattr(event, "key", "")
        row, entry = self.row, self.query_one("#entry", Input)
        if key not in ("left", "right") or row is None or not row.choices:
            return
        if entry.value and entry.value not in row.choices:
            return
        at = row.choices.index(entry.value) if entry.value else (-1 if key == "right" else 0)
        entry.value = row.choices[(at + (1 if key == "right" else -1)) % len(row.choices)]
        entry.cursor_position = len(entry.value)

    @on(Input.Submitted, "#entry")
    def _submitted(self, event: Input.Submitted) -> None:
        row = self.row
        if row is None or not row.left:
            self._say("There is nothing to enter on this row; F2 goes to what is next.", bad=True)
            self.draw()
            return
        self._submit(row, event.value)

    def _submit(self, row: Row, text: str) -> None:
        left = row.left
        try:
            act = self._cannot_act(left) if left in self._refused else left
            before = self.view.state.last_n
            self._visit.submit(act, text, system=self._system)
        except Refused as refused:
            self._say(f"Not taken: {refused}", bad=True)
            self.draw()
            return
        except SaveFailed as failed:
            self._say(f"{failed} The entry stays here; F2 then Enter tries again.", bad=True)
            self.draw()
            return
        except Stuck as stuck:
            self._say(str(stuck), bad=True)
            self.draw()
            return
        self._refused.pop(left, None)
        self._drafts.put(left, "")
        self._say(f"Saved {before + 1}: {row.label}: {plain(text)}")
        following = self.view.next
        if following.pane == self._pane:
            self._go(following)
        else:
            self._fill_entry()

    def _cannot_act(self, left: str) -> str:
        if left == self.view.next.enter:
            return cannot(self.view)
        return f"cannot:{left.removeprefix('mended:')}"

    # ---- the rig

    def action_ask_rig(self) -> None:
        """Ask the rig for the row under the cursor, without holding up the screen."""
        row = self.row
        if self._rig is None or row is None or not row.left:
            self._say(
                "There is no rig here: read it yourself and type it."
                if self._rig is None
                else "Nothing to ask."
            )
            self.draw()
            return
        self._waiting = row.left
        self._say(BUSY)
        self.draw()
        self.run_worker(partial(self._ask, self._rig, row.left), thread=True, group="rig", exit_on_error=True)

    def _ask(self, rig: Rig, left: str) -> None:
        """In a thread: the answer, or the trouble, comes back as a call in the loop."""
        try:
            answer = ask(rig, self.view, left)
        except RigError as error:
            self.app.call_from_thread(self._trouble, left, str(error))
            return
        self.app.call_from_thread(self._answered, left, answer)

    def _trouble(self, left: str, text: str) -> None:
        if self._waiting != left:
            return
        self._waiting = ""
        self._say(f"Rig: {text} Go on by hand.", bad=True)
        self.draw()

    def _answered(self, left: str, answer: Answer) -> None:
        row = self.row
        if self._waiting != left or row is None or row.left != left:
            return
        self._waiting = ""
        entry = self.query_one("#entry", Input)
        if answer.refused:
            self._refused[left] = answer.refused
            self._say(f"Rig: refused, {answer.refused}; Enter notes that it cannot be done.")
        else:
            self._drafts.put(left, answer.typed)
            self._say(f"Rig: {answer.typed}; Enter takes it.")
        with entry.prevent(Input.Changed):
            entry.value = answer.refused or answer.typed
        entry.cursor_position = len(entry.value)
        self.draw()

    def action_stop(self) -> None:
        """Stop waiting for the rig; otherwise empty the entry."""
        row = self.row
        if self._waiting:
            self._waiting = ""
            stop = getattr(self._rig, "stop", None)
            if stop is not None:
                stop.set()
            self._say("Stopped waiting; type it by hand.")
            self.draw()
            return
        if row is not None and row.left:
            self._refused.pop(row.left, None)
            self._drafts.put(row.left, "")
        self._say("")
        self._fill_entry()

    # ---- the rest

    def action_undo(self) -> None:
        """Take back the last act, after saying which."""
        self._twice("undo", self._visit.undoable(), self._visit.undo)

    def action_redo(self) -> None:
        """Bring back what was taken back, after saying which."""
        self._twice("redo", self._visit.redoable(), self._visit.redo)

    def _twice(self, name: str, what: str, act: Callable[[], View]) -> None:
        if not what:
            self._say(f"There is nothing to {name}.")
        elif self._confirm != name:
            self._confirm = name
            key = "F6" if name == "undo" else "F7"
            self._say(f"{name.capitalize()}: {what}. {key} again does it.")
        else:
            self._confirm = ""
            try:
                act()
                self._say(f"{name.capitalize()} done: {what}.")
            except (Refused, SaveFailed) as error:
                self._say(str(error), bad=True)
        self.draw()

    def action_units(self) -> None:
        """Change the units shown, and what a bare number means."""
        self._system = "si" if self._system == "ip" else "ip"
        self._say(f"Units: {'inch-pound' if self._system == 'ip' else 'SI'}.")
        self.draw()

    def action_theme(self) -> None:
        """The next theme."""
        themes = ("textual-dark", "textual-light", "high-contrast")
        now = self.app.theme if self.app.theme in themes else themes[0]
        self.app.theme = themes[(themes.index(now) + 1) % len(themes)]

    def action_working(self) -> None:
        """Working and source of the row."""
        if self.row is not None:
            self.app.push_screen(WorkingPage(self.view, self.row))

    def action_help(self) -> None:
        """Help on the pane."""
        self.app.push_screen(HelpPage(self._pane))

    def action_leave(self) -> None:
        """Leave; everything taken is on disk already."""
        self.app.exit()
