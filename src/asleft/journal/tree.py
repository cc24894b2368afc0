"""Every file that may be a session under a folder: no link is followed, no device or pipe is opened."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import suppress
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
        # Names alone are kept: a folder may hold very many.
        names: list[str] = []
        folders: list[str] = []
        with suppress(OSError), os.scandir(folder) as entries:
            for entry in entries:
                with suppress(OSError):
                    if entry.is_dir(follow_symlinks=False):
                        folders.append(entry.name)
                    elif entry.name.endswith(END) and entry.is_file(follow_symlinks=False):
                        names.append(entry.name)
        names.sort()
        yield from (folder / name for name in names)
        waiting += (folder / name for name in sorted(folders, reverse=True))
