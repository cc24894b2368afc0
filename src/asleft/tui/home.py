"""The home screen: visits to go on with, a new visit, the demo; nothing heavy before it is drawn."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar, NamedTuple

from rich.cells import cell_len
from textual import on
from textual.app import ComposeResult
from textual.binding import Binding
from textual.message import Message
from textual.screen import Screen
from textual.widgets import Static

from asleft.face.closer import Closer
from asleft.settings import Loaded, load
from asleft.tui.home_items import ACTIONS, first_choice, items, looked_closer_at
from asleft.tui.menu import MOVES, Menu
from asleft.tui.program import Program
from asleft.tui.safe import fit, plain, stacked, styled
from asleft.tui.small import note, too_small
from asleft.tui.themes import dress

if TYPE_CHECKING:
    from asleft.drill.classroom.sheet import Ready
    from asleft.equipment.library import Known
    from asleft.face.listing import Listing

SETTLED_S = 0.4
"""How long after the first picture the closer look begins, so that the first keys are answered at once."""


class HomeChoice(NamedTuple):
    """What a person chose to do: `open` a session, a `new` visit to a unit, the `demo`, or a `drill`."""

    do: str
    path: Path | None = None
    unit: str = ""
    site: str = ""
    by: str = ""
    lesson: str = ""


class Desk(NamedTuple):
    """What the home screen asks for, each when it needs it. `closer` may be slow and is asked in a thread."""

    sessions: Callable[[], Listing]
    units: Callable[[], Sequence[Known]]
    closer: Callable[[Path], Closer]
    lessons: Callable[[], Sequence[Ready]] = tuple
    login: str = ""
    notice: str = ""
    now: Callable[[], datetime] = lambda: datetime.now().astimezone()


class LookedCloser(Message):
    """What a closer look at a session gave."""

    def __init__(self, path: Path, closer: Closer) -> None:
        super().__init__()
        self.path, self.closer = path, closer


class HomeScreen(Screen[None]):
    """Draws the list and knows the keys; what is chosen ends the app with a choice."""

    BINDINGS: ClassVar = [
        *MOVES,
        Binding("enter", "take", show=False),
        Binding("f1", "begin('help')", show=False),
        Binding("f10", "begin('leave')", show=False),
        *(Binding(f"{key},{key.upper()}", f"begin('{id}')", show=False) for id, key, _, _ in ACTIONS),
        *(Binding(str(n), f"begin('session-{n}')", show=False) for n in range(1, 10)),
    ]

    def __init__(self, desk: Desk, loaded: Loaded) -> None:
        super().__init__()
        self._desk, self._settings = desk, loaded.settings
        self._first = not loaded.there
        self._notices = [notice for notice in (desk.notice, loaded.notice) if notice]
        self._listing = desk.sessions()
        self._looked: dict[Path, Closer] = {}
        self._files: Mapping[str, Path] = {}

    def compose(self) -> ComposeResult:
        """Title, notice, list, keys; and what stands in their place on a screen too small."""
        yield Static(id="home-title", classes="bar", markup=False)
        yield Static(id="home-notice", markup=False)
        yield Menu(id="home")
        yield Static(id="home-keys", classes="bar", markup=False)
        yield note()

    def on_mount(self) -> None:
        """Show the list; look closer once it stands; on the very first start, ask."""
        self._draw(first_choice(self._listing))
        if waiting := looked_closer_at(self._listing):
            self.set_timer(SETTLED_S, partial(self._look_closer, waiting))
        if self._first:
            self.call_after_refresh(self._ask_first)

    def on_resize(self) -> None:
        """Fit the new size."""
        self._draw()

    def _draw(self, chosen: str | None = None) -> None:
        if too_small(self, "Home"):
            return
        width = self.size.width
        title, name = " asleft: from as found to as left", plain(self._settings.technician)
        if len(title) + len(name) + 3 <= width:
            title = fit(title, width - cell_len(name) - 1) + name
        self.query_one("#home-title", Static).update(styled(fit(title, width), "bold"))
        notice = self.query_one("#home-notice", Static)
        notice.set_class(not self._notices, "off")
        notice.update(stacked(f"! {text}" for text in self._notices))
        made, self._files = items(
            self._listing, self._looked, self._desk.now(), roomy=self.has_class("roomy")
        )
        self.query_one(Menu).show(made, chosen)
        letters = "  ".join(f"{key} {label.lower()}" for _, key, label, _ in ACTIONS)
        keys = f" Enter takes it  1-9 a visit  {letters}"
        if cell_len(keys) > width:
            keys = f" Enter  1-9  {letters}"
        self.query_one("#home-keys", Static).update(styled(fit(keys, width)))

    # ---- the closer look

    def _look_closer(self, paths: Sequence[Path]) -> None:
        self.run_worker(partial(self._closer, paths), thread=True, group="closer")

    def _closer(self, paths: Sequence[Path]) -> None:
        for path in paths:
            if not self.is_attached:
                return
            self.post_message(LookedCloser(path, self._desk.closer(path)))

    @on(LookedCloser)
    def _looked_closer(self, event: LookedCloser) -> None:
        self._looked[event.path] = event.closer
        self._draw()

    # ---- keys

    def action_move(self, by: int) -> None:
        """Move the mark."""
        self.query_one(Menu).move(by)

    def action_take(self) -> None:
        """Do what stands under the mark."""
        self.action_begin(self.query_one(Menu).chosen)

    @on(Menu.Chosen)
    def _clicked(self, event: Menu.Chosen) -> None:
        self.action_begin(event.id)

    def action_begin(self, id: str) -> None:
        """Do one thing of the list by its id; an id that is not there does nothing."""
        if path := self._files.get(id):
            self.app.exit(HomeChoice("open", path))
            return
        match id:
            case "demo":
                self.app.exit(HomeChoice("demo"))
            case "leave":
                self.app.exit(None)
            case "new":
                self._ask_new()
            case "drill":
                self._ask_lesson()
            case "settings":
                self._show_settings(first=False)
            case "help":
                from asleft.tui.help_at_home import HomeHelp

                self.app.push_screen(HomeHelp())

    def _ask_new(self) -> None:
        from asleft.tui.new_visit import NewVisit

        name = self._settings.technician or self._desk.login
        self.app.push_screen(NewVisit(self._desk.units(), name), self._asked)

    def _ask_lesson(self) -> None:
        from asleft.tui.lessons import Lessons

        self.app.push_screen(Lessons(self._desk.lessons()), self._asked)

    def _asked(self, choice: HomeChoice | None) -> None:
        """Begin what was chosen on a screen over this one."""
        if choice is not None:
            self.app.exit(choice)

    def _ask_first(self) -> None:
        self._show_settings(first=True)

    def _show_settings(self, *, first: bool) -> None:
        from asleft.tui.settings import SettingsScreen

        self.app.push_screen(SettingsScreen(self._desk.login, first=first), self._settings_left)

    def _settings_left(self, trouble: str | None) -> None:
        loaded = load()
        self._settings = loaded.settings
        self._notices = [notice for notice in (trouble, loaded.notice) if notice]
        dress(self.app, self._settings.get("theme"))
        self._draw()


class Home(Program[HomeChoice]):
    """The home screen as a program of its own: it ends with what a person chose to do."""

    CSS_PATH = "home.tcss"
    ENABLE_COMMAND_PALETTE = False

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        loaded = load()
        dress(self, loaded.settings.get("theme"))
        self._home = HomeScreen(desk, loaded)

    def get_default_screen(self) -> Screen[None]:
        """The list, at once: no empty screen under it."""
        return self._home


def run_home(desk: Desk) -> HomeChoice | None:
    """Show the home screen; None where the person leaves."""
    return Home(desk).run()
