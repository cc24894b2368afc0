"""A rig that is another program: one JSON object a line each way."""

from __future__ import annotations

import contextlib
import json
import queue
import shlex
import subprocess
import threading
import time
from collections.abc import Iterator, Mapping
from typing import IO, Any

from asleft.drill.answers import LONGEST_LINE, RigError, checked, read_line

FIRST_ANSWER_S = 60.0
"""How long a program may take to start and answer for the first time."""
ANSWER_S = 120.0
"""How long any later answer may take: a person may have to reach for a meter."""
_PIPE_HOLDS = 4096
"""Characters that every system's pipe takes at once, whether or not anybody reads."""
_LOOK_S = 0.05
_END_S = 2.0


class Command:
    """A program run without a shell, asked over its standard input and output.

    ``stop`` set from another thread ends the wait with RigError; the answer still owed is thrown away when it
    comes, so that the next question gets its own.
    """

    def __init__(
        self, command: str, *, first_answer_s: float = FIRST_ANSWER_S, answer_s: float = ANSWER_S
    ) -> None:
        """Start the program. Raises RigError if the line cannot be split or the program not started."""
        self.stop = threading.Event()
        self._first_answer_s, self._answer_s = first_answer_s, answer_s
        self._answered = False
        self._owed = 0
        self._sender: threading.Thread | None = None
        """Who still waits for the program to read a question."""
        self._asking = threading.Lock()
        self._lines: queue.Queue[str | None] = queue.Queue()
        self._said = ""
        try:
            words = shlex.split(command)
        except ValueError as error:
            raise RigError(f"The rig command {command!r} cannot be read: {error}.") from None
        if not words:
            raise RigError("The rig command is empty; give a program and its arguments.")
        try:
            self._process = subprocess.Popen(
                words,
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=subprocess.PIPE,
                encoding="utf-8",
                errors="replace",
                bufsize=1,
            )
        except (OSError, ValueError) as error:
            why = getattr(error, "strerror", None) or str(error)
            raise RigError(f"The rig command {words[0]!r} could not be started: {why.lower()}.") from error
        self._listeners = [
            threading.Thread(target=target, name=f"rig {name}", daemon=True)
            for name, target in (("answers", self._listen), ("complaints", self._overhear))
        ]
        for listener in self._listeners:
            listener.start()

    def ask(self, request: Mapping[str, Any]) -> dict[str, Any]:
        """Send one request and wait for its answer. Raises RigError for nonsense, silence, death, a stop."""
        with self._asking:
            self.stop.clear()
            allowed = self._answer_s if self._answered else self._first_answer_s
            deadline = time.monotonic() + allowed
            self._send(json.dumps(request, ensure_ascii=True), allowed)
            while True:
                line = self._line(deadline, allowed)
                self._answered = True
                if not self._owed:
                    return checked(request, read_line(line))
                self._owed -= 1

    def close(self) -> None:
        """Let the program end, and end it if it does not. Closing again does nothing."""
        process = self._process
        if self._sender is not None:
            # A pipe that somebody writes to cannot be closed; with its reader gone the writer ends.
            process.kill()
            self._sender.join(_END_S)
        with contextlib.suppress(OSError):
            if process.stdin:
                process.stdin.close()
        for end in (process.terminate, process.kill, None):
            with contextlib.suppress(subprocess.TimeoutExpired):
                process.wait(_END_S)
                break
            if end:
                end()
        for listener, pipe in zip(self._listeners, (process.stdout, process.stderr), strict=True):
            listener.join(_END_S)
            # A pipe that the program's own children still hold is left open: closing it would wait.
            if pipe and not listener.is_alive():
                pipe.close()

    def _send(self, line: str, allowed: float) -> None:
        """Hand over a line. A program that does not read takes no more than a pipe holds, so it is timed."""
        pipe = self._process.stdin
        if pipe is None or pipe.closed or self._sender is not None:
            raise RigError("The rig was closed." if self._sender is None else "The rig reads no more.")
        wrong: list[Exception] = []

        def write() -> None:
            try:
                pipe.write(line + "\n")
                pipe.flush()
            except (OSError, ValueError) as error:
                wrong.append(error)

        if len(line) < _PIPE_HOLDS:
            write()
        else:
            sender = threading.Thread(target=write, name="rig question", daemon=True)
            sender.start()
            sender.join(allowed)
            if sender.is_alive():
                self._sender = sender
                raise RigError(f"The rig did not read its question within {allowed:g} s.")
        if wrong:
            raise RigError(self._death()) from wrong[0]

    def _line(self, deadline: float, allowed: float) -> str:
        while True:
            if self.stop.is_set():
                self._owed += 1
                raise RigError("Stopped waiting for the rig.")
            left = deadline - time.monotonic()
            if left <= 0:
                self._owed += 1
                raise RigError(f"The rig did not answer within {allowed:g} s.")
            try:
                line = self._lines.get(timeout=min(left, _LOOK_S))
            except queue.Empty:
                continue
            if line is None:
                self._lines.put(None)
                raise RigError(self._death())
            return line

    def _death(self) -> str:
        code = None
        with contextlib.suppress(subprocess.TimeoutExpired):
            code = self._process.wait(_END_S)
            # Its last words may still be on their way.
            self._listeners[1].join(_END_S)
        how = "closed its output" if code is None else f"ended with exit code {code}"
        said = f", saying: {self._said}" if self._said else ""
        return f"The rig {how}{said}."

    def _listen(self) -> None:
        for line in _lines_of(self._process.stdout):
            self._lines.put(line)
        self._lines.put(None)

    def _overhear(self) -> None:
        for line in _lines_of(self._process.stderr):
            if line.strip():
                self._said = ascii(line.strip()[:200])[1:-1]


def _lines_of(pipe: IO[str] | None) -> Iterator[str]:
    """The lines of a pipe as they come; one that is too long is handed on cut, and is the last."""
    while pipe is not None:
        try:
            line = pipe.readline(LONGEST_LINE + 2)
        except (OSError, ValueError):
            return
        if not line:
            return
        yield line
        if len(line) > LONGEST_LINE:
            return
