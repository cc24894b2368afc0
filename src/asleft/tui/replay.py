"""A session on the screen as it was, event by event, with what is judged otherwise today."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from time import monotonic
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, ClassVar, cast

from textual import events
from textual.app import ComposeResult
from textual.binding import Binding, BindingsMap
from textual.timer import Timer

from asleft.face.drafts import Drafts
from asleft.face.entries import Said
from asleft.review.replay import Search
from asleft.session.fields import PANES
from asleft.settings import load
from asleft.settings.remembered import NOTHING
from asleft.tui.drawing import SMALL
from asleft.tui.entry import EntryLine
from asleft.tui.ledger_screen import LedgerScreen
from asleft.tui.lined import Lined
from asleft.tui.pages import HelpPage, WorkingPage
from asleft.tui.program import Program
from asleft.tui.replay_lines import (
    KEYS,
    SHOWN,
    SPEEDS,
    EventPage,
    act_of,
    event_line,
    keys_line,
    pane_of,
    small_lines,
    timeline,
    told_lines,
)
from asleft.tui.safe import fit, styled
from asleft.tui.themes import after, dress
from asleft.visit import View, Visit

if TYPE_CHECKING:
    from asleft.equipment.model import EquipmentFile, Instrument
    from asleft.review.replay import Replay, Told

TALL = 32
"""Rows from which there is more room for verdicts."""
ROOM, TALL_ROOM = 3, 5
"""Lines for them."""
PAUSE_S = 0.03
"""Between two events that are looked at while nobody does anything, so that a key is not kept waiting."""
SEARCH_S = 0.05
"""How long a search for trouble goes on before keys are heard again."""
NOBODY: Mapping[str, Any] = MappingProxyType({})


class Replayed:
    """A session at one of its events, as the screen of a visit asks for it. Nothing can be entered."""

    torn_kept: Path | None = None

    def __init__(self, replay: Replay, path: Path, mode: str) -> None:
        self.replay, self.path, self.mode = replay, path, mode
        self.at = len(replay)
        self.instruments: Mapping[str, Instrument] = NOBODY
        self.equipment: EquipmentFile | None = None

    @property
    def view(self) -> View:
        """As it stood then."""
        return self.replay.view(self.at)

    def read_in(self, system: str) -> View:
        """In other units."""
        self.replay.read_in(system)
        return self.view

    def undoable(self) -> str:
        """Nothing is taken back."""
        return ""

    redoable = undoable


class ReplayScreen(LedgerScreen):
    """The wizard's ledger at an event, the event below it, and where it stands in the session."""

    BINDINGS: ClassVar = [Binding(keys, action, show=False, priority=True) for keys, action in KEYS]

    def __init__(self, replayed: Replayed, system: str, damage: str) -> None:
        own = self.BINDINGS
        super().__init__(cast(Visit, replayed), system, Drafts(None), NOTHING, SHOWN, "")
        # The keys of a visit are not those of a replay.
        self._bindings = BindingsMap(cast(Any, own))
        self._replayed, self._damage = replayed, damage
        self._follow, self._only = True, False
        self._speed = 2
        self._timer: Timer | None = None
        self._looking: Timer | None = None
        self._search: Search | None = None

    def compose(self) -> ComposeResult:
        """The ledger of a visit, and the lines of the replay under it."""
        yield from super().compose()
        yield Lined(id="replay-event")
        yield Lined(id="replay-verdicts")
        yield Lined(id="replay-time")
        yield Lined(id="replay-keys")

    def on_mount(self, event: events.Mount | None = None) -> None:
        """Stand on the first event, not on what was next in the visit."""
        if event is not None:
            event.prevent_default()
        # A line that takes letters would keep them from the keys of a replay.
        self.query_one(EntryLine).input.disabled = True
        self.set_focus(None)
        self._goto(1)
        self._looking = self.set_interval(PAUSE_S, self._look_on)

    @property
    def _told(self) -> Told | None:
        at = self._replayed.at
        return self._replayed.replay.told(at) if at else None

    def _look_on(self) -> None:
        """Find out what is odd in events that nobody has gone to, one at a time, for the timeline."""
        if self._timer is None and self._search is None:
            if not self._replayed.replay.look_on() and self._looking is not None:
                self._looking.stop()
            if self.app.screen is self:
                self._draw_timeline()

    def draw(self) -> None:
        """Draw the ledger, then the event."""
        told, replay, (width, height) = self._told, self._replayed.replay, self.size
        self.set_class(height >= TALL, "tall")
        super().draw()
        if self.has_class("small"):
            lines = small_lines(told, len(replay), (width, height), SMALL)
            self.query_one("#small", Lined).put_lines([styled(line) for line in lines])
            return
        damaged = bool(self._damage) and self._replayed.at == len(replay)
        first = [self._said.text] if self._said.text else []
        first += [f"DAMAGE: {self._damage}"] if damaged else []
        room = TALL_ROOM if height >= TALL else ROOM
        odd = damaged or bool(told and told.troubles)
        lines = told_lines(told, width - 2, room, first)
        self._put("replay-event", [event_line(told, len(replay))], "bold")
        self._put("replay-verdicts", lines, "bold $error" if odd else "")
        self._draw_timeline()
        keys = keys_line(
            width - 2,
            rate=SPEEDS[self._speed],
            plays=self._timer is not None,
            follows=self._follow,
            only=self._only,
        )
        self._put("replay-keys", [keys])

    def _draw_timeline(self) -> None:
        room = max(8, self.size.width - 2 - bool(self._damage))
        cells = timeline(self._replayed.replay, self._replayed.at, room)
        self._put("replay-time", [cells + ("X" if self._damage else "")])

    def _put(self, id: str, lines: Sequence[str], style: str = "") -> None:
        width = self.size.width
        self.query_one(f"#{id}", Lined).put_lines([styled(fit(f" {line}", width), style) for line in lines])

    # ---- moving

    def _goto(self, at: int) -> None:
        self._search = None
        self._replayed.at = max(1, min(at, len(self._replayed.replay))) if len(self._replayed.replay) else 0
        told = self._told
        self._said = Said()
        if told is not None and self._follow:
            self._stand(told.n)
        self.draw()

    def _stand(self, n: int) -> None:
        """Stand on the row of an event, on its pane."""
        act = act_of(self._replayed.replay.events[n - 1])
        if act is not None:
            for pane in (self._standing.pane, *PANES):
                if self._standing.find(act, pane, self.view, self._system):
                    return

    def action_step(self, by: int) -> None:
        """Another event; of this pane alone where that is wished."""
        replay, at = self._replayed.replay, self._replayed.at
        if not self._only or abs(by) > 1:
            self._goto(at + by)
            return
        to = at + by
        while 1 <= to <= len(replay):
            if pane_of(replay.events[to - 1], self.view.equipment) == self._standing.pane:
                self._goto(to)
                return
            to += by

    def action_trouble(self, by: int) -> None:
        """The next event at which somebody should stop, or the one before; pressed again, one more."""
        if self._search is not None and self._search.by == by:
            self._search.wanted += 1
            return
        self._search = Search(self._replayed.replay, self._replayed.at, by)
        self._seek(self._search)

    def _seek(self, search: Search) -> None:
        """Look on for a while; then let keys be heard, and go on if none has ended it."""
        if self._search is not search:
            return
        until = monotonic() + SEARCH_S
        if not search.go_on(lambda: monotonic() > until):
            self.say(f"Looking for trouble, at event {search.at}.")
            self.set_timer(0.01, lambda: self._seek(search))
            return
        last = len(self._replayed.replay)
        beyond = bool(search.wanted and self._damage and search.by > 0)
        self._goto(last if beyond else search.found or self._replayed.at)
        if search.wanted and not beyond:
            self.say("No further trouble that way.")

    def action_play(self) -> None:
        """Play, or stop."""
        if self._timer is not None:
            self._stop()
        elif self._replayed.at < len(self._replayed.replay):
            self._timer = self.set_interval(1.0 / SPEEDS[self._speed], self._tick)
        self.draw()

    def _stop(self) -> None:
        if self._timer is not None:
            self._timer.stop()
            self._timer = None

    def _tick(self) -> None:
        if self.app.screen is not self:
            # Somebody reads a page over it.
            return
        before = self._replayed.at
        self.action_step(1)
        if self._replayed.at == before:
            self._stop()
            self.draw()

    def action_speed(self, by: int) -> None:
        """Faster or slower."""
        self._speed = max(0, min(self._speed + by, len(SPEEDS) - 1))
        if self._timer is not None:
            self._stop()
            self.action_play()
        self.draw()

    def action_follow(self) -> None:
        """Go to the pane of each event, or stay on the one shown."""
        self._follow = not self._follow
        self._goto(self._replayed.at)

    def action_only(self) -> None:
        """Only events of the pane shown, or all."""
        self._only = not self._only
        self.draw()

    # ---- the rest

    def action_units(self) -> None:
        """Change the units shown."""
        self._system = "si" if self._system == "ip" else "ip"
        self._replayed.read_in(self._system)
        self.draw()

    def action_theme(self) -> None:
        """The next theme."""
        dress(self.app, after(self.app.theme))
        self.draw()

    def action_working(self) -> None:
        """Working and source of the row."""
        if self.row is not None:
            self.app.push_screen(WorkingPage(self.view, self.row))

    def action_event(self) -> None:
        """Everything that is told of the event, in full."""
        if (told := self._told) is not None:
            self.app.push_screen(EventPage(told, len(self._replayed.replay), self._damage))

    def action_help(self) -> None:
        """The page on replays."""
        self.app.push_screen(HelpPage("replay", actions=(), more=()))

    def action_leave(self) -> None:
        """Leave; nothing was written."""
        self.app.exit(0)


class ReplayApp(Program[int]):
    """The replay as a program of its own."""

    CSS_PATH: ClassVar = ["wizard.tcss", "replay.tcss"]
    ENABLE_COMMAND_PALETTE = False

    def __init__(self, replayed: Replayed, system: str, damage: str) -> None:
        super().__init__()
        dress(self, load().settings.get("theme"))
        self._replay = ReplayScreen(replayed, system, damage)

    def on_mount(self) -> None:
        """Show it."""
        self.push_screen(self._replay)


def run_replay(replay: Replay, path: Path, mode: str, system: str, damage: str = "") -> None:
    """Show a session until the supervisor leaves."""
    ReplayApp(Replayed(replay, path, mode), system, damage).run()
