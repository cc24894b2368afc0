"""Texts that try to act: on markup, on a terminal, on the direction of reading, on the width of a cell."""

from __future__ import annotations

import itertools
import re
from collections.abc import Callable, Iterator
from contextlib import suppress
from typing import Any

import tomli
import tomli_w

from asleft.equipment.errors import EquipmentErrors
from asleft.equipment.load import load_bytes
from asleft.equipment.model import EquipmentFile

ESC = "\x1b"
VISIBLE = {
    "closing tag": "[/]",
    "tag": "[bold]x",
    "unclosed tag": "[#f00 on",
    "action": "[@click=app.quit]x[/]",
    "link": "[link=https://a.example]y[/link]",
    "escaped tag": "\\[bold]z\\",
    "markdown": "**x** `y` <b>| # [a](https://a.example)",
    "address": "https://a.example/x",
    "template": "{0} %s $name {{x}}",
    "CJK": "配線図を確認する",
    "full width": "ＡＢ［／］Ｃ",
    "hangul": "한글 각",
    "combining": "e\u0301a\u0308" + "o\u0302" * 6,
    "stacked": "Z" + "\u0351\u036b\u0343\u036a" * 5 + "A",
    "lone mark": "\u0301x",
    "thai": "กำลังไฟ",
    "devanagari": "निर्देश",
    "arabic": "قاطع التيار",
    "hebrew": "מפסק 30 A",
    "emoji": "🔥🔧",
    "heart with a selector": "❤\ufe0f x",
    "skin": "👍🏽 x",
    "flag": "🇩🇪 x",
    "key cap": "1\ufe0f\u20e3 x",
    "jamo": "\u1100\u1161\u11a8 x",
    "quotes": '"\'\'\'"""',
}
"""Text a person or a maker may write: it is shown as it is."""
ACTING = {
    "colour": f"{ESC}[31mred",
    "clear": f"{ESC}[2J{ESC}[H",
    "title": f"{ESC}]0;mine\x07",
    "link": f"{ESC}]8;;https://a.example{ESC}\\y{ESC}]8;;{ESC}\\",
    "device string": f"{ESC}P$qm{ESC}\\",
    "reset": f"{ESC}c",
    "C1": "\x9b31mred\x9d0;mine\x9c",
    "bell": "a\x07b",
    "backspace": "abc\x08\x08\x08xyz",
    "return": "abc\rxyz",
    "NUL": "a\0b",
    "tab": "a\tb",
    "delete": "a\x7fb",
    "override": "\u202egnp.exe",
    "isolate": "\u2067abc\u2069",
    "mark": "\u200fabc\u061c",
    "joiner": "👩\u200d🔧",
    "zero width": "a\u200bb\u2060c\ufeffd",
    "line separator": "a\u2028b\u2029c",
    "tags": "x\U000e0041\U000e0042",
    "private": "\ue000\U0010fffd",
    "unassigned": "\u0378\uffff",
}
"""Text with what a terminal obeys or nobody sees: refused as an entry, drawn with a sign in its place."""
LONG = "long " + "x[" * 5000
"""Ten thousand characters."""

Path = tuple[str, ...]
_QUANTITY = re.compile(r"-?[0-9.]+ [a-zA-Z]+[a-zA-Z0-9/]*$")


def texts(data: Any, path: Path = ()) -> Iterator[tuple[Path, str]]:
    """Every string of a file with the keys that lead to it."""
    if isinstance(data, dict):
        for key, value in data.items():
            yield from texts(value, (*path, key))
    elif isinstance(data, list):
        for value in data:
            yield from texts(value, path)
    elif isinstance(data, str):
        yield path, data


def replaced(data: Any, new: Callable[[Path, str], str], path: Path = ()) -> Any:
    """The same file with other strings."""
    if isinstance(data, dict):
        return {key: replaced(value, new, (*path, key)) for key, value in data.items()}
    if isinstance(data, list):
        return [replaced(value, new, path) for value in data]
    return new(path, data) if isinstance(data, str) else data


def hostile_unit(text: str, name: str = "hostile.toml") -> tuple[EquipmentFile, dict[str, str]]:
    """An equipment file with every string replaced that may be anything, and what stands for what.

    Which may be anything is found by trying: a kind of string that the loader refuses stays as it was.
    What refers to another string is replaced together with it.
    """
    data = tomli.loads(text)
    free: set[Path] = set()
    paths = dict.fromkeys(path for path, found in texts(data) if not _QUANTITY.match(found))
    groups = [{path} for path in paths]
    groups += [{path for path in paths if _names_a_value(path)}]
    for group in groups:
        with suppress(EquipmentErrors):
            load_bytes(_dumped(data, free | group, {}).encode(), name)
            free |= group
    made: dict[str, str] = {}
    return load_bytes(_dumped(data, free, made).encode(), name), made


def _names_a_value(path: Path) -> bool:
    """Whether a string is, or refers to, a value that a setting can hold."""
    if path[-1] in ("values", "factory") or path == ("code", "value"):
        return True
    return path[:3] == ("topic", "option", "set") or path[:4] == ("topic", "option", "when", "setting")


def _dumped(data: Any, free: set[Path], made: dict[str, str]) -> str:
    """The file with the free strings replaced; the same string is always replaced by the same."""
    turn = itertools.count()
    every = list(VISIBLE.values())

    def new(path: Path, old: str) -> str:
        if path not in free:
            return old
        if old not in made:
            n = next(turn)
            made[old] = f"{every[n % len(every)][:26].strip()}{n}"
        return made[old]

    return tomli_w.dumps(replaced(data, new))
