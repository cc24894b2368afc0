"""Pages that open over a drill: the instrument in hand, a report, a breach, the debrief."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import VerticalScroll
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import Input, Markdown, Static

from asleft.drill.classroom.hands import AUTO, Held, instruments_kept, places, ranges_of
from asleft.installation.faults import FAULTS
from asleft.tui.pages import Page
from asleft.tui.safe import styled
from asleft.tui.typed import TypedLine

if TYPE_CHECKING:
    from asleft.drill.classroom.breaches import Breach
    from asleft.session.fields import Field
    from asleft.visit import View

NOWHERE = "nowhere yet"
MOST_CHOICES = 7
MOST = 12
"""Kinds of fault listed at once."""


class BreachPage(Page):
    """What would have happened."""

    def __init__(self, breach: Breach) -> None:
        super().__init__()
        self._breach = breach

    def body(self) -> Iterator[Static | Markdown]:
        """The hold, why it held, and what would have happened."""
        yield Static(styled(f"BREACH of {self._breach.broke}", "bold $error"), markup=False)
        yield Static(styled(self._breach.sentence), markup=False)
        yield Static(styled(f"What would have happened: {self._breach.happens}", "bold"), markup=False)
        yield Static(styled("It is recorded, and nothing was done. The drill goes on."), markup=False)


class DebriefPage(Page):
    """What came of a drill."""

    def __init__(self, lines: Sequence[str]) -> None:
        super().__init__()
        self._lines = lines

    def body(self) -> Iterator[Static | Markdown]:
        """The lines as they are."""
        shown = [styled(line, "" if line.startswith(" ") else "bold") for line in self._lines]
        yield Static(Content("\n").join(shown), markup=False)


class HandsPage(ModalScreen[Held | None]):
    """An instrument in hand: its dial, its range, and where it is put."""

    BINDINGS: ClassVar = [
        Binding("escape,f10", "dismiss(None)", show=False),
        Binding("up", "line(-1)", show=False),
        Binding("down,tab", "line(1)", show=False),
        Binding("left", "turn(-1)", show=False),
        Binding("right,space", "turn(1)", show=False),
        Binding("enter", "read", show=False),
    ]

    def __init__(self, view: View, field: Field, held: Held) -> None:
        super().__init__()
        self._field, self._kept = field, instruments_kept()[field.instrument]
        used = view.state.instrument(field.instrument)
        self._name = used.name if used else "no instrument named"
        self._places = places(view.ledger.fields, field)
        self._at = next((n for n, place in enumerate(self._places) if place.id == held.at), -1)
        self._dial, self._range = held.dial, held.range
        # An instrument that is on is most often only put elsewhere.
        self._line, self._trouble = 0 if held.dial == self._kept.dials[0] else 2, ""

    def compose(self) -> ComposeResult:
        """The instrument in a frame."""
        with VerticalScroll(id="page") as scroll:
            yield Static(id="hands", markup=False)
        scroll.border_title = "Enter reads it, Esc puts it down"

    def on_mount(self) -> None:
        """Show it as it was left."""
        self._show()

    @property
    def _lines(self) -> tuple[tuple[str, Sequence[str], str], ...]:
        """Each thing that can be turned: what it is called, what it can be, what it is."""
        where = [place.label for place in self._places]
        return (
            ("Dial", self._kept.dials, self._dial),
            ("Range", ranges_of(self._kept.role, self._dial), self._range),
            (self._kept.placed.capitalize(), where, where[self._at] if self._at >= 0 else NOWHERE),
        )

    def _show(self) -> None:
        shown = [
            styled(f"Wanted: {self._field.label}", "bold"),
            styled(self._field.help),
            styled(f"In hand: {self._name}"),
            Content(""),
        ]
        for n, (name, every, now) in enumerate(self._lines):
            mark = ">" if n == self._line else " "
            shown.append(styled(f"{mark} {name:8} < {now} >", "reverse" if n == self._line else ""))
            if n == self._line:
                shown += [
                    styled(f"    {choice}", "bold" if choice == now else "") for choice in _near(every, now)
                ]
        shown += [Content(""), styled("Up, Down: what to turn; Left, Right: turn it.")]
        if self._trouble:
            shown.append(styled(self._trouble, "bold $error"))
        self.query_one("#hands", Static).update(Content("\n").join(shown))

    def action_line(self, by: int) -> None:
        """Go to another thing to turn."""
        self._line = (self._line + by) % 3
        self._show()

    def action_turn(self, by: int) -> None:
        """Turn it by one."""
        _, every, now = self._lines[self._line]
        at = list(every).index(now) if now in every else (-1 if by > 0 else 0)
        at = (at + by) % len(every)
        match self._line:
            case 0:
                self._dial, self._range = every[at], AUTO
            case 1:
                self._range = every[at]
            case _:
                self._at = at
        self._trouble = ""
        self._show()

    def action_read(self) -> None:
        """Take the reading, if the instrument is on and put somewhere."""
        if self._dial == self._kept.dials[0]:
            self._trouble = "It is off: turn the dial first."
        elif self._at < 0:
            self._trouble = f"The {self._kept.placed} are {NOWHERE}."
        else:
            self.dismiss(Held(self._dial, self._range, self._places[self._at].id))
            return
        self._show()


def _near(every: Sequence[str], now: str) -> Sequence[str]:
    """As many choices as a small screen holds, those round the one that is taken."""
    at = list(every).index(now) if now in every else 0
    first = max(0, min(at - MOST_CHOICES // 2, len(every) - MOST_CHOICES))
    return every[first : first + MOST_CHOICES]


class ReportPage(ModalScreen[str | None]):
    """A fault picked from those that this unit can have, then its place."""

    BINDINGS: ClassVar = [
        Binding("escape,f10", "dismiss(None)", show=False, priority=True),
        Binding("up", "move(-1)", show=False, priority=True),
        Binding("down", "move(1)", show=False, priority=True),
        Binding("enter", "take", show=False, priority=True),
    ]

    def __init__(
        self, possible: Mapping[str, Sequence[str]], evidence: Sequence[str], shown: Sequence[str]
    ) -> None:
        super().__init__()
        self._possible, self._evidence, self._shown_by = possible, tuple(evidence), tuple(shown)
        self._kind, self._marked = "", 0

    def compose(self) -> ComposeResult:
        """What is typed to find it, and what fits."""
        with VerticalScroll(id="page") as scroll:
            yield Static(id="asked", markup=False)
            yield TypedLine(id="wanted", placeholder="Type a part of its name")
            yield Static(id="fits", markup=False)
        scroll.border_title = "Enter picks it, Esc leaves"

    def on_mount(self) -> None:
        """Ready to type."""
        self.query_one("#wanted", Input).focus()
        self._show()

    @property
    def _fitting(self) -> list[tuple[str, str]]:
        """What can be picked, by the word that stands for it and the words that are shown."""
        typed = self.query_one("#wanted", Input).value.casefold().strip()
        if self._kind:
            every = [(place, place) for place in self._possible.get(self._kind, ())]
            every.append(("", "the place is not known"))
        else:
            every = [(kind, FAULTS[kind].called) for kind in self._possible if kind in FAULTS]
        return [(id, words) for id, words in every if typed in words.casefold() or typed in id]

    def _show(self) -> None:
        what = f"{FAULTS[self._kind].called}: where?" if self._kind else "Which fault?"
        shown = [styled(what, "bold"), styled(f"Shown by: {'; '.join(self._shown_by)}")]
        self.query_one("#asked", Static).update(Content("\n").join(shown))
        fitting = self._fitting
        self._marked = max(0, min(self._marked, len(fitting) - 1))
        first = max(0, min(self._marked - MOST // 2, len(fitting) - MOST))
        lines = [
            styled(f"{'>' if n == self._marked else ' '} {words}", "reverse" if n == self._marked else "")
            for n, (_, words) in enumerate(fitting)
        ][first : first + MOST]
        more = len(fitting) - len(lines)
        lines += [styled(f"  and {more} more; type to find it")] if more > 0 else []
        lines += [styled("  Nothing fits what was typed.")] if not fitting else []
        self.query_one("#fits", Static).update(Content("\n").join(lines))

    @on(Input.Changed, "#wanted")
    def _typed(self) -> None:
        self._marked = 0
        self._show()

    def action_move(self, by: int) -> None:
        """Move the mark."""
        self._marked += by
        self._show()

    def action_take(self) -> None:
        """Pick what is marked: the kind, then its place where it can be in several."""
        fitting = self._fitting
        if not fitting:
            return
        picked = fitting[self._marked][0]
        if not self._kind:
            self._kind, several = picked, any(self._possible[picked])
            if several:
                self.query_one("#wanted", Input).value = ""
                self._marked = 0
                self._show()
                return
            picked = ""
        place = f"@{picked}" if picked else ""
        self.dismiss(f"{self._kind}{place} by {', '.join(self._evidence)}")
