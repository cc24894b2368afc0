"""Where a person's sessions and own equipment files live, who the person is, and what time it is."""

from __future__ import annotations

import getpass
from datetime import UTC, datetime
from pathlib import Path


def own_folder() -> Path:
    """The folder for a person's data on this system."""
    from platformdirs import user_data_path

    return user_data_path("asleft", appauthor=False)


def sessions_folder() -> Path:
    """Where sessions go unless another folder is named."""
    return own_folder() / "sessions"


def equipment_folder() -> Path:
    """Where a person's own equipment files are looked for."""
    return own_folder() / "equipment"


def person() -> str:
    """The name of the login, for want of a better one."""
    try:
        return getpass.getuser()
    except (OSError, KeyError, ImportError):
        return "unknown"


def real_clock() -> str:
    """UTC now, as `YYYY-MM-DDTHH:MM:SSZ`."""
    return f"{datetime.now(UTC):%Y-%m-%dT%H:%M:%SZ}"
