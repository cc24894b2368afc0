"""Which rig each drill of this machine was begun with, so that it can be gone on with."""

from __future__ import annotations

import json
from pathlib import Path

from asleft.settings.places import state_folder
from asleft.settings.whole import locked, replace_whole

MOST = 500
"""Drills that are remembered; the oldest are forgotten."""
_LARGEST = 2_000_000


def _file() -> Path:
    return state_folder() / "drills.json"


def command_of(session_id: str) -> str:
    """The command of a drill's rig; empty where nothing remembers it."""
    found = _read().get(session_id, "")
    return found if isinstance(found, str) else ""


def remember(session_id: str, command: str) -> None:
    """Keep the command of a drill's rig. Raises NotSaved, OSError."""
    path = _file()
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    with locked(path):
        known = {**_read(), session_id: command}
        replace_whole(path, json.dumps(dict(list(known.items())[-MOST:])).encode())


def _read() -> dict[str, object]:
    path = _file()
    try:
        if path.stat().st_size > _LARGEST:
            return {}
        found = json.loads(path.read_text("utf-8"))
    except (OSError, ValueError, RecursionError):
        # A file that is not there or spoiled: the command can be named by hand, and the message says so.
        return {}
    return found if isinstance(found, dict) else {}
