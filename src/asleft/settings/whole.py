"""Small files of a person that several programs may write: one at a time, and never half."""

from __future__ import annotations

import os
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from asleft.settings.errors import NotSaved

WAIT_S, STEP_S = 3.0, 0.02
"""How long another program may take to save its settings."""


@contextmanager
def locked(path: Path) -> Iterator[None]:
    from asleft.journal import lock

    descriptor = os.open(path.with_name(f".{path.name}.lock"), os.O_RDWR | os.O_CREAT, 0o666)
    try:
        deadline = time.monotonic() + WAIT_S
        while not lock.take(descriptor):
            if time.monotonic() > deadline:
                raise NotSaved(f"Another program has been saving {path} for {WAIT_S:g} s; try again.")
            time.sleep(STEP_S)
        yield
    finally:
        # Closing gives the lock back too.
        os.close(descriptor)


def replace_whole(path: Path, data: bytes, *, mode: int | None = None) -> None:
    """Put data in the place of a file, or where none is: all of it or nothing, on disk before this returns.

    A file keeps the rights that it had, a new one is its owner's alone; `mode` gives others. Raises OSError.
    """
    from asleft.journal.files import sync_folder

    new = path.with_name(f".{path.name}.new-{os.getpid()}")
    with suppress(FileNotFoundError):
        new.unlink()
    try:
        write_new(new, data)
        if mode is not None:
            new.chmod(mode)
        elif path.exists():
            new.chmod(path.stat().st_mode & 0o777)
        new.replace(path)
    finally:
        new.unlink(missing_ok=True)
    sync_folder(path.parent)


def write_new(path: Path, data: bytes) -> None:
    """Write a file that is not there yet. Raises FileExistsError, and OSError with nothing left behind."""
    from asleft.journal.files import create_new

    descriptor = create_new(path)
    try:
        with memoryview(data) as view:
            done = 0
            while done < len(view):
                done += os.write(descriptor, view[done:])
        os.fsync(descriptor)
    except OSError:
        path.unlink(missing_ok=True)
        raise
    finally:
        os.close(descriptor)
