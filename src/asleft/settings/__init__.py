"""What is remembered between visits: one TOML file that a person can read, edit and carry away.

Reading it needs neither screen nor models nor units, so that the home screen does not wait for them.
"""

from asleft.settings.errors import NotSaved, SettingError
from asleft.settings.places import (
    config_folder,
    data_folder,
    equipment_folder,
    sessions_folder,
    settings_file,
    state_folder,
)
from asleft.settings.schema import SETTINGS, Setting, Settings, checked, setting_of
from asleft.settings.store import Loaded, Saved, load, update

__all__ = [
    "SETTINGS",
    "Loaded",
    "NotSaved",
    "Saved",
    "Setting",
    "SettingError",
    "Settings",
    "checked",
    "config_folder",
    "data_folder",
    "equipment_folder",
    "load",
    "sessions_folder",
    "setting_of",
    "settings_file",
    "state_folder",
    "update",
]
