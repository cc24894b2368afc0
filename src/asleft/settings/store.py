"""The settings file itself: read as it stands, changed under a lock, and never half written."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import NamedTuple

from asleft.settings.errors import NotSaved, SettingError
from asleft.settings.places import settings_file
from asleft.settings.reading import LARGEST, read
from asleft.settings.schema import Settings, checked, setting_of
from asleft.settings.whole import locked, replace_whole, write_new


class Loaded(NamedTuple):
    """Settings as far as the file is right; what is wrong with it; whether there is one at all."""

    settings: Settings
    file: Path
    there: bool
    errors: tuple[SettingError, ...] = ()

    @property
    def notice(self) -> str:
        """What is wrong with the file in one sentence; empty where nothing is."""
        if not self.errors:
            return ""
        more = f" (and {len(self.errors) - 1} more)" if len(self.errors) > 1 else ""
        return f"{self.errors[0]}{more}; what is wrong is not used, and the file stays as it is."


class Saved(NamedTuple):
    """Settings as they now are on disk, and where a file that could not simply be changed is kept."""

    settings: Settings
    kept: Path | None = None


def load(file: Path | None = None) -> Loaded:
    """The settings of a person. Never raises: what cannot be read is said in `errors`."""
    path = file or settings_file()
    try:
        with path.open("rb") as opened:
            data = opened.read(LARGEST + 1)
    except FileNotFoundError:
        return Loaded(Settings(), path, False)
    except OSError as error:
        why = (error.strerror or str(error)).lower()
        wrong = SettingError("", f"no way to read it ({why})", "a file you may read", file=str(path))
        return Loaded(Settings(), path, True, (wrong,))
    settings, errors = read(data, str(path))
    return Loaded(settings, path, True, errors)


def update(changes: Mapping[str, str], file: Path | None = None, *, mend: bool = True) -> Saved:
    """Change settings by dotted key on top of what the file says by now, and put it on disk whole.

    An empty text forgets a setting. A file with something wrong in it is kept aside first, or with `mend` off
    left alone. Raises SettingError for a change that is wrong, NotSaved where it cannot be written.
    """
    wanted = {key: checked(setting_of(key), text) for key, text in changes.items()}
    path = file or settings_file()
    try:
        path = path.resolve()
        path.parent.mkdir(parents=True, exist_ok=True)
        with locked(path):
            return _changed(path, wanted, mend)
    except NotSaved:
        raise
    except (OSError, RuntimeError) as error:
        why = (getattr(error, "strerror", None) or str(error)).lower()
        raise NotSaved(f"Settings could not be saved in {path}: {why}.") from error


def _changed(path: Path, wanted: Mapping[str, str], mend: bool) -> Saved:
    from asleft.settings.editing import fresh

    before = load(path)
    if before.errors and not mend:
        raise NotSaved(
            f"Not remembered, since the settings file has something wrong in it: {before.errors[0]}."
        )
    settings = before.settings
    for key, text in wanted.items():
        settings = settings.having(key, text)
    old = path.read_bytes() if before.there else b""
    simple = None if before.errors or not before.there else _simply(old, wanted, settings)
    kept = _kept_aside(path, old) if before.there and simple is None else None
    text = fresh(settings) if simple is None else simple
    if text.encode() != old or not before.there:
        replace_whole(path, text.encode())
    return Saved(settings, kept)


def _simply(old: bytes, wanted: Mapping[str, str], settings: Settings) -> str | None:
    """The old text with only its changed lines touched; None where that would not say what is wanted."""
    from asleft.settings.editing import edited

    text = edited(old.decode("utf-8"), wanted)
    return text if read(text.encode(), "") == (settings, ()) else None


def _kept_aside(path: Path, data: bytes) -> Path:
    number = 1
    while True:
        kept = path.with_name(f"{path.name}.old-{number}")
        try:
            write_new(kept, data)
        except FileExistsError:
            number += 1
            continue
        return kept
