"""The few things that are done to files, each once and in the order that survives a power cut."""

from __future__ import annotations

import errno
import os
from contextlib import ExitStack
from pathlib import Path

_FLAGS = os.O_RDWR | os.O_APPEND | getattr(os, "O_BINARY", 0) | getattr(os, "O_CLOEXEC", 0)
_PIECE = 1 << 20
LARGEST = 32_000_000
"""Bytes of the largest session file: some 50 000 entries. A larger one is not read, and none is made."""


def open_for_append(path: Path) -> int:
    """A descriptor that reads anywhere and writes at the end."""
    return os.open(path, _FLAGS)


def create_new(path: Path) -> int:
    """A descriptor of a file, its owner's alone, that did not exist before. Raises ``FileExistsError``."""
    return os.open(path, _FLAGS | os.O_CREAT | os.O_EXCL, 0o600)


def read_all(descriptor: int) -> bytes:
    """Every byte of an open file, as far as one more than the largest."""
    os.lseek(descriptor, 0, os.SEEK_SET)
    data = bytearray()
    while len(data) <= LARGEST and (piece := os.read(descriptor, _PIECE)):
        data += piece
    return bytes(data)


def too_large(path: Path) -> str:
    """Why a file is not taken for a session."""
    return f"{path} is no session file: it holds more than {LARGEST // 1_000_000} MB."


def sync_folder(folder: Path) -> None:
    """Make a new name in the folder last, where the system has a way to ask for it."""
    if os.name == "nt":
        return
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)


def keep_aside(path: Path, data: bytes) -> Path:
    """Write data beside ``path`` as the first free ``NAME.torn-N``, on disk before this returns.

    Raises ``OSError`` and leaves nothing behind if that fails.
    """
    number = 1
    while True:
        kept = path.with_name(f"{path.name}.torn-{number}")
        try:
            descriptor = create_new(kept)
            break
        except FileExistsError:
            number += 1
    with ExitStack() as unfinished:
        unfinished.callback(kept.unlink, missing_ok=True)
        try:
            if os.write(descriptor, data) != len(data):
                raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
            os.fsync(descriptor)
        finally:
            os.close(descriptor)
        sync_folder(path.parent)
        unfinished.pop_all()
    return kept
