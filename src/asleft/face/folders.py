"""Folders in which a session may go on, where its own can no longer be written."""

from __future__ import annotations

import os
from pathlib import Path
from tempfile import gettempdir


def offered(present: Path) -> str:
    """The home folder, else the temporary one: the first that may be written and is not the present one."""
    for find in (Path.home, lambda: Path(gettempdir())):
        try:
            folder = find()
        except (OSError, RuntimeError):
            # A system that knows no home or has no room for temporary files; the next one is asked.
            continue
        if folder != present and folder.is_dir() and os.access(folder, os.W_OK | os.X_OK):
            return str(folder)
    return ""


def folder_of(typed: str) -> Path:
    """The folder that was typed, `~` being home. Raises ValueError where that is no folder's name."""
    text = typed.strip()
    if not text or not text.isprintable():
        raise ValueError("type the name of a folder that is there")
    try:
        return Path(text).expanduser().absolute()
    except RuntimeError as error:
        raise ValueError(f"{text} is no folder: {error}") from error
