"""What the wizard writes: plain lines that fit, in whatever characters the stream has."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Iterator
from typing import TextIO

from asleft.line.text import plain

WIDTH = 78
"""Characters in a line; only a file's name is never broken."""
PROMPT = "> "

_SPELLED = {
    "°": "deg",
    "±": "+/-",
    "×": "x",
    "·": "-",
    "→": "->",
    "≤": "<=",
    "≥": ">=",
    "\N{GREEK CAPITAL LETTER OMEGA}": "ohm",
    "\N{GREEK SMALL LETTER MU}": "u",
    "–": "-",
    "—": "-",
    "…": "...",
    "“": '"',
    "”": '"',
    "„": '"',
    "‘": "'",
    "’": "'",
    "Δ": "delta ",
    "√": "root ",
    "ß": "ss",
    "ø": "o",
    "Ø": "O",
    "æ": "ae",
    "Æ": "Ae",
}
"""Signs of the trade and of our own words, spelled out for a stream that lacks them."""


def spelled(text: str, encoding: str) -> str:
    """Text in the characters of an encoding: signs spelled out, accents left off, the rest question marks.

    >>> spelled("12.0 °F ± 0.5", "ascii"), spelled("Höhe 3", "ascii"), spelled("12.0 °F", "utf-8")
    ('12.0 degF +/- 0.5', 'Hohe 3', '12.0 °F')
    """
    try:
        text.encode(encoding)
    except UnicodeEncodeError:
        return "".join(_letter(character, encoding) for character in text)
    return text


def _letter(character: str, encoding: str) -> str:
    base = "".join(c for c in unicodedata.normalize("NFKD", character) if not unicodedata.combining(c))
    for spelling in (character, _SPELLED.get(character) or _SPELLED.get(base, ""), base):
        try:
            if spelling.encode(encoding):
                return spelling
        except UnicodeEncodeError:
            continue
    return "?"


def _cells(text: str) -> int:
    """Columns that a text takes on a terminal."""
    if text.isascii():
        return len(text)
    return sum(
        0 if unicodedata.combining(c) else 2 if unicodedata.east_asian_width(c) in "WF" else 1 for c in text
    )


def _fitted(text: str, first: str, later: str) -> Iterator[str]:
    """Lines of whole words that are no wider than the page; a word wider than a line is broken."""
    line, empty = first, True
    for word in text.split():
        if not empty and _cells(line) + 1 + _cells(word) <= WIDTH:
            line += f" {word}"
            continue
        if not empty:
            yield line
            line = later
        while _cells(line) + _cells(word) > WIDTH:
            room = WIDTH - _cells(line)
            most = next(n for n in range(len(word), 0, -1) if _cells(word[:n]) <= room)
            yield line + word[:most]
            line, word = later, word[most:]
        line, empty = line + word, False
    if not empty:
        yield line


class Paper:
    """Writes lines to a stream: no colour, no cursor movement, nothing that acts on a terminal."""

    def __init__(self, stream: TextIO) -> None:
        self._stream = stream
        self._encoding = getattr(stream, "encoding", None) or "utf-8"

    def say(self, text: str, indent: str = "") -> None:
        """A paragraph, kept to the width; nothing for an empty one. With an indent its lines hang."""
        harmless = spelled(plain(text.strip()), self._encoding)
        if harmless:
            self._write("\n".join(_fitted(harmless, indent, indent + "  " if indent else "")))

    def say_all(self, texts: Iterable[str], indent: str = "") -> None:
        """Paragraphs."""
        for text in texts:
            self.say(text, indent)

    def name(self, text: str) -> None:
        """The name of a file or folder, on a line of its own and never broken, to be copied as it stands."""
        self._write("  " + spelled(plain(text), self._encoding))

    def gap(self) -> None:
        """An empty line."""
        self._write("")

    def prompt(self) -> None:
        """Ask for a line."""
        self._stream.write(PROMPT)
        self._stream.flush()

    def typed(self, line: str) -> None:
        """A line that came through a pipe, as a terminal would have shown it."""
        self._write(spelled(plain(line), self._encoding))

    def _write(self, text: str) -> None:
        self._stream.write(text + "\n")
        self._stream.flush()
