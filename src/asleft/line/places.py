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


def real_clock() -> str:
    """UTC now, as `YYYY-MM-DDTHH:MM:SSZ`."""
    return f"{datetime.now(UTC):%Y-%m-%dT%H:%M:%SZ}"
