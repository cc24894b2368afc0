"""Changing a settings file that a person may have edited: only the lines of what changes are touched."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping

from asleft.settings.schema import Settings

_TABLE = re.compile(r"\s*\[\s*([A-Za-z0-9_-]+)\s*\]\s*(?:#.*)?")
_ENTRY = re.compile(
    r"""(?P<head>\s*(?P<key>[A-Za-z0-9_-]+|"[^"\\]*"|'[^']*')\s*=\s*)"""
    r"""(?P<value>"(?:[^"\\]|\\.)*"|'[^']*')(?P<rest>\s*(?:#.*)?)"""
)
_BARE = re.compile(r"[A-Za-z0-9_-]+")
HEAD = "# What asleft remembers between visits. `asleft settings` prints and sets it.\n"


def fresh(settings: Settings) -> str:
    """A whole file that says these settings."""
    return edited(HEAD, dict(settings.every()))


def edited(text: str, changes: Mapping[str, str]) -> str:
    """The text with these dotted keys changed, an empty value taking the line out. All else stays.

    It is line by line and knows only entries of one line: whoever calls reads the outcome and compares.

    >>> edited('# mine\\nunits = "ip"  # at home\\n', {"units": "si"})
    '# mine\\nunits = "si"  # at home\\n'
    """
    lines = text.splitlines(keepends=True)
    if lines and not lines[-1].endswith("\n"):
        lines[-1] += "\n"
    for key, value in changes.items():
        table, _, name = key.rpartition(".")
        _change(lines, table, name, value)
    return "".join(lines)


def _change(lines: list[str], table: str, name: str, value: str) -> None:
    now, last, seen = "", -1, table == ""
    for at, line in enumerate(lines):
        if header := _TABLE.fullmatch(line.rstrip("\r\n")):
            now = header[1]
            if now == table:
                seen, last = True, at
            continue
        entry = _ENTRY.fullmatch(line.rstrip("\r\n"))
        if entry is None or now != table:
            continue
        if entry["key"].strip("\"'") == name:
            end = line[len(line.rstrip("\r\n")) :]
            lines[at : at + 1] = [f"{entry['head']}{_string(value)}{entry['rest']}{end}"] if value else []
            return
        last = at
    if not value:
        return
    written = f"{name if _BARE.fullmatch(name) else _string(name)} = {_string(value)}\n"
    if not seen:
        lines += [f"\n[{table}]\n", written]
    elif last >= 0:
        lines.insert(last + 1, written)
    else:
        first = next((at for at, line in enumerate(lines) if line.lstrip().startswith("[")), len(lines))
        lines.insert(first, written)


def _string(text: str) -> str:
    """A TOML basic string; of printable text, JSON's is one."""
    return json.dumps(text, ensure_ascii=False)
