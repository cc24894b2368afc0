"""A class at its drills on one screen, for a projector: looked at again and again, from files alone."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from datetime import datetime
from pathlib import Path
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding
from textual.content import Content
from textual.message import Message
from textual.screen import Screen

from asleft.drill.classroom.board import OVER, SIGNED, WORKING, Board, ClassNow, Trainee
from asleft.face.rows import SHORT
from asleft.settings import load
from asleft.tui.lined import Lined
from asleft.tui.program import Program
from asleft.tui.safe import fit, styled
from asleft.tui.small import note, too_small
from asleft.tui.themes import after, dress

EVERY_S = 2.0
"""How often the files are looked at."""
STILL_MIN = 5.0
"""Minutes without an entry after which a line says so aloud."""
MOST_MISSED = 5
FIGURES = f"{'Still':>7} {'Breach':>7} {'Reports':>7}  Found"


Clock = Callable[[], datetime]
"""Tells the time, in the zone of the wall that the board hangs on."""


class Looked(Message):
    """The class as its files stand."""

    def __init__(self, now: ClassNow) -> None:
        super().__init__()
        self.now = now


class BoardScreen(Screen[None]):
    """Draws what the files say, and knows the keys."""

    BINDINGS: ClassVar = [
        Binding("up", "move(-1)", show=False),
        Binding("down", "move(1)", show=False),
        Binding("pageup", "move(-10)", show=False),
        Binding("pagedown", "move(10)", show=False),
        Binding("home", "move(-9999)", show=False),
        Binding("end", "move(9999)", show=False),
        Binding("f1", "help", show=False),
        Binding("f9", "theme", show=False),
        Binding("f10,q,Q,ctrl+q", "leave", show=False),
    ]

    def __init__(self, folder: Path, clock: Clock) -> None:
        super().__init__()
        self._folder, self._board, self._clock = folder, Board(folder), clock
        self._now: ClassNow | None = None
        self._at = ""
        self._top, self._missed = 0, -1
        self._at_end = False
        self._looking = False

    def compose(self) -> ComposeResult:
        """Title, head, rows, what is missed, keys."""
        yield Lined(id="board-title")
        yield Lined(id="board-head")
        yield Lined(id="board")
        yield Lined(id="board-missed")
        yield Lined(id="board-keys")
        yield note()

    def on_mount(self) -> None:
        """Look at once, then again and again."""
        for id in ("board-title", "board-keys"):
            self.query_one(f"#{id}").add_class("bar")
        self._look()
        self.set_interval(EVERY_S, self._look)

    def on_resize(self) -> None:
        """Fit the new size."""
        self._draw()

    def _look(self) -> None:
        # A look at a slow folder is waited for: two at once would know of each other's files by halves.
        if not self._looking:
            self._looking = True
            self.run_worker(self._read, thread=True, group="look")

    def _read(self) -> None:
        try:
            self.post_message(Looked(self._board.look(self._clock())))
        finally:
            self._looking = False

    @on(Looked)
    def _looked(self, event: Looked) -> None:
        self._now, self._at = event.now, f"{self._clock():%H:%M:%S}"
        self._draw()

    def _draw(self) -> None:
        if too_small(self, "The board"):
            return
        width, now = self.size.width, self._now
        rows = now.rows if now else ()
        told = (
            f"{now.count(WORKING)} working, {now.count(SIGNED)} signed, {now.count(OVER)} over" if now else ""
        )
        missed = [styled(line) for line in missed_lines(now, width)] if now else []
        self._put("board-title", [styled(fit(f" Class board: {told}", width - 9) + self._at, "bold")])
        self._put("board-head", [styled(fit(head(width), width))])
        table = self.query_one("#board", Lined)
        room = max(1, table.size.height)
        last = max(0, len(rows) - room)
        self._top = last if self._at_end else max(0, min(self._top, last))
        seen = rows[self._top : self._top + room]
        shown = [styled(fit(line(row, width), width), _style(row)) for row in seen]
        if now is not None and not rows:
            shown = [styled(fit(f" {text}", width)) for text in self._empty(now)]
        table.put_lines(shown)
        self._put("board-missed", missed)
        if len(missed) != self._missed:
            self._missed = len(missed)
            self.query_one("#board-missed").set_class(not missed, "off")
            self.query_one("#board-missed").refresh(layout=True)
            # The rows have more or less room once that is laid out.
            self.call_after_refresh(self._draw)
        below = len(rows) - self._top - room
        more = f"  {below} more below" if below > 0 else f"  {self._top} more above" if self._top else ""
        self._put("board-keys", [styled(fit(f" Up, Down  F1 help  F9 theme  F10 leave{more}", width))])

    def _put(self, id: str, contents: Sequence[Content]) -> None:
        self.query_one(f"#{id}", Lined).put_lines(contents)

    def _empty(self, now: ClassNow) -> Iterator[str]:
        yield now.trouble or f"No drill is in {self._folder} yet."
        yield "asleft drill LESSON --out FOLDER puts one there; this screen looks every two seconds."

    # ---- keys

    def action_move(self, by: int) -> None:
        """Scroll by lines; at the end it stays there, whatever room the rows have later."""
        room = max(1, self.query_one("#board", Lined).size.height)
        self._top += by
        self._at_end = by > 0 and self._top + room >= len(self._now.rows if self._now else ())
        self._draw()

    def action_theme(self) -> None:
        """The next theme."""
        dress(self.app, after(self.app.theme))
        self._draw()

    def action_help(self) -> None:
        """The page on the board."""
        from asleft.tui.pages import HelpPage

        self.app.push_screen(HelpPage("board", actions=(), more=()))

    def action_leave(self) -> None:
        """Leave; nothing was written."""
        self.app.exit()


def _columns(width: int) -> tuple[int, int, int]:
    """Cells of who, of where, and of the last entry."""
    who = 16 if width < 100 else 22
    where = 11
    return who, where, max(8, width - who - where - 44)


def head(width: int) -> str:
    """What the columns are."""
    who, where, last = _columns(width)
    return f" {'Who':{who}} {'Where':{where}} {'Last entry':{last}} {FIGURES}"


def line(row: Trainee, width: int) -> str:
    """One drill on one line."""
    who, where, last = _columns(width)
    breach = f"! {row.breaches}" if row.breaches else ""
    still = _still(row.still) if row.state != OVER and row.began else ""
    begin = f" {fit(row.who, who)} {fit(SHORT.get(row.pane, ''), where)}"
    if row.trouble:
        return f"{begin} ! {row.trouble}"
    # What it was signed as has to be told in the few cells that a narrow screen has.
    did = row.last.removeprefix("signed ")
    return f"{begin} {fit(did, last)} {still:>7} {breach:>7} {row.reports or '':>7}  {_came(row)}"


def _still(minutes: float) -> str:
    """How long nothing was entered: in minutes, hours or days, with a sign where somebody should look."""
    shown = f"{minutes:.0f} min" if minutes < 100.0 else f"{minutes / 60.0:.0f} h"
    if minutes >= 100.0 * 60.0:
        shown = f"{minutes / 1440.0:.0f} d"
    return f"> {shown}" if minutes >= STILL_MIN else shown


def _came(row: Trainee) -> str:
    if row.state == OVER:
        false = f", {row.false} false" if row.false else ""
        return f"{row.found}/{len(row.hidden)}{false}"
    return "signed" if row.state == SIGNED else ""


def _style(row: Trainee) -> str:
    if row.trouble or row.breaches:
        return "bold $error"
    return "$text-muted" if row.state == OVER else ""


def missed_lines(now: ClassNow, width: int) -> Iterator[str]:
    """The faults that the class missed most."""
    for missed in now.missed[:MOST_MISSED]:
        yield fit(f" Missed in {missed.missed} of {missed.hidden}: {missed.called}", width)
    for said in now.notes:
        yield fit(f" {said}", width)


class BoardApp(Program[None]):
    """The board as a program of its own."""

    CSS_PATH = "board.tcss"
    ENABLE_COMMAND_PALETTE = False

    def __init__(self, folder: Path, clock: Clock = lambda: datetime.now().astimezone()) -> None:
        super().__init__()
        dress(self, load().settings.get("theme"))
        self._board = BoardScreen(folder, clock)

    def get_default_screen(self) -> Screen[None]:
        """The table, at once."""
        return self._board


def run_board(folder: Path) -> None:
    """Show a class until the trainer leaves."""
    BoardApp(folder).run()
