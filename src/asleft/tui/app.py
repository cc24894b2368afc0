"""The wizard as a program: one visit, one screen, nothing sent over an idle line."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from types import MappingProxyType
from typing import TYPE_CHECKING, ClassVar

from textual.app import SystemCommand
from textual.command import CommandPalette
from textual.screen import Screen

from asleft.drill.rig import Rig
from asleft.face.drafts import Drafts, drafts_of
from asleft.settings.remembered import NOTHING
from asleft.tui.keys import of_a_drill, with_changes
from asleft.tui.palette import commands
from asleft.tui.program import Program
from asleft.tui.themes import after, called, dress
from asleft.tui.wizard import WizardScreen
from asleft.visit import Visit

if TYPE_CHECKING:
    from asleft.drill.classroom.client import Lesson
    from asleft.session.acts import Act

AS_THEY_ARE: Mapping[str, str] = MappingProxyType({})
"""No key changed."""


class ToldToEnd(SystemExit):
    """The program was told to end, or its terminal went away: nothing is shown after the wizard."""


class Wizard(Program[None]):
    """A visit on the screen."""

    CSS_PATH = "wizard.tcss"
    ENABLE_COMMAND_PALETTE = True
    COMMAND_PALETTE_BINDING = "ctrl+p"
    BINDINGS: ClassVar = []

    def __init__(
        self,
        visit: Visit,
        rig: Rig | None = None,
        system: str = "ip",
        drafts: Drafts | None = None,
        offers: Mapping[Act, str] = NOTHING,
        *,
        theme: str = "",
        keys: Mapping[str, str] = AS_THEY_ARE,
        lesson: Lesson | None = None,
    ) -> None:
        super().__init__()
        dress(self, theme)
        self._actions, troubles = with_changes(keys)
        if lesson is not None:
            self._actions = of_a_drill(self._actions)
        shown = (visit, rig, system, drafts or Drafts(None), offers, self._actions, " ".join(troubles))
        if lesson is None:
            self._wizard = WizardScreen(*shown)
        else:
            # No visit waits for what only a drill needs.
            from asleft.tui.drill_screen import DrillScreen

            self._wizard = DrillScreen(*shown, lesson=lesson)

    def on_mount(self) -> None:
        """Show the visit."""
        self.push_screen(self._wizard)

    def get_system_commands(self, screen: Screen[object]) -> Iterable[SystemCommand]:
        """The palette: all that can be done now, while the wizard is the screen on top."""
        if screen is self._wizard:
            yield from commands(self._wizard, self._actions)

    def action_command_palette(self) -> None:
        """Find any act by a part of its name."""
        if not isinstance(self.screen, CommandPalette):
            self.push_screen(CommandPalette(placeholder="Type a part of what you want to do"))

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
    offers: Mapping[Act, str] = NOTHING,
    keys: Mapping[str, str] = AS_THEY_ARE,
    lesson: Lesson | None = None,
) -> int:
    """Show a visit until the person leaves. Gives the exit code; closes visit and rig.

    `offers` are texts that stand in the entries of empty rows, by act, and count once they are entered;
    `keys` a person's own keys, by action; `lesson` is the drill that a visit is.
    Raises ToldToEnd.
    """
    try:
        app = Wizard(visit, rig, system, drafts_of(visit), offers, theme=theme, keys=keys, lesson=lesson)
        app.run()
    finally:
        visit.close()
        if rig is not None:
            rig.close()
    code = app.return_code or 0
    if app.told_to_end:
        raise ToldToEnd(code)
    return code
