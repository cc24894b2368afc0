"""Beginning a drill: the lessons that come with the program, and what each is for."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding
from textual.screen import Screen
from textual.widgets import Static

from asleft.tui.home import HomeChoice
from asleft.tui.menu import MOVES, Item, Line, Menu
from asleft.tui.safe import fit, stacked, styled
from asleft.tui.small import note, too_small

if TYPE_CHECKING:
    from asleft.drill.classroom.sheet import Ready


class Lessons(Screen[HomeChoice | None]):
    """A list of lessons, the aims of the one under the mark below it. Gives what to begin, or None."""

    CSS_PATH = "lessons.tcss"
    BINDINGS: ClassVar = [
        *MOVES,
        Binding("enter", "take", show=False),
        Binding("f1", "help", show=False),
        Binding("escape,f10,q", "back", show=False),
    ]

    def __init__(self, lessons: Sequence[Ready]) -> None:
        super().__init__()
        self._lessons = {lesson.name: lesson for lesson in lessons}

    def compose(self) -> ComposeResult:
        """Title, lessons, aims, keys."""
        yield Static(id="lessons-title", classes="bar", markup=False)
        yield Menu(id="lessons")
        yield Static(id="lessons-aims", markup=False)
        yield Static(id="lessons-keys", classes="bar", markup=False)
        yield note()

    def on_mount(self) -> None:
        """The easiest first."""
        self._draw()

    def on_resize(self) -> None:
        """Fit the new size."""
        self._draw()

    def _draw(self) -> None:
        if too_small(self, "This"):
            return
        width = self.size.width
        title = " A lesson: a virtual unit, and nobody says whether anything is wrong"
        self.query_one("#lessons-title", Static).update(styled(fit(title, width), "bold"))
        self.query_one(Menu).show(tuple(self._items()))
        keys = " Up Down choose  Enter begins it  F1 help  Esc back"
        self.query_one("#lessons-keys", Static).update(styled(fit(keys, width)))
        self._tell()

    def _items(self) -> Iterator[Item]:
        for name, lesson in self._lessons.items():
            right = f"level {lesson.level}, {lesson.minutes} min"
            yield Item(name, (Line(lesson.title, right), Line(f"   {lesson.unit}")))

    @on(Menu.Moved)
    def _tell(self) -> None:
        """What the lesson under the mark is for."""
        lesson = self._lessons.get(self.query_one(Menu).chosen)
        hints = {0: "No hint", 1: "One hint"}.get(lesson.hints, f"{lesson.hints} hints") if lesson else ""
        lines = (*lesson.aims, f"{hints}; each costs points.") if lesson else ("No lesson is here.",)
        self.query_one("#lessons-aims", Static).update(stacked(lines))

    # ---- keys

    def action_move(self, by: int) -> None:
        """Move the mark."""
        self.query_one(Menu).move(by)

    def action_take(self) -> None:
        """Begin the lesson under the mark."""
        chosen = self.query_one(Menu).chosen
        if chosen and self.is_current:
            self.dismiss(HomeChoice("drill", lesson=chosen))

    @on(Menu.Chosen)
    def _clicked(self) -> None:
        self.action_take()

    def action_help(self) -> None:
        """The page for trainees."""
        from asleft.tui.pages import HelpPage

        self.app.push_screen(HelpPage("drill", actions=(), more=()))

    def action_back(self) -> None:
        """Back to home."""
        if self.is_current:
            self.dismiss(None)
