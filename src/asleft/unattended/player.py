"""The technician at the real screen: presses keys and reads what is drawn, and knows nothing else."""

from __future__ import annotations

import asyncio
import re
from collections.abc import Callable
from dataclasses import dataclass
from time import monotonic
from typing import TYPE_CHECKING, Any

from textual.events import Key

from asleft.drill.answers import RigError
from asleft.drill.technician import MOST_ACTS, Stuck
from asleft.session.acts import Acknowledge, Choose, Sign, parse
from asleft.tui.drawn import drawn_text

if TYPE_CHECKING:
    from textual.app import App
    from textual.pilot import Pilot

    from asleft.session.acts import Act

SIZE = (80, 24)
"""Columns and rows of a screen that nobody sees."""
ANSWER_S = 130.0
"""How long an answer may take to appear: longer than any rig may take to give it."""
ENTRY_S = 2.0
"""How much later than the message about it an answer may be drawn."""
DRAW_S = 30.0
"""How long an entry may take to be saved and drawn."""

_NEXT = re.compile(r"^ next F2: .*\[(?P<words>[^\[\]]+)\]$")
_SAVED = re.compile(r" saved (\d+)$| signed (?:not )?commissioned$")
_ANSWERED = ("Rig: ", "There is no rig", "Nothing to ask")
NOTHING = "nothing"
"""What stands in brackets where no act is left."""
MEANT = ": "
"""What stands there between an act and what is meant by it."""


@dataclass(frozen=True, slots=True)
class _Drawn:
    """What a person reads off the screen: the job line, what is next, the entry and the message.

    `words` are those in brackets: an act, what is meant by it where that is drawn, or nothing.
    """

    job: str
    words: str
    entry: str
    message: str

    @property
    def saved(self) -> str:
        """How far the session is on disk, as the job line says it."""
        found = _SAVED.search(self.job)
        return found[0].strip() if found else ""

    @property
    def act(self) -> Act | None:
        """What is to be done; None where nothing is."""
        return None if self.words == NOTHING else parse(self.words.partition(MEANT)[0])


def play_on_screen(
    app: App[Any], *, show: bool = False, size: tuple[int, int] = SIZE, most_acts: int = MOST_ACTS
) -> None:
    """Work the wizard to its signature by keys alone, on this terminal if it is to be shown.

    Raises RigError where the rig's answer does not come or is not taken, Stuck where the work does not go on.
    """
    trouble: list[Exception] = []

    async def play(pilot: Pilot[Any]) -> None:
        try:
            await _play(pilot.app, most_acts)
        except (RigError, Stuck) as error:
            trouble.append(error)
        finally:
            pilot.app.exit()

    asyncio.run(app.run_async(headless=not show, size=None if show else size, auto_pilot=play))
    if trouble:
        raise trouble[0]


async def _play(app: App[Any], most_acts: int) -> None:
    drawn = await _until(app, lambda d: bool(d.words), DRAW_S, "The wizard does not say what is next.")
    for _ in range(most_acts):
        act = drawn.act
        if act is None:
            return
        drawn = await _do(app, drawn, act)
    raise Stuck(f"After {most_acts} acts the session is not signed; the next one is: {drawn.words}")


def _press(app: App[Any], *keys: str) -> None:
    """Send keys as the terminal would; what follows waits for the screen, not for the program to be idle."""
    for key in keys:
        app.post_message(Key(key, key if len(key) == 1 else None))


async def _do(app: App[Any], before: _Drawn, act: Act) -> _Drawn:
    """One act, as the drawn line names it, until the screen says that it is saved."""
    _press(app, "f2")
    if isinstance(act, Acknowledge):
        _press(app, *"yes")
    elif not isinstance(act, Choose | Sign):
        await _until(app, lambda d: not d.message.startswith(_ANSWERED), DRAW_S, "F2 does nothing.")
        _press(app, "f3")
        await _answered(app, before.words)
    entry = _read(app).entry
    _press(app, "enter")
    late = f"Nothing was saved for {before.words}."

    def settled(drawn: _Drawn) -> bool:
        return drawn.saved != before.saved or drawn.message.startswith(("Not taken", "Not saved"))

    after = await _until(app, settled, DRAW_S, late)
    if after.saved == before.saved:
        said = f"{before.words} = {entry}: {after.message}"
        if isinstance(act, Acknowledge | Choose | Sign):
            raise Stuck(f"The next thing to do was refused: {said}")
        raise RigError(f"The rig's answer was not taken: {said}")
    return after


async def _answered(app: App[Any], words: str) -> None:
    """Wait until the entry line holds the rig's answer. Raises RigError where the screen says otherwise."""

    def settled(drawn: _Drawn) -> bool:
        return drawn.message.startswith(_ANSWERED)

    drawn = await _until(app, settled, ANSWER_S, f"The rig gave no answer to {words}.")
    try:
        await _until(app, lambda d: bool(d.entry), ENTRY_S, drawn.message)
    except Stuck as empty:
        raise RigError(str(empty).removeprefix("Rig: ")) from None


async def _until(app: App[Any], settled: Callable[[_Drawn], bool], seconds: float, otherwise: str) -> _Drawn:
    deadline = monotonic() + seconds
    while True:
        drawn = _read(app)
        if settled(drawn):
            return drawn
        if monotonic() > deadline:
            raise Stuck(otherwise)
        await asyncio.sleep(0.005)


def _read(app: App[Any]) -> _Drawn:
    lines = drawn_text(app)
    for at, line in enumerate(lines):
        found = _NEXT.match(line)
        if found and at >= 2:
            entry = lines[at - 2].partition(" > ")[2].strip()
            return _Drawn(lines[0], found["words"].strip(), entry, lines[at - 1].strip())
    return _Drawn(lines[0] if lines else "", "", "", "")
