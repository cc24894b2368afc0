"""Where the program keeps things: the system's usual folders, or one folder that ASLEFT_HOME names."""

from __future__ import annotations

import os
from pathlib import Path

HOME = "ASLEFT_HOME"
"""The variable that names one folder for settings, sessions, own equipment and drafts together."""


def _named() -> Path | None:
    """The folder that ASLEFT_HOME names, `~` being home; None where it is not set or empty."""
    told = os.environ.get(HOME, "")
    if not told:
        return None
    try:
        return Path(told).expanduser().absolute()
    except RuntimeError:
        # A home that the system does not know stays a name like any other.
        return Path(told).absolute()


def config_folder() -> Path:
    """Where settings are kept."""
    from platformdirs import user_config_path

    return _named() or user_config_path("asleft", appauthor=False)


def data_folder() -> Path:
    """Where a person's sessions and own equipment are kept."""
    from platformdirs import user_data_path

    return _named() or user_data_path("asleft", appauthor=False)


def state_folder() -> Path:
    """Where what was typed and not yet entered is kept."""
    from platformdirs import user_state_path

    return _named() or user_state_path("asleft", appauthor=False)


def cache_folder() -> Path:
    """Where what can be reckoned again is kept."""
    from platformdirs import user_cache_path

    return _named() or user_cache_path("asleft", appauthor=False)


def settings_file() -> Path:
    """The file of settings, whether it is there or not."""
    return config_folder() / "settings.toml"


def sessions_folder() -> Path:
    """Where sessions go unless another folder is named."""
    return data_folder() / "sessions"


def equipment_folder() -> Path:
    """Where a person's own equipment files and instruments are looked for."""
    return data_folder() / "equipment"
