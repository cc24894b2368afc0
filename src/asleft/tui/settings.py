"""Settings on the screen, drawn from their one list: all at once, or on the first start one after another."""

from __future__ import annotations

from typing import ClassVar

from rich.cells import cell_len
from textual import on
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Horizontal
from textual.screen import Screen
from textual.widgets import Input, Static

from asleft.settings import NotSaved, Setting, SettingError, load, setting_of, update
from asleft.settings.instruments import Library, known_instrument, library
from asleft.settings.schema import FIRST, LONGEST
from asleft.tui.menu import Menu
from asleft.tui.safe import fit, plain, styled
from asleft.tui.settings_items import ANOTHER, choices, from_home, helped, rows
from asleft.tui.small import note, too_small
from asleft.tui.themes import dress
from asleft.tui.typed import TypedLine

LEAST_CHOICES = 4
"""Rows that the choices keep on a small screen."""


class SettingsScreen(Screen[str | None]):
    """One row a setting; Enter opens it. `first` asks them in turn. Gives what went wrong."""

    CSS_PATH = "settings.tcss"
    AUTO_FOCUS = ""
    BINDINGS: ClassVar = [
        Binding("up", "move(-1)", show=False),
        Binding("down", "move(1)", show=False),
        Binding("pageup", "move(-5)", show=False),
        Binding("pagedown", "move(5)", show=False),
        Binding("enter", "take", show=False),
        Binding("escape", "back", show=False),
        Binding("f10", "leave", show=False),
    ]

    def __init__(self, login: str, *, first: bool) -> None:
        super().__init__()
        self._login, self._first = login, first
        self._loaded = load()
        self._library: Library | None = None
        self._editing: Setting | None = None
        self._typing = False
        self._said, self._bad = self._loaded.notice, bool(self._loaded.notice)

    def compose(self) -> ComposeResult:
        """Title, rows, help, what can be chosen or typed, what is said, the keys."""
        yield Static(id="set-title", classes="bar", markup=False)
        yield Static(id="set-about", markup=False)
        yield Menu(id="set-rows")
        yield Static(id="set-help", markup=False)
        with Horizontal(id="set-typed", classes="asked"):
            yield Static(" >", id="set-label", markup=False)
            yield TypedLine(id="set-entry", max_length=LONGEST)
        yield Menu(id="set-choices")
        yield Static(id="set-rest", classes="rest", markup=False)
        yield Static(id="set-said", classes="said", markup=False)
        yield Static(id="set-keys", classes="bar", markup=False)
        yield note()

    def on_mount(self) -> None:
        """Ready: on a first start with the first question open."""
        if self._first:
            self._open(FIRST[0])
        else:
            self._close()

    def on_resize(self) -> None:
        """Fit the new size."""
        self._draw()

    @property
    def _entry(self) -> Input:
        return self.query_one("#set-entry", Input)

    @property
    def _rows(self) -> Menu:
        return self.query_one("#set-rows", Menu)

    @property
    def _choices(self) -> Menu:
        return self.query_one("#set-choices", Menu)

    def _instruments(self) -> Library:
        if self._library is None:
            self._library = library()
        return self._library

    # ---- drawing

    def _draw(self) -> None:
        width, height = self.size
        choosing = self._editing is not None and not self._typing
        self.query_one("#set-typed").set_class(not self._typing, "off")
        self._choices.set_class(not choosing, "off")
        self.query_one("#set-rest").set_class(choosing, "off")
        self._entry.disabled = not self._typing
        if too_small(self, "This"):
            return
        if self._typing:
            self.set_focus(self._entry)
        self._draw_rows(width, height)
        self._draw_words(width)

    def _draw_rows(self, width: int, height: int) -> None:
        listed = tuple(rows(self._loaded.settings, self._instruments, first=self._first))
        rest = (13 if self.has_class("roomy") else 9) + (LEAST_CHOICES if self._editing is not None else 0)
        self._rows.styles.height = max(2, min(len(listed), height - rest))
        self._rows.show(listed, self._editing.key if self._editing else None)

    def _draw_words(self, width: int) -> None:
        title = " The first start" if self._first else " Settings"
        place = plain(from_home(self._loaded.file))
        room = width - len(title) - 2
        right = place if cell_len(place) <= room else ""
        self.query_one("#set-title", Static).update(
            styled(fit(title, width - cell_len(right) - 1) + right, "bold")
        )
        about = self.query_one("#set-about", Static)
        about.set_class(not self._first, "off")
        about.update(styled("asleft remembers a few things. All of it can be changed later under Settings."))
        setting = self._editing or self._under_mark()
        self.query_one("#set-help", Static).update(styled(helped(setting, typing=self._typing)))
        said = self.query_one("#set-said", Static)
        said.set_class(self._bad, "bad")
        said.update(styled(self._said))
        self.query_one("#set-keys", Static).update(styled(fit(f" {self._keys()}", width)))

    def _keys(self) -> str:
        if self._editing is None:
            return "Up Down choose  Enter changes it  Esc back"
        take = "Enter takes it" if self._typing else "Up Down choose  Enter takes it"
        return f"{take}  Esc leaves it for later  F10 leaves the rest" if self._first else f"{take}  Esc back"

    def _under_mark(self) -> Setting | None:
        key = self._rows.chosen
        return setting_of(key) if key else None

    # ---- opening and closing a setting

    def _open(self, key: str) -> None:
        setting = setting_of(key)
        self._editing = setting
        self._typing = setting.kind in ("text", "altitude", "path")
        said = self._loaded.settings.said(key)
        if self._typing:
            self._type(said or (self._login if key == "technician" else ""))
        else:
            now = self._loaded.settings.get(key)
            chosen = ANOTHER if "|" in now else f"is {now}" if now or setting.kind == "choice" else "none"
            self._choices.show(tuple(choices(setting, self._instruments())), chosen)
            self.set_focus(None)
        self._draw()

    def _type(self, text: str) -> None:
        self._typing = True
        self._entry.value = text
        self._entry.cursor_position = len(text)

    def _close(self) -> None:
        self._editing, self._typing = None, False
        self.set_focus(None)
        self._draw()

    def _on_to_next(self) -> None:
        """After a setting: on a first start the next one, then home."""
        if not self._first or self._editing is None:
            self._close()
            return
        at = FIRST.index(self._editing.key) + 1
        if at < len(FIRST):
            self._open(FIRST[at])
        else:
            self.action_leave()

    def _save(self, setting: Setting, text: str) -> None:
        try:
            if setting.kind == "instrument":
                text = known_instrument(setting, text, self._instruments())
            saved = update({setting.key: text})
        except (SettingError, NotSaved) as error:
            self._say(f"Not taken: {error}" if isinstance(error, SettingError) else str(error), bad=True)
            return
        self._loaded = load()
        dress(self.app, saved.settings.get("theme"))
        kept = f" The file as it was is kept as {saved.kept}." if saved.kept else ""
        self._said, self._bad = f"Saved: {setting.label}.{kept}", False
        self._on_to_next()

    def _say(self, text: str, *, bad: bool = False) -> None:
        self._said, self._bad = text, bad
        self._draw()

    # ---- keys

    def action_move(self, by: int) -> None:
        """Move the mark in what is open."""
        if self._editing is None:
            self._rows.move(by)
        elif not self._typing:
            self._choices.move(by)

    @on(Menu.Moved)
    def _moved(self) -> None:
        self._draw_words(self.size.width)

    @on(Menu.Chosen, "#set-rows")
    def _row_clicked(self, event: Menu.Chosen) -> None:
        if not self._first:
            self._open(event.id)
        else:
            self._draw()

    @on(Menu.Chosen, "#set-choices")
    def _choice_clicked(self) -> None:
        self.action_take()

    def action_take(self) -> None:
        """Open the row under the mark, or take the choice under it."""
        setting = self._editing
        if setting is None:
            if self._rows.chosen:
                self._said, self._bad = "", False
                self._open(self._rows.chosen)
            return
        chosen = self._choices.chosen
        if chosen == ANOTHER:
            text = self._loaded.settings.said(setting.key)
            self._type(text if "|" in text else "")
            self._draw()
        else:
            self._save(setting, chosen.removeprefix("is ") if chosen.startswith("is ") else "")

    @on(Input.Submitted, "#set-entry")
    def _entered(self, event: Input.Submitted) -> None:
        event.stop()
        if self._editing is not None:
            self._save(self._editing, event.value)

    def action_back(self) -> None:
        """Close what is open as it was; on a first start leave it for later; with nothing open go home."""
        if self._editing is None:
            self.action_leave()
            return
        self._said, self._bad = "", False
        self._on_to_next()

    def action_leave(self) -> None:
        """Go home. A first start is over then, whatever was left out."""
        if not self.is_current:
            # A second key of the same kind, typed ahead of the first one's effect.
            return
        trouble = None
        if self._first:
            try:
                update({})
            except NotSaved as error:
                trouble = f"{error} You will be asked again at the next start."
        self.dismiss(trouble)
