"""The lines of a replay under the ledger: the event, its verdicts then and today, where we are, the keys."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, assert_never

from textual.widgets import Markdown, Static

from asleft.guide import pane_of_role
from asleft.session.acts import Acknowledge, Choose, Enter, Look, ReadBack, Sign, SwitchPower, Write
from asleft.session.payloads import (
    Acknowledged,
    Broke,
    Chose,
    CouldNot,
    Drilled,
    Entered,
    FoundSetting,
    Hinted,
    Mended,
    Noted,
    Powered,
    ReadSettingBack,
    Reported,
    Resumed,
    Retracted,
    Revealed,
    Reviewed,
    Sealed,
    Senseless,
    Signed,
    Used,
    Waived,
    WroteSetting,
)
from asleft.tui.keys import ACTIONS
from asleft.tui.pages import Page
from asleft.tui.safe import plain, styled

if TYPE_CHECKING:
    from asleft.equipment.model import Equipment
    from asleft.review.replay import Replay, Told
    from asleft.session.acts import Act
    from asleft.session.events import Event

SPEEDS = (0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0)
"""Events a second."""
KEYS = (
    ("right", "step(1)"),
    ("left", "step(-1)"),
    ("pagedown", "step(10)"),
    ("pageup", "step(-10)"),
    ("home", "step(-999999)"),
    ("end", "step(999999)"),
    ("enter", "event"),
    ("n", "trouble(1)"),
    ("p", "trouble(-1)"),
    ("space", "play"),
    ("plus,+", "speed(1)"),
    ("minus,-", "speed(-1)"),
    ("f", "follow"),
    ("o", "only"),
    ("up", "row(-1)"),
    ("down", "row(1)"),
    ("tab", "next_pane"),
    ("shift+tab", "previous_pane"),
    ("f1", "help"),
    ("f4", "working"),
    ("f8", "units"),
    ("f9", "theme"),
    ("f10,q,ctrl+q", "leave"),
)
"""The keys of a replay, each with its action."""
SHOWN = tuple(
    replace(action, moves=action.moves or action.id not in ("units", "theme", "working", "help", "leave"))
    for action in ACTIONS
)
"""The keys of a visit, of which the rail shows those that a replay has too."""


class EventPage(Page):
    """An event in full: what happened, its verdicts then and today, why to stop at it."""

    def __init__(self, told: Told, count: int, damage: str) -> None:
        super().__init__()
        self._told, self._count, self._damage = told, count, damage

    def body(self) -> Iterator[Static | Markdown]:
        """A line each."""
        told = self._told
        yield Static(styled(event_line(told, self._count), "bold"), markup=False)
        for trouble in told.troubles:
            yield Static(styled(f"! {trouble}", "bold"), markup=False)
        for name, verdicts in (("Then", told.then), ("Today", told.today)):
            yield Static(styled(f"{name}: {', '.join(verdicts) or 'no verdict changed'}"), markup=False)
        if self._damage and told.n == self._count:
            yield Static(styled(f"Damage behind it: {self._damage}", "bold"), markup=False)


def pane_of(event: Event, equipment: Equipment) -> str:
    """The pane that an event belongs to; empty where it has none."""
    what = event.what
    match what:
        case Entered() | Used():
            return what.field.partition(".")[0]
        case Chose():
            topic = equipment.topic_of(what.topic)
            return pane_of_role(topic.role) if topic else ""
        case FoundSetting() | WroteSetting() | ReadSettingBack():
            return "sequence"
        case Powered() | Acknowledged():
            return "electrical"
        case Noted() | Mended() | CouldNot() | Broke() | Reported() | Hinted():
            return "signoff"
        case Waived() | Retracted() | Signed():
            return "signoff"
        case Resumed() | Sealed() | Reviewed() | Drilled() | Revealed() | Senseless():
            return ""
        case _:
            assert_never(what)


def act_of(event: Event) -> Act | None:
    """The act whose row an event is on; None where it has no row of its own."""
    what = event.what
    match what:
        case Entered() | Used():
            return Enter(what.field)
        case Chose():
            return Choose(what.topic)
        case FoundSetting():
            return Look(what.setting, what.address)
        case WroteSetting():
            return Write(what.setting, what.address)
        case ReadSettingBack():
            return ReadBack(what.setting, what.address)
        case Powered():
            return SwitchPower()
        case Acknowledged():
            return Acknowledge(what.id)
        case Signed():
            return Sign()
        case Noted() | Mended() | CouldNot() | Broke() | Reported() | Hinted() | Waived() | Retracted():
            return None
        case Resumed() | Sealed() | Reviewed() | Drilled() | Revealed() | Senseless():
            return None
        case _:
            assert_never(what)


def event_line(told: Told | None, count: int) -> str:
    """Which event this is and what happened; who did it stands last."""
    if told is None:
        return "There is no event."
    return f"event {told.n} of {count}, {told.at[:10]} {told.at[11:]}, {told.what} ({told.by})"


def told_lines(told: Told | None, width: int, room: int, first: Sequence[str] = ()) -> list[str]:
    """What is to be said `first`, the troubles, and the verdicts then and today, what differs in words.

    Where not all of it fits, each part gives way to those after it and says how much is left out.
    """
    parts = [*first, *_parts(told)]
    lines: list[str] = []
    for at, part in enumerate(parts):
        least = len(parts) - at - 1
        lines += _cut(part, width, max(1, room - len(lines) - least))
    return lines[:room]


def _parts(told: Told | None) -> Iterator[str]:
    if told is None:
        return
    if told.troubles:
        yield f"! {'; '.join(told.troubles)}"
    if told.differs:
        yield f"only then:  {_listed(told.then, told.today)}"
        yield f"only today: {_listed(told.today, told.then)}"
    elif told.today:
        yield f"then and today: {', '.join(told.today)}"
    elif not told.troubles:
        yield "no verdict changed"


def _listed(here: Sequence[str], there: Sequence[str]) -> str:
    """The verdicts that are not there too, and how many are."""
    other = [verdict for verdict in here if verdict not in there]
    alike = len(here) - len(other)
    return ", ".join(other or ["nothing"]) + (f"; alike are {alike}" if alike else "")


def _cut(text: str, width: int, room: int) -> list[str]:
    """A paragraph in so many lines at most, with an ellipsis where it is longer."""
    return textwrap.wrap(plain(text), max(width, 8), max_lines=room, placeholder=" …", break_on_hyphens=False)


def timeline(replay: Replay, at: int, room: int) -> str:
    """The session in so many cells, each one event or more.

    `|` where we are, `!` where there is trouble, `-` where there is none, `.` where nobody has looked yet.
    """
    count = len(replay)
    room = min(room, count)
    cells = []
    for cell in range(room):
        numbers = range(cell * count // room + 1, (cell + 1) * count // room + 1)
        odd, known = any(map(replay.troubles_known, numbers)), all(map(replay.known, numbers))
        cells.append("|" if at in numbers else "!" if odd else "-" if known else ".")
    return "".join(cells)


def keys_line(width: int, *, rate: float, plays: bool, follows: bool, only: bool) -> str:
    """As many of the keys as fit; how to leave always."""
    parts = [
        (4, "Left Right"),
        (1, "Enter event"),
        (0, "n p trouble"),
        (0, f"Space {'stops' if plays else 'plays'} {rate:g}/s"),
        (3, "+ -"),
        (2, "f stay" if follows else "f follow"),
        (2, "o all" if only else "o pane"),
        (1, "F1 help"),
        (0, "F10 leave"),
    ]
    for dropped in (5, 4, 3, 2, 1):
        line = "  ".join(words for rank, words in parts if rank < dropped)
        if len(line) <= width:
            break
    return line


def small_lines(told: Told | None, count: int, size: tuple[int, int], least: tuple[int, int]) -> list[str]:
    """What still counts on a screen too small for the ledger: the event, what is odd, how to go on."""
    width, height = size
    wanted = f"Make the window {least[0]} by {least[1]} or larger; here are {width} by {height}."
    foot = _cut(f"{wanted} F10 leaves.", width - 2, max(1, height // 2))
    room = height - len(foot)
    return [*told_lines(told, width - 2, room, [event_line(told, count)]), *foot] if room > 0 else foot
