"""Where things stand in a TOML text: line and column of chosen paths.

The text must be one that the TOML reader accepted: this scanner trusts its grammar and only keeps count.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Iterable
from typing import NamedTuple

import tomli

from asleft.equipment.errors import Path

_DEEPEST = 24
_BLANK = re.compile(r"[ \t\r\n]*(?:#[^\n]*[ \t\r\n]*)*")
_SPACE = re.compile(r"[ \t]*")
_BARE = re.compile(r"[A-Za-z0-9_-]+")
_SCALAR = re.compile(r"[^,\]}#\r\n]+")
_STOP = {'"': re.compile(r'["\\]'), "'": re.compile(r"'")}


class Place(NamedTuple):
    """A line and a column, both from 1, the column counted in characters."""

    line: int
    column: int


class Positions:
    """Places of the wanted paths, each as its key stands and as its value stands.

    A path names tables and keys by string and elements of arrays by number from 0. Only the wanted paths and
    the tables round them are kept, so that a large text costs no more memory than its errors.
    """

    def __init__(self, text: str, wanted: Iterable[Path]) -> None:
        self._wanted = {path[:length] for path in wanted for length in range(len(path) + 1)}
        self._keys: dict[Path, int] = {(): 0}
        self._values: dict[Path, int] = {(): 0}
        self._text = text
        self._starts = [0, *(match.end() for match in re.finditer("\n", text))]
        self._scan()

    def key(self, path: Path) -> Place:
        """Where the key of this path stands; where it has none, the nearest thing around it."""
        return self._nearest(path, self._keys)

    def value(self, path: Path) -> Place:
        """Where the value of this path begins; where there is none, the nearest thing around it."""
        return self._nearest(path, self._values)

    def _nearest(self, path: Path, known: dict[Path, int]) -> Place:
        while path not in known:
            path, known = path[:-1], self._keys
        offset = known[path]
        line = bisect_right(self._starts, offset)
        return Place(line, offset - self._starts[line - 1] + 1)

    def _note(self, path: Path, key: int, value: int) -> None:
        if path in self._wanted:
            self._keys.setdefault(path, key)
            self._values.setdefault(path, value)

    def _scan(self) -> None:
        text, at = self._text, 0
        base: Path = ()
        counts: dict[Path, int] = {}
        while (at := self._blank(at)) < len(text):
            if text[at] == "[":
                base, at = self._header(at, counts)
            else:
                at = self._pair(at, base, 0)

    def _header(self, at: int, counts: dict[Path, int]) -> tuple[Path, int]:
        start = at
        many = self._text.startswith("[[", at)
        parts, at = self._key(at + (2 if many else 1))
        path: Path = ()
        for index, part in enumerate(parts):
            path += (part,)
            last = index == len(parts) - 1
            if last and many:
                self._note(path, start, start)
                counts[path] = counts.get(path, 0) + 1
            self._note(path, start, start)
            if path in counts:
                path += (counts[path] - 1,)
                self._note(path, start, start)
        return path, self._space(at) + (2 if many else 1)

    def _pair(self, at: int, base: Path, depth: int) -> int:
        start = at
        parts, at = self._key(at)
        at = self._space(self._space(at) + 1)
        path = base
        for part in parts[:-1]:
            path += (part,)
            self._note(path, start, start)
        path += (parts[-1],)
        self._note(path, start, at)
        return self._value(at, path, depth + 1)

    def _key(self, at: int) -> tuple[list[str], int]:
        parts: list[str] = []
        while True:
            at = self._space(at)
            bare = _BARE.match(self._text, at)
            if bare:
                parts.append(bare[0])
                at = bare.end()
            else:
                end = self._string(at)
                parts.append(str(tomli.loads(f"k = {self._text[at:end]}")["k"]))
                at = end
            at = self._space(at)
            if not self._text.startswith(".", at):
                return parts, at
            at += 1

    def _value(self, at: int, path: Path, depth: int) -> int:
        first = self._text[at]
        if first in "\"'":
            return self._string(at)
        if first in "[{":
            return self._nested(at, path, depth)
        scalar = _SCALAR.match(self._text, at)
        return scalar.end() if scalar else at + 1

    def _nested(self, at: int, path: Path, depth: int) -> int:
        if depth > _DEEPEST or path not in self._wanted:
            return self._past(at)
        array = self._text[at] == "["
        at, index = at + 1, 0
        while self._text[(at := self._blank(at))] not in "]}":
            if self._text[at] == ",":
                at += 1
            elif array:
                self._note((*path, index), at, at)
                at = self._value(at, (*path, index), depth + 1)
                index += 1
            else:
                at = self._pair(at, path, depth)
        return at + 1

    def _past(self, at: int) -> int:
        """Skip a whole array or inline table, however deep."""
        open_now = 0
        while True:
            at = self._blank(at)
            sign = self._text[at]
            if sign in "\"'":
                at = self._string(at)
                continue
            open_now += (sign in "[{") - (sign in "]}")
            at += 1
            if open_now == 0:
                return at

    def _string(self, at: int) -> int:
        text, quote = self._text, self._text[at]
        end = quote * 3 if text.startswith(quote * 3, at) else quote
        at += len(end)
        while match := _STOP[quote].search(text, at):
            if match[0] == "\\":
                at = match.start() + 2
            elif text.startswith(end, match.start()):
                at = match.start() + len(end)
                spare = 2 if len(end) == 3 else 0
                while spare and text.startswith(quote, at):
                    at, spare = at + 1, spare - 1
                return at
            else:
                at = match.start() + 1
        return len(text)

    def _blank(self, at: int) -> int:
        match = _BLANK.match(self._text, at)
        return match.end() if match else at

    def _space(self, at: int) -> int:
        match = _SPACE.match(self._text, at)
        return match.end() if match else at
