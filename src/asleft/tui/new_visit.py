"""Beginning a visit: the unit, found by typing, then the site and who does the work."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Horizontal
from textual.screen import Screen
from textual.widgets import Input, Static

from asleft.tui.home import HomeChoice
from asleft.tui.menu import Item, Line, Menu
from asleft.tui.safe import fit, styled
from asleft.tui.small import note, too_small
from asleft.tui.typed import TypedLine

if TYPE_CHECKING:
    from asleft.equipment.library import Known

STEPS = ("unit", "site", "name")
_LABELS = {"unit": "Unit", "site": "Site", "name": "Your name"}
_TITLES = {
    "unit": "New visit: which unit?",
    "site": "New visit: where?",
    "name": "New visit: who does the work?",
}
LONGEST = 120


class NewVisit(Screen[HomeChoice | None]):
    """Asks three things in turn; Esc goes one back, from the first to home. Gives what to begin, or None."""

    CSS_PATH = "new_visit.tcss"
    AUTO_FOCUS = ""
    BINDINGS: ClassVar = [
        Binding("up", "move(-1)", show=False),
        Binding("down", "move(1)", show=False),
        Binding("pageup", "move(-5)", show=False),
        Binding("pagedown", "move(5)", show=False),
        Binding("escape,f10", "back", show=False),
    ]

    def __init__(self, units: Sequence[Known], name: str) -> None:
        super().__init__()
        self._units, self._name = tuple(units), name
        self._step, self._unit, self._bad = "unit", "", ""

    def compose(self) -> ComposeResult:
        """A title, a line for each thing asked, the units, what is said, the keys."""
        yield Static(id="new-title", classes="bar", markup=False)
        for step in STEPS:
            with Horizontal(id=f"ask-{step}", classes="asked"):
                yield Static(f"{_LABELS[step]} >", markup=False)
                yield TypedLine(self._name if step == "name" else "", id=f"new-{step}", max_length=LONGEST)
        yield Menu(id="new-units")
        yield Static(id="new-said", classes="said", markup=False)
        yield Static(id="new-rest", classes="rest", markup=False)
        yield Static(id="new-keys", classes="bar", markup=False)
        yield note()

    def on_mount(self) -> None:
        """Ready to type."""
        self._go("unit")

    def on_resize(self) -> None:
        """Fit the new size."""
        self._draw()

    def _go(self, step: str) -> None:
        self._step, self._bad = step, ""
        at = STEPS.index(step)
        for n, other in enumerate(STEPS):
            self.query_one(f"#ask-{other}").set_class(n > at, "off")
            self.query_one(f"#new-{other}", Input).disabled = n != at
        self.query_one(Menu).set_class(step != "unit", "off")
        self.query_one("#new-rest").set_class(step == "unit", "off")
        self._draw()

    def _draw(self) -> None:
        if too_small(self, "This"):
            return
        self.set_focus(self.query_one(f"#new-{self._step}", Input))
        width = self.size.width
        self.query_one("#new-title", Static).update(styled(fit(f" {_TITLES[self._step]}", width), "bold"))
        self.query_one(Menu).show(tuple(self._items()))
        keys = " Type to narrow the list  Up Down choose  Enter takes it  Esc back"
        if self._step != "unit":
            keys = " Enter goes on  Esc back"
        self.query_one("#new-keys", Static).update(styled(fit(keys, width)))
        said = self.query_one("#new-said", Static)
        said.set_class(bool(self._bad), "bad")
        said.update(styled(self._bad or self._help()))

    def _help(self) -> str:
        match self._step:
            case "unit":
                return (
                    ""
                    if self.query_one(Menu).chosen
                    else "No unit has this in its name; Backspace widens it."
                )
            case "site":
                return "Name or address of the place, as the office knows it."
            case _:
                return "The name that stands under every entry of this visit."

    def _items(self) -> Iterator[Item]:
        words = self.query_one("#new-unit", Input).value.casefold().split()
        for known in self._units:
            named = f"{known.title} {known.id}".casefold()
            if not all(word in named for word in words):
                continue
            if known.trouble:
                yield Item("", (Line(f"{known.title}: {known.trouble}", style="dim"),))
            else:
                yield Item(known.id, (Line(known.title, known.id),))

    # ---- keys

    def action_move(self, by: int) -> None:
        """Move the mark."""
        if self._step == "unit":
            self.query_one(Menu).move(by)

    def action_back(self) -> None:
        """One step back; what was typed stays."""
        at = STEPS.index(self._step)
        if at:
            self._go(STEPS[at - 1])
        elif self.is_current:
            self.dismiss(None)

    @on(Menu.Chosen)
    def _clicked(self) -> None:
        self._take_unit()

    @on(Input.Changed)
    def _typed(self) -> None:
        self._bad = ""
        self._draw()

    @on(Input.Submitted)
    def _entered(self, event: Input.Submitted) -> None:
        event.stop()
        if self._step == "unit":
            self._take_unit()
            return
        text = event.value.strip()
        if not any(c.isalnum() for c in text) or not text.isprintable():
            self._bad = f"A {_LABELS[self._step].split()[-1].lower()} in printable letters belongs here."
            self._draw()
        elif self._step == "site":
            self._go("name")
        elif self.is_current:
            site = self.query_one("#new-site", Input).value.strip()
            self.dismiss(HomeChoice("new", unit=self._unit, site=site, by=text))

    def _take_unit(self) -> None:
        chosen = self.query_one(Menu).chosen
        if not chosen:
            self._bad = "Choose a unit that is listed; `asleft equipment new` begins a file for another."
            self._draw()
            return
        self._unit = chosen
        self.query_one("#new-unit", Input).value = next(u.title for u in self._units if u.id == chosen)
        self._go("site")
