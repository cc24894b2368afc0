"""The settings file itself: read as it stands, changed under a lock, and never half written."""

from __future__ import annotations

import os
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import NamedTuple

from asleft.settings.errors import NotSaved, SettingError
from asleft.settings.places import settings_file
from asleft.settings.reading import LARGEST, read
from asleft.settings.schema import Settings, checked, setting_of

WAIT_S, STEP_S = 3.0, 0.02
"""How long another program may take to save its settings."""


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
        with _locked(path):
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
        _replace(path, text.encode())
    return Saved(settings, kept)


def _simply(old: bytes, wanted: Mapping[str, str], settings: Settings) -> str | None:
    """The old text with only its changed lines touched; None where that would not say what is wanted."""
    from asleft.settings.editing import edited

    text = edited(old.decode("utf-8"), wanted)
    return text if read(text.encode(), "") == (settings, ()) else None


@contextmanager
def _locked(path: Path) -> Iterator[None]:
    from asleft.journal import lock

    descriptor = os.open(path.with_name(f".{path.name}.lock"), os.O_RDWR | os.O_CREAT, 0o666)
    try:
        deadline = time.monotonic() + WAIT_S
        while not lock.take(descriptor):
            if time.monotonic() > deadline:
                raise NotSaved(f"Another program has been saving {path} for {WAIT_S:g} s; try again.")
            time.sleep(STEP_S)
        yield
    finally:
        # Closing gives the lock back too.
        os.close(descriptor)


def _kept_aside(path: Path, data: bytes) -> Path:
    number = 1
    while True:
        kept = path.with_name(f"{path.name}.old-{number}")
        try:
            _write_new(kept, data)
        except FileExistsError:
            number += 1
            continue
        return kept


def _replace(path: Path, data: bytes) -> None:
    from asleft.journal.files import sync_folder

    new = path.with_name(f".{path.name}.new-{os.getpid()}")
    with suppress(FileNotFoundError):
        new.unlink()
    try:
        _write_new(new, data)
        with suppress(FileNotFoundError):
            new.chmod(path.stat().st_mode & 0o777)
        new.replace(path)
    finally:
        new.unlink(missing_ok=True)
    sync_folder(path.parent)


def _write_new(path: Path, data: bytes) -> None:
    from asleft.journal.files import create_new

    descriptor = create_new(path)
    try:
        with memoryview(data) as view:
            done = 0
            while done < len(view):
                done += os.write(descriptor, view[done:])
        os.fsync(descriptor)
    except OSError:
        path.unlink(missing_ok=True)
        raise
    finally:
        os.close(descriptor)
