"""`asleft settings`: what is remembered between visits, printed or set."""

from __future__ import annotations

from collections.abc import Sequence

from asleft.line.text import complain, dumped, plain, say, say_all
from asleft.settings import SETTINGS, Loaded, Setting, SettingError, checked, load, setting_of, update
from asleft.settings.instruments import known_instrument, library

FINE, WRONG = 0, 1
WIDTH = 26


def run(words: Sequence[str], *, as_json: bool) -> int:
    """Set what is given as KEY=VALUE, all of it or nothing, then print. Raises SettingError, NotSaved.

    Exits with 1 where the file has something wrong in it.
    """
    changes = dict(_pair(word) for word in words)
    if changes:
        saved = update(changes)
        if saved.kept:
            complain(f"the file as it was had something wrong in it and is kept as {saved.kept}.")
    loaded = load()
    if as_json:
        say(dumped(_mapping(loaded)))
    else:
        say_all(_lines(loaded))
    if loaded.notice:
        complain(loaded.notice)
        return WRONG
    return FINE


def _pair(word: str) -> tuple[str, str]:
    key, equals, value = word.partition("=")
    if not equals:
        raise SettingError("", repr(word), "KEY=VALUE, such as units=si; asleft settings shows the keys")
    setting = setting_of(key.strip())
    text = checked(setting, value)
    if setting.kind == "instrument":
        text = known_instrument(setting, text, library())
    return setting.key, text


def _mapping(loaded: Loaded) -> dict[str, object]:
    return {
        "file": str(loaded.file),
        "trouble": [str(error) for error in loaded.errors],
        "settings": {key: loaded.settings.get(key) or None for key in _keys(loaded)},
    }


def _keys(loaded: Loaded) -> list[str]:
    return [setting.key for setting in SETTINGS] + [f"keys.{action}" for action in loaded.settings.keys]


def _lines(loaded: Loaded) -> list[str]:
    lines = [plain(str(loaded.file)) + ("" if loaded.there else " (not written yet)"), ""]
    for key in _keys(loaded):
        setting = setting_of(key)
        lines.append(f"{key:<{WIDTH}}{plain(_value(loaded, setting))}")
    return lines


def _value(loaded: Loaded, setting: Setting) -> str:
    said = loaded.settings.said(setting.key)
    if said:
        return said
    return f"{setting.default} (unless you say otherwise)" if setting.default else "-"
