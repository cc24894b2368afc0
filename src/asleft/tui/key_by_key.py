"""Keys are obeyed one after another, however fast they come.

The screen library hands letters to the line that is typed in, and runs what is bound to a key later, when the
key has come back from there. Keys that arrive together, as over a slow line, would overtake each other:
Backspace takes the wrong letter, and what is typed behind Enter still goes into the entry before it.
"""

from __future__ import annotations

from collections import deque
from functools import partial
from typing import TYPE_CHECKING, TypeVar

from textual import events
from textual.app import App
from textual.message_pump import MessagePump
from textual.timer import Timer

if TYPE_CHECKING:
    from rich.console import RenderableType

ROUNDS = 3
"""How often the way from the line up to the program is gone: for the key, its deed, and what that does."""
STUCK_S = 2.0
"""After which the next key is obeyed although the one before is never told done: its widget is gone."""


Gives = TypeVar("Gives")
"""What the program ends with."""


class KeyByKey(App[Gives]):
    """A program that takes a key, or a paste, only once all is done that the one before leads to."""

    def __init__(self) -> None:
        super().__init__()
        self._waiting: deque[events.Key | events.Paste] = deque()
        self._obeyed = 0
        self._stuck: Timer | None = None
        self._leaving = False

    def exit(
        self, result: Gives | None = None, return_code: int = 0, message: RenderableType | None = None
    ) -> None:
        """Leave: what is typed behind the key that leaves does nothing."""
        self._leaving = True
        super().exit(result, return_code, message)

    async def on_event(self, event: events.Event) -> None:
        """Let an event through, or line it up behind the key that is being obeyed."""
        if not isinstance(event, events.Key | events.Paste) or event.is_forwarded:
            await super().on_event(event)
        elif self._stuck is not None:
            self._waiting.append(event)
        else:
            await self._obey(event)

    async def _obey(self, event: events.Key | events.Paste) -> None:
        if self._leaving or not self.screen_stack:
            return
        self._obeyed += 1
        self._stuck = self.set_timer(STUCK_S, partial(self._next, self._obeyed))
        try:
            await super().on_event(event)
        finally:
            self._follow(self._obeyed, ROUNDS, self._reader)

    @property
    def _reader(self) -> MessagePump | None:
        """Who reads keys: the widget in focus, else the screen; nobody once the screens are gone."""
        return self.focused or self.screen if self.screen_stack else None

    def _follow(self, obeyed: int, rounds: int, at: MessagePump | None) -> None:
        """Go behind a key from widget to widget upwards, where each has done what came before."""
        if obeyed != self._obeyed:
            return
        while at is not None and at is not self:
            if at.call_later(self._follow, obeyed, rounds, at._parent):
                return
            at = at._parent
        if rounds:
            self.call_later(self._follow, obeyed, rounds - 1, self._reader)
        else:
            self.call_later(self._next, obeyed)

    async def _next(self, obeyed: int) -> None:
        """The key behind this one, if there is one."""
        if obeyed != self._obeyed:
            return
        if self._stuck is not None:
            self._stuck.stop()
            self._stuck = None
        if self._waiting:
            await self._obey(self._waiting.popleft())
