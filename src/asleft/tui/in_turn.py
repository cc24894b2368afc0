"""Keys typed ahead: what a key does waits until the line being typed has dealt with the keys before it."""

from __future__ import annotations

from collections.abc import Callable

from textual.message import Message
from textual.widgets import Input


class InTurn(Message):
    """Goes the way that an entry goes, from the line to its screen, and so never overtakes one."""

    def __init__(self, do: Callable[[], None]) -> None:
        super().__init__()
        self.do = do


def in_turn(line: Input | None, do: Callable[[], None]) -> None:
    """Do something now, or where a line is being typed after all that was typed in it before."""
    if line is None:
        do()
    else:
        line.post_message(InTurn(do))
