"""What is wrong with an equipment file, said so that a person can mend it."""

from __future__ import annotations

import datetime
import difflib
import re
from collections.abc import Iterable
from typing import NamedTuple

LONGEST = 60
"""Characters of a foreign text that a message shows."""

Path = tuple[str | int, ...]
"""Where something stands in a file: tables and keys by name, elements of arrays by number from 0."""

_BARE = re.compile(r"[A-Za-z0-9_-]+")


def printable(text: str, longest: int = LONGEST) -> str:
    """Shorten a foreign text and escape all that is not plainly printable, so that it cannot act on a screen.

    >>> printable("a\\x1b[31mb")
    'a\\\\x1b[31mb'
    """
    cut = text[:longest]
    safe = "".join(
        sign if sign.isprintable() else sign.encode("unicode_escape", "backslashreplace").decode("ascii")
        for sign in cut
    )
    return safe if len(text) <= longest else f"{safe}…"


def described(found: object) -> str:
    """Say what a value of the file is, as a person would find it there."""
    if found is None:
        return "nothing"
    if isinstance(found, str):
        return f'"{printable(found)}"'
    if isinstance(found, bool):
        return "true" if found else "false"
    if isinstance(found, int):
        return str(found) if abs(found) < 10**18 else "a very long number"
    if isinstance(found, float):
        return repr(found)
    if isinstance(found, datetime.date | datetime.time):
        return f"the date or time {found.isoformat()}"
    if isinstance(found, list | tuple):
        return "an empty list" if not found else f"a list of {len(found)}"
    return "a table"


def dotted(path: Iterable[str | int]) -> str:
    """Name a path as a person counts: tables by name, elements of arrays from 1.

    >>> dotted(("supply", 0, "nominal"))
    'supply.1.nominal'
    """
    parts = []
    for part in path:
        if isinstance(part, int):
            parts.append(str(part + 1))
        elif _BARE.fullmatch(part) and len(part) <= LONGEST:
            parts.append(part)
        else:
            parts.append(f'"{printable(part)}"')
    return ".".join(parts)


def nearest(found: str, known: Iterable[str]) -> str:
    """Name what was probably meant, else all that there is.

    >>> nearest("nominel", ["lowest", "nominal"])
    'nominal'
    """
    names = list(dict.fromkeys(known))
    close = difflib.get_close_matches(found[:80], names, n=1, cutoff=0.6)
    if close:
        return printable(close[0])
    if not names:
        return "nothing here, since there are none"
    listed = ", ".join(printable(name) for name in names[:20])
    return f"one of {listed}" + (", …" if len(names) > 20 else "")


class Complaint(NamedTuple):
    """One thing wrong at a path; ``at_key`` where the key itself is the trouble."""

    path: Path
    found: str
    expected: str
    at_key: bool = False


class EquipmentError(NamedTuple):
    """One thing wrong: where it stands (line and column from 1), what was found and what would be right."""

    file: str
    line: int
    column: int
    field: str
    found: str
    expected: str

    def said(self, label: str = "") -> str:
        """One line for a person: the place, a label where there is one, the field, found and expected."""
        where = f"{printable(self.file, 200)}:{self.line}:{self.column}"
        parts = [part for part in (where, label, self.field) if part]
        return f"{': '.join(parts)}: found {self.found}, expected {self.expected}"

    def __str__(self) -> str:
        return self.said()


class EquipmentErrors(ValueError):
    """Everything wrong with one file, in the order of the file."""

    def __init__(self, errors: Iterable[EquipmentError]) -> None:
        self.errors = tuple(errors)
        super().__init__(self.errors)

    def __str__(self) -> str:
        return "\n".join(str(error) for error in self.errors)
