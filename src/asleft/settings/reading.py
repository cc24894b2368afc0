"""From the bytes of a settings file to settings, with the place of everything that is wrong."""

from __future__ import annotations

from collections.abc import Iterator

import tomli

from asleft.settings.errors import SettingError
from asleft.settings.schema import SETTINGS, Settings, checked, setting_of

LARGEST = 100_000
"""Bytes of the largest file that is read: far above any real one."""
TABLES = ("instruments", "keys")


def read(data: bytes, file: str) -> tuple[Settings, tuple[SettingError, ...]]:
    """What a file says as far as it is right, and everything wrong with it in the order of the file."""
    try:
        text = _text(data, file)
        raw = tomli.loads(text)
    except tomli.TOMLDecodeError as error:
        what = f"a line that is not TOML ({_short(error.msg)})"
        return Settings(), (
            SettingError("", what, 'lines such as units = "si"', file=file, line=error.lineno),
        )
    except (RecursionError, ValueError) as error:
        if not isinstance(error, SettingError):
            error = SettingError("", _short(str(error)), "plain values", file=file, line=1)
        return Settings(), (error,)
    settings, errors = Settings(), []
    for path, found in _values(raw):
        key = ".".join(path)
        try:
            if len(path) == 1 and path[0] in TABLES:
                raise _no_table(path[0], found)
            settings = settings.having(key, checked(setting_of(key), found))
        except SettingError as error:
            errors.append((path, error))
    return settings, _placed(errors, text, file) if errors else ()


def _text(data: bytes, file: str) -> str:
    if len(data) > LARGEST:
        raise SettingError("", f"a file of {len(data)} bytes", f"at most {LARGEST}", file=file)
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        byte = f"the byte 0x{data[error.start]:02x}"
        raise SettingError("", byte, "text in UTF-8", file=file, line=line) from None
    if text.startswith("\ufeff"):
        raise SettingError("", "a byte order mark", "UTF-8 without one", file=file, line=1)
    return text


def _values(raw: dict[str, object]) -> Iterator[tuple[tuple[str, ...], object]]:
    for name, value in raw.items():
        if name in TABLES and isinstance(value, dict):
            yield from (((name, str(inner)), found) for inner, found in value.items())
        else:
            yield (name,), value


def _no_table(name: str, found: object) -> SettingError:
    from asleft.equipment.errors import described

    example = next((s.key for s in SETTINGS if s.key.startswith(f"{name}.")), "keys.next").partition(".")[2]
    return SettingError(name, described(found), f'a table [{name}] with lines such as {example} = "…"')


def _placed(
    errors: list[tuple[tuple[str, ...], SettingError]], text: str, file: str
) -> tuple[SettingError, ...]:
    from asleft.equipment.positions import Positions

    places = Positions(text, (path for path, _ in errors))
    return tuple(sorted((e.at(file, places.key(path).line) for path, e in errors), key=lambda e: e.line))


def _short(text: str) -> str:
    from asleft.equipment.errors import printable

    return printable(text, 80)
