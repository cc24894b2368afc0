"""What stands in the lists of the settings screen: settings as a person reads them, what each may be."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

from asleft.settings import SETTINGS, Setting, Settings
from asleft.settings.instruments import NONE, Library
from asleft.settings.schema import FIRST
from asleft.tui.menu import Item, Line

ANOTHER = "another"
"""The choice of an instrument that is typed."""
_LABEL = 16


def rows(settings: Settings, instruments: Callable[[], Library], *, first: bool) -> Iterator[Item]:
    """One row a setting; on a first start those that are asked then.

    Instruments are slow to list, and are listed only where a setting names one.
    """
    for setting in SETTINGS:
        if first and setting.key not in FIRST:
            continue
        value = _shown(setting, settings, instruments)
        text = f"{setting.label:<{_LABEL}}{value or 'not set'}"
        yield Item(setting.key, (Line(text, style="" if value else "dim"),))
    if not first:
        changed = ", ".join(f"{action} = {key}" for action, key in settings.keys.items())
        text = f"{'Key changes':<{_LABEL}}{changed or 'none; see [keys] in the file'}"
        yield Item("", (Line(text, style="dim"),))


def choices(setting: Setting, instruments: Library) -> Iterator[Item]:
    """What a setting may be; `is VALUE` is the id of each, and `ANOTHER` of what is typed."""
    if setting.kind != "instrument":
        for value, meaning in setting.choices:
            yield Item(f"is {value}", (Line(f"{value:<15}{meaning}" if value else meaning),))
        return
    yield Item("none", (Line(f"{NONE}: asked at every visit"),))
    for one in instruments.of(setting.role):
        whose = "yours" if one.own else "comes with asleft"
        yield Item(f"is {one.id}", (Line(one.name, whose), Line(f"  {one.described}", style="dim")))
    yield Item(ANOTHER, (Line("another one: type what it is"),))


def helped(setting: Setting | None, *, typing: bool) -> str:
    """What a setting is for, and an example of it."""
    if setting is None:
        return ""
    if typing and setting.kind == "instrument":
        return (
            "Its name, how accurate it is, and until when it is calibrated: "
            "My meter | voltage 0.5 % + 2 x 0.1 V | 2031-03-31"
        )
    return setting.help + (f" For instance {setting.example}." if setting.example else "")


def from_home(path: Path) -> str:
    """A path as people write it, `~` being home."""
    try:
        return str(Path("~") / path.relative_to(Path.home()))
    except (RuntimeError, ValueError):
        # A system that knows no home, or a path that is not under it.
        return str(path)


def _shown(setting: Setting, settings: Settings, instruments: Callable[[], Library]) -> str:
    text = settings.get(setting.key)
    if setting.kind == "instrument" and text:
        if "|" in text:
            return text.partition("|")[0].strip()
        named = (one.name for one in instruments().of(setting.role) if one.id == text)
        return next(named, f"{text}, not listed")
    return next((meaning or value for value, meaning in setting.choices if value and value == text), text)
