"""The home screen: visits to go on with, a new visit, the demo."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.app import App, ComposeResult
from textual.driver import Driver
from textual.screen import ModalScreen
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from asleft.tui.driver import forgiving
from asleft.tui.safe import styled
from asleft.tui.typed import TypedLine

if TYPE_CHECKING:
    from asleft.equipment.library import Known


@dataclass(frozen=True, slots=True)
class HomeChoice:
    """What a person chose to do: `open` a session, a `new` visit to a unit, or the `demo`."""

    do: str
    path: Path | None = None
    unit: str = ""
    site: str = ""
    by: str = ""


class NewVisit(ModalScreen[tuple[str, str] | None]):
    """Site and technician of a new visit."""

    BINDINGS: ClassVar = [("escape", "dismiss(None)", "back")]

    def __init__(self, unit: str, by: str) -> None:
        super().__init__()
        self._unit, self._by = unit, by

    def compose(self) -> ComposeResult:
        """Two lines to type."""
        yield Static(styled(f"New visit: {self._unit}", "bold"), markup=False)
        yield Static(styled("Site, then Enter:"), markup=False)
        yield TypedLine(id="site", max_length=120)
        yield Static(styled("Technician, then Enter:"), markup=False)
        yield TypedLine(self._by, id="by", max_length=120)
        yield Static(styled("Esc goes back"), markup=False)

    @on(Input.Submitted)
    def _entered(self, event: Input.Submitted) -> None:
        site, by = (self.query_one(f"#{name}", Input) for name in ("site", "by"))
        if event.input is site and site.value.strip():
            by.focus()
        elif site.value.strip() and by.value.strip():
            self.dismiss((site.value.strip(), by.value.strip()))


class Home(App[HomeChoice]):
    """Everything that can be begun, in one list."""

    CSS_PATH = "wizard.tcss"
    TITLE = "asleft"
    BINDINGS: ClassVar = [("f10", "exit", "leave"), ("escape", "exit", "leave")]

    def __init__(self, sessions: Sequence[tuple[Path, str]], units: Sequence[Known], by: str) -> None:
        super().__init__()
        self._by = by
        self._choices: list[tuple[str, HomeChoice]] = [
            (f"Go on    {path.name}  {state}", HomeChoice("open", path)) for path, state in sessions
        ]
        self._choices += [
            (f"New      {u.title}", HomeChoice("new", unit=u.id)) for u in units if not u.trouble
        ]
        self._choices.append(("Demo     an invented site with a virtual unit", HomeChoice("demo")))

    def compose(self) -> ComposeResult:
        """A title, the list, the keys."""
        yield Static(styled(" asleft: from as found to as left", "bold"), id="job", markup=False)
        options = [Option(styled(text), id=str(n)) for n, (text, _) in enumerate(self._choices)]
        yield OptionList(*options, id="home", markup=False)
        yield Static(styled(" Enter begins   F10 leaves"), id="keys", markup=False)

    def on_mount(self) -> None:
        """No animation over a slow line."""
        self.animation_level = "none"
        self.query_one("#home", OptionList).focus()

    def get_driver_class(self) -> type[Driver]:
        """The driver of this system, which outlives bytes that are no keys."""
        return forgiving(super().get_driver_class())

    @on(OptionList.OptionSelected)
    def _selected(self, event: OptionList.OptionSelected) -> None:
        choice = self._choices[event.option_index][1]
        if choice.do != "new":
            self.exit(choice)
            return

        def begin(typed: tuple[str, str] | None) -> None:
            if typed is not None:
                self.exit(HomeChoice("new", unit=choice.unit, site=typed[0], by=typed[1]))

        self.push_screen(NewVisit(choice.unit, self._by), begin)

    def action_exit(self) -> None:
        """Leave without beginning anything."""
        self.exit(None)


def run_home(sessions: Sequence[tuple[Path, str]], units: Sequence[Known], by: str) -> HomeChoice | None:
    """Show the home screen; None where the person leaves."""
    return Home(sessions, units, by).run()
