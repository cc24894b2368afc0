"""The wizard as a program: one visit, one screen, nothing sent over an idle line."""

from __future__ import annotations

import asyncio
import signal
from collections.abc import Iterable, Mapping
from typing import ClassVar

from textual.app import SystemCommand
from textual.driver import Driver
from textual.screen import Screen

from asleft.drill.rig import Rig
from asleft.face.drafts import Drafts, drafts_of
from asleft.settings.remembered import NOTHING
from asleft.tui.driver import forgiving
from asleft.tui.key_by_key import KeyByKey
from asleft.tui.keys import with_changes
from asleft.tui.palette import commands
from asleft.tui.themes import after, called, dress
from asleft.tui.wizard import WizardScreen
from asleft.visit import Visit


class ToldToEnd(SystemExit):
    """The program was told to end, or its terminal went away: nothing is shown after the wizard."""


class Wizard(KeyByKey[None]):
    """A visit on the screen."""

    CSS_PATH = "wizard.tcss"
    TITLE = "asleft"
    ENABLE_COMMAND_PALETTE = True
    COMMAND_PALETTE_BINDING = "ctrl+p"
    BINDINGS: ClassVar = []

    def __init__(
        self,
        visit: Visit,
        rig: Rig | None = None,
        system: str = "ip",
        drafts: Drafts | None = None,
        offers: Mapping[str, str] = NOTHING,
        *,
        theme: str = "",
        keys: Mapping[str, str] = NOTHING,
    ) -> None:
        super().__init__()
        dress(self, theme)
        self.told_to_end = False
        self._actions, troubles = with_changes(keys)
        self._wizard = WizardScreen(
            visit, rig, system, drafts or Drafts(None), offers, self._actions, " ".join(troubles)
        )

    def on_mount(self) -> None:
        """Show the visit; leave in good order when the terminal goes away."""
        self.animation_level = "none"
        self.push_screen(self._wizard)
        loop = asyncio.get_running_loop()
        for name in ("SIGTERM", "SIGHUP"):
            number = getattr(signal, name, None)
            if number is None:
                continue
            try:
                loop.add_signal_handler(number, self._end)
            except (NotImplementedError, RuntimeError, ValueError):
                # Not the main thread, or a system without signals: every entry is on disk all the same.
                return

    def get_driver_class(self) -> type[Driver]:
        """The driver of this system, which outlives bytes that are no keys."""
        return forgiving(super().get_driver_class())

    def _end(self) -> None:
        self.told_to_end = True
        self.exit()

    def get_system_commands(self, screen: Screen[object]) -> Iterable[SystemCommand]:
        """The palette: all that can be done now, while the wizard is the screen on top."""
        if screen is self._wizard:
            yield from commands(self._wizard, self._actions)

    def action_theme(self) -> None:
        """The next theme."""
        dress(self, after(self.theme))
        self._wizard.say(f"Theme: {called(self.theme)}.")


def run_wizard(
    visit: Visit,
    rig: Rig | None = None,
    system: str = "ip",
    *,
    theme: str = "",
    offers: Mapping[str, str] = NOTHING,
    keys: Mapping[str, str] = NOTHING,
) -> int:
    """Show a visit until the person leaves. Gives the exit code; closes visit and rig.

    `offers` are texts that stand in the entries of empty rows, by field, and count once they are entered;
    `keys` a person's own keys, by action.
    Raises ToldToEnd.
    """
    try:
        app = Wizard(visit, rig, system, drafts_of(visit), offers, theme=theme, keys=keys)
        app.run()
    finally:
        visit.close()
        if rig is not None:
            rig.close()
    code = app.return_code or 0
    if app.told_to_end:
        raise ToldToEnd(code)
    return code
