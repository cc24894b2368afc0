"""Going on in another folder, where the present one can no longer be written: one line to type it in."""

from __future__ import annotations

from pathlib import Path
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.screen import ModalScreen
from textual.widgets import Input, Static

from asleft.face.folders import folder_of, offered
from asleft.tui.safe import styled
from asleft.tui.typed import TypedLine
from asleft.visit import Visit


class Elsewhere(ModalScreen[Path | None]):
    """Asks for a folder until the session goes on there (its new path) or the person goes back (None)."""

    BINDINGS: ClassVar = [("escape", "dismiss(None)", "back")]

    def __init__(self, visit: Visit, why: str) -> None:
        super().__init__()
        self._visit, self._why = visit, why

    def compose(self) -> ComposeResult:
        """Why, the line to type in, what came of it, and the keys."""
        with Vertical(id="elsewhere"):
            yield Static(styled(self._why), markup=False)
            with Horizontal(id="folder-line"):
                yield Static(styled("Save in folder > ", "bold"), id="folder-label", markup=False)
                yield TypedLine(offered(self._visit.path.parent), id="folder", max_length=4096)
            yield Static(id="folder-trouble", markup=False)
            yield Static(styled("Enter goes on there with all that is saved; Esc goes back."), markup=False)

    def on_mount(self) -> None:
        """Ready to type over what is offered."""
        self.query_one("#folder", Input).focus()

    @on(Input.Submitted, "#folder")
    def _entered(self, event: Input.Submitted) -> None:
        event.stop()
        try:
            path = self._visit.move(folder_of(event.value))
        except (OSError, ValueError) as error:
            self.query_one("#folder-trouble", Static).update(styled(f"Not there: {error}"))
            return
        self.dismiss(path)
