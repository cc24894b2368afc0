"""What is said of an event of a replay, and where it stands: pure but for the page that shows it in full."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from textual.widgets import Markdown, Static

from asleft.tui.pages import Page
from asleft.tui.safe import styled

if TYPE_CHECKING:
    from asleft.review.replay import Replay, Told


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


def left_of(replay: Replay, n: int) -> str:
    """The row that an event is on: the act that stands on its left."""
    event = replay.events[n - 1]
    data = event.data
    match event.kind:
        case "entered" | "used":
            return str(data["field"])
        case "chose":
            return f"choose:{data['topic']}"
        case "found" | "wrote" | "read_back":
            return f"{event.kind}:{data['setting']}@{data['address']}"
        case "powered":
            return "power"
        case "acknowledged":
            return f"acknowledge:{data['id']}"
        case "signed":
            return "sign"
        case _:
            return ""


def pane_of(replay: Replay, n: int) -> str:
    """The pane that an event belongs to; empty where it has none."""
    event = replay.events[n - 1]
    if event.kind in ("entered", "used"):
        return str(event.data["field"]).partition(".")[0]
    if event.kind in ("found", "wrote", "read_back"):
        return "sequence"
    if event.kind in ("powered", "acknowledged"):
        return "electrical"
    return "signoff" if event.kind in ("signed", "waived", "noted", "retracted") else ""


def event_line(told: Told | None, count: int) -> str:
    """Which event this is and what happened."""
    if told is None:
        return "There is no event."
    return f"event {told.n} of {count}, {told.at}, {told.by}: {told.what}"


def verdict_line(told: Told | None) -> str:
    """The verdicts then and today, what differs in words; troubles first."""
    if told is None:
        return ""
    said = [f"! {'; '.join(told.troubles)}"] if told.troubles else []
    only_then = [v for v in told.then if v not in told.today]
    only_today = [v for v in told.today if v not in told.then]
    if told.differs:
        then, today = (", ".join(only) or "nothing" for only in (only_then, only_today))
        said.append(f"DIFFERS: then {then}; today {today}")
    elif told.today:
        said.append(f"then and today: {', '.join(told.today)}")
    return "  ".join(said) or "no verdict changed"


def timeline(replay: Replay, at: int, room: int) -> str:
    """The session in so many cells. Only what was looked at so far is known to be trouble."""
    count = len(replay)
    if not count:
        return ""
    room = min(room, count)
    cells = []
    for cell in range(room):
        first, last = cell * count // room + 1, (cell + 1) * count // room
        here = first <= at <= last
        odd = any(replay.troubles_known(n) for n in range(first, last + 1))
        cells.append("|" if here else "!" if odd else "-" if last <= at else ".")
    return "".join(cells)
