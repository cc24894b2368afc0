"""What every program on the screen does alike: keys in their order, a quiet line, an end in good order."""

from __future__ import annotations

import asyncio
import signal

from textual.driver import Driver

from asleft.tui.driver import forgiving
from asleft.tui.key_by_key import Gives, KeyByKey


class Program(KeyByKey[Gives]):
    """A program of ours. `told_to_end` says that it was told to, or that its terminal went away."""

    TITLE = "asleft"

    def __init__(self) -> None:
        super().__init__()
        self.told_to_end = False

    def on_mount(self) -> None:
        """No animation over a slow line; leave in good order when the terminal goes away."""
        self.animation_level = "none"
        loop = asyncio.get_running_loop()
        for name in ("SIGTERM", "SIGHUP"):
            number = getattr(signal, name, None)
            if number is None:
                continue
            try:
                loop.add_signal_handler(number, self._end)
            except (NotImplementedError, RuntimeError, ValueError):
                # Not the main thread, or a system without signals: every entry is on disk all the same.
                return

    def get_driver_class(self) -> type[Driver]:
        """The driver of this system, which outlives bytes that are no keys."""
        return forgiving(super().get_driver_class())

    def _end(self) -> None:
        self.told_to_end = True
        self.exit()
