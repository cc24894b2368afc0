"""Reading a session file that somebody else may be writing."""

from __future__ import annotations

import stat
import time
from collections.abc import Callable
from pathlib import Path

from asleft.journal import files
from asleft.journal.classify import Chain, Contents, classify
from asleft.journal.errors import NotASession, said

LOOK_AGAIN_S = 0.1
"""How long an append may show half written to a reader."""


def read(path: Path, *, wait: Callable[[float], object] = time.sleep) -> Contents:
    """What a session file holds now. Takes no lock, and changes nothing.

    A tail may be an append under way, so it is looked at again after 100 ms. Raises ``NotASession`` for
    anything else than a session file and ``JournalError`` for one that cannot be read.
    """
    contents = classify(_bytes_of(path))
    if contents.chain is Chain.TORN:
        wait(LOOK_AGAIN_S)
        contents = classify(_bytes_of(path))
    return contents


def _bytes_of(path: Path) -> bytes:
    try:
        if not stat.S_ISREG(path.stat().st_mode):
            raise NotASession(f"{path} is not a file.")
        with path.open("rb") as file:
            data = file.read(files.LARGEST + 1)
    except OSError as problem:
        raise said(problem, path, "read it") from problem
    if len(data) > files.LARGEST:
        raise NotASession(files.too_large(path))
    return data
