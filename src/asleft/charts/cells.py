"""Text by the cells it takes on a terminal: made harmless, cut, padded and wrapped to a number of them."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator

_HIDDEN = ("Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp")
_MARKS = ("Mn", "Me")
_SELECTORS = range(0xFE00, 0xFE10)
"""Variation selectors: some terminals widen what stands before them, others do not."""
_MOST_MARKS = 2
"""Marks kept on one letter; a pile of them would run over other lines."""
ELLIPSIS = "…"
_NARROW = re.compile("[ -~\xa1-\xac\xae-\u02ff‐-‧↑→←─-▟▸▶●✓✗⠀-⣿]*")
"""Letters of one cell each that do nothing to a terminal: nearly all that is ever drawn."""


def letters(text: str) -> Iterator[tuple[str, int]]:
    """Each letter with its marks, and the cells it takes; what would act on a terminal becomes `?`."""
    if _NARROW.fullmatch(text):
        yield from ((sign, 1) for sign in text)
        return
    held, cells, marks = "", 0, 0
    for sign in unicodedata.normalize("NFC", text):
        category = unicodedata.category(sign)
        if ord(sign) in _SELECTORS or (category in _MARKS and marks >= _MOST_MARKS):
            continue
        if category in _MARKS and held:
            held, marks = held + sign, marks + 1
            continue
        if held:
            yield held, cells
        odd = category in _HIDDEN or category in _MARKS
        wide = unicodedata.east_asian_width(sign) in "WF"
        if odd or category == "Zs":
            held, cells, marks = "?" if odd else " ", 1, 0
        else:
            held, cells, marks = sign, 2 if wide else 1, 0
    if held:
        yield held, cells


def plain(text: str) -> str:
    """Text in which nothing acts on a terminal."""
    return text if _NARROW.fullmatch(text) else "".join(sign for sign, _ in letters(text))


def width(text: str) -> int:
    """The cells that a text takes."""
    return len(text) if _NARROW.fullmatch(text) else sum(cells for _, cells in letters(text))


def cut(text: str, most: int) -> str:
    """Text in at most so many cells, with a sign where some was cut off."""
    if len(text) <= most and _NARROW.fullmatch(text):
        return text
    parts = list(letters(text))
    if sum(cells for _, cells in parts) <= most:
        return "".join(sign for sign, _ in parts)
    if most <= 0:
        return ""
    kept, room = "", most - 1
    for sign, cells in parts:
        if cells > room:
            break
        kept, room = kept + sign, room - cells
    return kept + ELLIPSIS


def padded(text: str, cells: int) -> str:
    """Text in exactly so many cells."""
    short = cut(text, cells)
    return short + " " * (cells - width(short))


def wrapped(text: str, most: int) -> list[str]:
    """A paragraph in lines of at most so many cells; a word too long for a line is cut."""
    lines: list[str] = []
    line = ""
    for word in plain(text).split():
        word = cut(word, most)
        longer = f"{line} {word}" if line else word
        if line and width(longer) > most:
            lines.append(line)
            line = word
        else:
            line = longer
    return [*lines, line] if line else lines
