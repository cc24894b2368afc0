"""Every file that may be a session under a folder: no link is followed, no device or pipe is opened."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

END = ".toml"


def session_files(top: Path) -> Iterator[Path]:
    """Regular files that end in `.toml` under a folder, folder by folder in order of their names.

    `top` itself may be a file or a link. What cannot be listed, or vanishes meanwhile, is passed over; a
    folder that is not there has none.
    """
    if top.is_file():
        yield top
        return
    waiting = [top]
    while waiting:
        folder = waiting.pop()
        try:
            with os.scandir(folder) as entries:
                found = sorted(entries, key=lambda entry: entry.name)
        except OSError:
            continue
        folders = []
        for entry in found:
            try:
                if entry.is_dir(follow_symlinks=False):
                    folders.append(Path(entry.path))
                elif entry.name.endswith(END) and entry.is_file(follow_symlinks=False):
                    yield Path(entry.path)
            except OSError:
                continue
        waiting += reversed(folders)
