"""Going on in another folder, where the present one can no longer be written: one line to type it in."""

from __future__ import annotations

import os
from pathlib import Path
from tempfile import gettempdir
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.screen import ModalScreen
from textual.widgets import Input, Static

from asleft.tui.safe import styled
from asleft.visit import Visit


def offered(present: Path) -> str:
    """The home folder, else the temporary one: the first that may be written and is not the present one."""
    for find in (Path.home, lambda: Path(gettempdir())):
        try:
            folder = find()
        except (OSError, RuntimeError):
            # A system that knows no home or has no room for temporary files; the next one is asked.
            continue
        if folder != present and folder.is_dir() and os.access(folder, os.W_OK | os.X_OK):
            return str(folder)
    return ""


def folder_of(typed: str) -> Path:
    """The folder that was typed, `~` being home. Raises ValueError where that is no folder's name."""
    text = typed.strip()
    if not text or not text.isprintable():
        raise ValueError("type the name of a folder that is there")
    try:
        return Path(text).expanduser().absolute()
    except RuntimeError as error:
        raise ValueError(f"{text} is no folder: {error}") from error


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
                yield Input(offered(self._visit.path.parent), id="folder", max_length=4096)
            yield Static(id="folder-trouble", markup=False)
            yield Static(styled("Enter goes on there with all that is saved; Esc goes back."), markup=False)

    def on_mount(self) -> None:
        """Ready to type over what is offered."""
        entry = self.query_one("#folder", Input)
        entry.cursor_blink = False
        entry.focus()

    @on(Input.Submitted, "#folder")
    def _entered(self, event: Input.Submitted) -> None:
        event.stop()
        try:
            path = self._visit.move(folder_of(event.value))
        except (OSError, ValueError) as error:
            self.query_one("#folder-trouble", Static).update(styled(f"Not there: {error}"))
            return
        self.dismiss(path)
