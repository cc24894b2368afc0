"""What a rig that is served to trainees remembers of each drill: a file of JSON lines that only grows."""

from __future__ import annotations

import json
import os
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from asleft.drill.answers import RigError
from asleft.journal import files, lock

WAIT_S, STEP_S = 5.0, 0.01
"""How long other rigs of the same sheet may keep the file; one entry takes them milliseconds."""


@dataclass
class Remembered:
    """One drill as the register has it. `answers` are what was shown, by what was asked.

    `told` is False of a drill begun before there was a register: what it was answered nobody wrote down.
    """

    salt: str = ""
    told: bool = True
    answers: dict[str, set[str]] = field(default_factory=dict)
    hints: int = 0
    over: bool = False

    def learn(self, line: Mapping[str, Any]) -> None:
        """Take in one line of the file."""
        match line:
            case {"salt": str(salt), "told": bool(told)}:
                self.salt, self.told = salt, told
            case {"asked": str(asked), "answered": str(answered)}:
                self.answers.setdefault(asked, set()).add(answered)
            case {"hint": int(n)}:
                self.hints = max(self.hints, n)
            case {"over": str()}:
                self.over = True


class Register:
    """The file beside a sheet. Several rigs may write it, one whole line at a time, each on disk at once."""

    def __init__(self, path: Path) -> None:
        """Open it, or begin it. Raises OSError where it cannot be written."""
        self.path = path
        try:
            self._file = files.create_new(path)
            files.sync_folder(path.parent)
        except FileExistsError:
            self._file = files.open_for_append(path)

    def close(self) -> None:
        """Let go of the file."""
        os.close(self._file)

    @contextmanager
    def alone(self) -> Iterator[None]:
        """Keep every other rig from writing meanwhile. Raises RigError where one never lets go."""
        deadline = time.monotonic() + WAIT_S
        while not lock.take(self._file):
            if time.monotonic() > deadline:
                raise RigError(f"Another rig has been writing {self.path} for {WAIT_S:g} s.")
            time.sleep(STEP_S)
        try:
            yield
        finally:
            lock.give_back(self._file)

    def add(self, hash: str, entry: Mapping[str, Any]) -> None:
        """Put one line about a drill on disk before this returns. Raises OSError; call it while `alone`.

        After a line that a crash or a full disk cut short it begins a new one.
        """
        size = os.lseek(self._file, 0, os.SEEK_END)
        torn = size > 0 and self._byte(size - 1) != b"\n"
        line = json.dumps({"drill": hash, **entry}, ensure_ascii=True) + "\n"
        left = memoryview((b"\n" if torn else b"") + line.encode())
        while left:
            left = left[os.write(self._file, left) :]
        os.fsync(self._file)

    def of(self, hash: str) -> Remembered | None:
        """What is remembered of a drill; None where its commitment was never given. Raises OSError.

        A line cut short tells nothing: what it was about was never answered.
        """
        found, named = Remembered(), hash.encode("ascii", "replace")
        with self.path.open("rb") as file:
            for data in file:
                line = _read(data) if named in data else None
                if line is not None and line.get("drill") == hash:
                    found.learn(line)
        return found if found.salt else None

    def _byte(self, at: int) -> bytes:
        os.lseek(self._file, at, os.SEEK_SET)
        return os.read(self._file, 1)


def key_of(request: Mapping[str, Any]) -> str:
    """What a request asked, as the register names it: a field, SETTING@ADDRESS, or the address of a code."""
    match request.get("do"):
        case "read":
            return str(request.get("field"))
        case "look" | "write":
            return f"{request.get('setting')}@{request.get('address')}"
        case "code":
            return f"code@{request.get('address')}"
        case _:
            return ""


def _read(data: bytes) -> dict[str, Any] | None:
    try:
        line = json.loads(data)
    except (ValueError, RecursionError):
        return None
    return line if isinstance(line, dict) else None
