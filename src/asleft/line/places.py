"""Where a person's sessions and own equipment files live, who the person is, and what time it is."""

from __future__ import annotations

import getpass
from datetime import UTC, datetime

from asleft.settings.places import equipment_folder, sessions_folder

__all__ = ["equipment_folder", "person", "real_clock", "sessions_folder"]


def person() -> str:
    """The name of the login, for want of a better one."""
    try:
        return getpass.getuser()
    except (OSError, KeyError, ImportError):
        return "unknown"


def wall_zone() -> str:
    """What the clock on the wall here is ahead of UTC, as `+HH:MM`; nothing where that cannot be said."""
    ahead = f"{datetime.now().astimezone():%z}"
    return f"{ahead[:3]}:{ahead[3:5]}" if len(ahead) >= 5 else ""


def real_clock() -> str:
    """UTC now, as `YYYY-MM-DDTHH:MM:SSZ`."""
    return f"{datetime.now(UTC):%Y-%m-%dT%H:%M:%SZ}"
