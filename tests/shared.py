"""What takes long to make is made once a run of the tests and shared by all its processes, as a file.

The folder is that of one run alone, so nothing in it was made by other code.
"""

from __future__ import annotations

import hashlib
import os
import pickle
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TypeVar

from asleft.journal.lock import give_back, take

Kept = TypeVar("Kept")
LOOK_S = 0.02
FOLDER = "ASLEFT_TESTS_SHARED"
"""Names the folder of a run to all its processes."""


def share_in(folder: Path) -> None:
    """Share in this folder from now on; every process of a run does."""
    folder.mkdir(exist_ok=True)
    os.environ[FOLDER] = str(folder)


def made_once(key: str, make: Callable[[], bytes], *, wait: bool = True) -> bytes:
    """The bytes of a key: made by the first who asks in a run, while others wait for them.

    Without `wait`, empty where another is making them.
    """
    path = _folder() / hashlib.sha256(key.encode()).hexdigest()
    if not path.exists():
        with _held(path.with_suffix(".lock"), wait=wait) as held:
            if held and not path.exists():
                made = make()
                part = path.with_suffix(".part")
                part.write_bytes(made)
                part.replace(path)
    return path.read_bytes() if wait or path.exists() else b""


def all_kept_once(makes: Mapping[str, Callable[[], Kept]]) -> list[Kept]:
    """The same for many: what another process is making just now is waited for at the end."""
    for key, make in makes.items():
        made_once(key, lambda make=make: pickle.dumps(make()), wait=False)
    return [kept_once(key, make) for key, make in makes.items()]


def kept_once(key: str, make: Callable[[], Kept]) -> Kept:
    """The same for anything that can be pickled."""
    kept: Kept = pickle.loads(made_once(key, lambda: pickle.dumps(make())))
    return kept


def _folder() -> Path:
    named = os.environ.get(FOLDER)
    return Path(named) if named else Path(_own().name)


@cache
def _own() -> TemporaryDirectory[str]:
    """A folder of this process, for a command that is no run of the tests."""
    return TemporaryDirectory()


@contextmanager
def _held(path: Path, *, wait: bool) -> Iterator[bool]:
    """Nobody else is between, if that is so; whoever ends lets go."""
    descriptor = os.open(path, os.O_RDWR | os.O_CREAT, 0o600)
    try:
        while not (held := take(descriptor)) and wait:
            time.sleep(LOOK_S)
        try:
            yield held
        finally:
            if held:
                give_back(descriptor)
    finally:
        os.close(descriptor)
