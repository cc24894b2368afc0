"""A session on the screen as it was, event by event, with what is judged otherwise today."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, ClassVar, cast

from textual import events
from textual.app import ComposeResult
from textual.binding import Binding, BindingsMap
from textual.timer import Timer

from asleft.face.drafts import Drafts
from asleft.face.entries import Said
from asleft.session.fields import PANES
from asleft.settings import load
from asleft.tui.entry import EntryLine
from asleft.tui.keys import ACTIONS
from asleft.tui.ledger_screen import LedgerScreen
from asleft.tui.lined import Lined
from asleft.tui.pages import HelpPage, WorkingPage
from asleft.tui.program import Program
from asleft.tui.replay_lines import EventPage, event_line, left_of, pane_of, timeline, verdict_line
from asleft.tui.safe import fit, styled
from asleft.tui.themes import after, dress
from asleft.visit import View, Visit

if TYPE_CHECKING:
    from asleft.equipment.model import EquipmentFile, Instrument
    from asleft.review.replay import Replay, Told

SPEEDS = (0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0)
"""Events a second."""
NOBODY: Mapping[str, Any] = MappingProxyType({})


_SHOWN = tuple(
    replace(action, moves=action.moves or action.id not in ("units", "theme", "working", "help", "leave"))
    for action in ACTIONS
)
"""The keys of a visit, of which the rail shows those that a replay has too."""


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

    BINDINGS: ClassVar = [
        Binding(keys, action, show=False, priority=True)
        for keys, action in (
            ("right", "step(1)"),
            ("left", "step(-1)"),
            ("pagedown", "step(10)"),
            ("pageup", "step(-10)"),
            ("home", "step(-999999)"),
            ("end", "step(999999)"),
            ("enter", "event"),
            ("n", "trouble(1)"),
            ("p", "trouble(-1)"),
            ("space", "play"),
            ("plus,+", "speed(1)"),
            ("minus,-", "speed(-1)"),
            ("f", "follow"),
            ("o", "only"),
            ("up", "row(-1)"),
            ("down", "row(1)"),
            ("tab", "next_pane"),
            ("shift+tab", "previous_pane"),
            ("f1", "help"),
            ("f4", "working"),
            ("f8", "units"),
            ("f9", "theme"),
            ("f10,q,ctrl+q", "leave"),
        )
    ]

    def __init__(self, replayed: Replayed, system: str, damage: str) -> None:
        own = self.BINDINGS
        super().__init__(cast(Visit, replayed), system, Drafts(None), NOBODY, _SHOWN, "")
        # The keys of a visit are not those of a replay.
        self._bindings = BindingsMap(cast(Any, own))
        self._replayed, self._damage = replayed, damage
        self._follow, self._only = True, False
        self._speed = 2
        self._timer: Timer | None = None

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

    @property
    def _told(self) -> Told | None:
        at = self._replayed.at
        return self._replayed.replay.told(at) if at else None

    def draw(self) -> None:
        """Draw the ledger, then the event."""
        super().draw()
        width = self.size.width
        told, replay = self._told, self._replayed.replay
        event, verdicts = event_line(told, len(replay)), verdict_line(told)
        trouble = bool(told and told.troubles)
        if self._said.text:
            verdicts = self._said.text
        if self._damage and self._replayed.at == len(replay):
            verdicts = f"DAMAGE: {self._damage}"
            trouble = True
        self._put("replay-event", event, "bold")
        self._put("replay-verdicts", verdicts, "bold $error" if trouble else "")
        self._put("replay-time", self._timeline(width), "")
        plays = f"Space {'stops' if self._timer else 'plays'} {SPEEDS[self._speed]:g}/s"
        follows, only = "f stay" if self._follow else "f follow", "o all" if self._only else "o pane"
        keys = f"Left Right  Enter event  n p trouble  {plays}  + -  {follows}  {only}  F1  F10"
        self._put("replay-keys", keys, "")

    def _put(self, id: str, text: str, style: str) -> None:
        self.query_one(f"#{id}", Lined).put_lines([styled(fit(f" {text}", self.size.width), style)])

    def _timeline(self, width: int) -> str:
        """One cell for one or more events: `!` where there is trouble, `|` where we are, `X` for damage."""
        replay, room = self._replayed.replay, max(8, width - 2)
        cells = timeline(replay, self._replayed.at, room)
        return cells + ("X" if self._damage else "")

    # ---- moving

    def _goto(self, at: int) -> None:
        self._replayed.at = max(1, min(at, len(self._replayed.replay))) if len(self._replayed.replay) else 0
        told = self._told
        self._said = Said()
        if told is not None and self._follow:
            self._stand(told.n)
        self.draw()

    def _stand(self, n: int) -> None:
        """Stand on the row of an event, on its pane."""
        left = left_of(self._replayed.replay, n)
        if left:
            for pane in (self._standing.pane, *PANES):
                if self._standing.find(left, pane, self.view, self._system):
                    return

    def action_step(self, by: int) -> None:
        """Another event; of this pane alone where that is wished."""
        replay, at = self._replayed.replay, self._replayed.at
        if not self._only or abs(by) > 1:
            self._goto(at + by)
            return
        to = at + by
        while 1 <= to <= len(replay):
            if pane_of(replay, to) == self._standing.pane:
                self._goto(to)
                return
            to += by

    def action_trouble(self, by: int) -> None:
        """The next event at which somebody should stop, or the one before."""
        replay, to = self._replayed.replay, self._replayed.at + by
        while 1 <= to <= len(replay):
            if replay.told(to).troubles:
                self._goto(to)
                return
            to += by
        if by > 0 and self._damage:
            self._goto(len(replay))
            return
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
