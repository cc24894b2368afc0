"""The session files of a folder, newest first, each with a glance at what it holds."""

from __future__ import annotations

import os
import stat
from pathlib import Path
from typing import NamedTuple

from asleft.face.glance import Glance, glance

MOST = 40
"""More than a person looks through: the newest are looked at."""
LARGEST = 20_000_000
"""Bytes of the largest file that a list looks into."""


class Listed(NamedTuple):
    """One file: when it was last written (seconds since 1970) and what it seems to hold."""

    path: Path
    written_s: float
    glance: Glance

    @property
    def open(self) -> bool:
        """Whether it can be gone on with."""
        return not self.glance.trouble and not self.glance.outcome


class Listing(NamedTuple):
    """The newest files of a folder, how many older ones there are, and why it cannot be listed."""

    listed: tuple[Listed, ...] = ()
    older: int = 0
    trouble: str = ""


def sessions(folder: Path, most: int = MOST) -> Listing:
    """The newest session files of a folder. A folder that is not there has none. Never raises OSError."""
    found: list[tuple[float, Path]] = []
    try:
        with os.scandir(folder) as entries:
            for entry in entries:
                if entry.name.endswith(".toml"):
                    found.append((_written(entry), Path(entry.path)))
    except FileNotFoundError:
        return Listing()
    except OSError as error:
        return Listing(trouble=f"{(error.strerror or str(error)).lower()}: {folder}")
    found.sort(key=lambda item: (-item[0], item[1].name))
    return Listing(
        tuple(Listed(path, at, _look(path)) for at, path in found[:most]), max(0, len(found) - most)
    )


def _written(entry: os.DirEntry[str]) -> float:
    try:
        return entry.stat().st_mtime
    except OSError:
        # A link to nowhere, or gone since: it is listed with what opening it says.
        return 0.0


def _look(path: Path) -> Glance:
    try:
        found = path.stat()
        if not stat.S_ISREG(found.st_mode):
            return Glance(trouble="this is not a file")
        if found.st_size > LARGEST:
            return Glance(trouble=f"{found.st_size // 1_000_000} MB are too large for a session")
        return glance(path.read_bytes())
    except OSError as error:
        return Glance(trouble=(error.strerror or str(error)).lower())
