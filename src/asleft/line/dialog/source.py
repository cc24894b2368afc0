"""Reading what a person or a script answers, and leaving in good order when told to."""

from __future__ import annotations

import signal
from collections.abc import Callable
from contextlib import AbstractContextManager
from types import FrameType, TracebackType
from typing import Self, TextIO, TypeVar

LONGEST = 65_536
"""Characters of a line that are looked at; no answer is so long."""
_Given = TypeVar("_Given")
_SIGNALS = ("SIGINT", "SIGTERM", "SIGHUP")


class Interrupted(Exception):
    """A signal said to leave: its number."""

    def __init__(self, number: int) -> None:
        super().__init__(number)
        self.number = number


class TooLong(ValueError):
    """A line that is longer than any answer."""


class Interrupts(AbstractContextManager["Interrupts"]):
    """Ends the waiting for a line, or for a rig, when a signal comes; never the saving of an entry."""

    def __init__(self) -> None:
        self._number = 0
        self._waiting = False
        self._before: dict[int, object] = {}

    def __enter__(self) -> Self:
        """Listen to the signals, where this is the main thread and the system has them."""
        for name in _SIGNALS:
            number = getattr(signal, name, None)
            if number is None:
                continue
            try:
                self._before[number] = signal.signal(number, self._came)
            except ValueError:
                # Not the main thread: whoever runs it hears the signals.
                return self
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        """As it was before."""
        for number, handler in self._before.items():
            signal.signal(number, handler if handler is not None else signal.SIG_DFL)  # type: ignore[arg-type]

    def _came(self, number: int, frame: FrameType | None) -> None:
        self._number = number
        if self._waiting:
            self._waiting = False
            raise Interrupted(number)

    def waiting(self, wait: Callable[[], _Given]) -> _Given:
        """What is waited for, unless a signal comes first or came before. Raises Interrupted."""
        self._waiting = True
        try:
            if self._number:
                raise Interrupted(self._number)
            return wait()
        finally:
            self._waiting = False


class Lines:
    """The lines of standard input, one at a time."""

    def __init__(self, stream: TextIO | None, interrupts: Interrupts) -> None:
        self._stream, self._interrupts = stream, interrupts
        self._first = True

    @property
    def seen(self) -> bool:
        """Whether a person sees what they type: else it has to be written for them."""
        return self._stream is not None and self._stream.isatty()

    def read(self) -> str | None:
        """The next line without its end; None where there are no more. Raises Interrupted, TooLong."""
        stream = self._stream
        if stream is None:
            return None
        line = self._interrupts.waiting(lambda: stream.readline(LONGEST))
        if not line:
            return None
        if len(line) == LONGEST and not line.endswith("\n"):
            more = line
            while more and not more.endswith("\n"):
                more = self._interrupts.waiting(lambda: stream.readline(LONGEST))
            raise TooLong(f"That line has more than {LONGEST} characters.")
        line = _as_utf8(line, getattr(stream, "encoding", None) or "utf-8")
        if self._first:
            # Some programs mark a file of UTF-8 so.
            line = line.removeprefix("\ufeff")
            self._first = False
        return line.strip()


def _as_utf8(line: str, encoding: str) -> str:
    """A line whose bytes the stream's own encoding lacks, read as UTF-8 if they are that."""
    if not any("\udc80" <= character <= "\udcff" for character in line):
        return line
    try:
        return line.encode(encoding, "surrogateescape").decode("utf-8")
    except UnicodeError:
        return line
