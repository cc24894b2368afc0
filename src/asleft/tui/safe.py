"""Foreign text on the screen: never markup, never a control character, never wider than its place.

Where terminals disagree how wide a character is, alone or joined, what all agree on is drawn: a selector of
how a sign looks is left out, a flag is its two letters, a skin colour or half a syllable is a question mark.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable
from functools import lru_cache

from rich.cells import cell_len, set_cell_size
from textual.content import Content

_HIDDEN = ("Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp")


_SELECTORS = (range(0xFE00, 0xFE10), range(0x180B, 0x1810), range(0xE0100, 0xE01F0))
_FLAG_LETTERS = range(0x1F1E6, 0x1F200)
_JOINED = (range(0x1F3FB, 0x1F400), range(0x1160, 0x1200), range(0xD7B0, 0xD800))
"""Skin colours, and the vowels and ends of Korean syllables where they stand apart."""


_PER_CELL = 50
"""Characters that are looked at for a cell; some stand upon others and take none."""


def plain(text: str) -> str:
    """Text in which nothing acts on a terminal, and every terminal gives the same number of cells."""
    if text.isascii() and text.isprintable():
        return text
    return "".join(map(_shown, unicodedata.normalize("NFC", text)))


@lru_cache(maxsize=4096)
def _shown(character: str) -> str:
    code = ord(character)
    if any(code in selectors for selectors in _SELECTORS):
        return ""
    if code in _FLAG_LETTERS:
        return chr(ord("A") + code - _FLAG_LETTERS.start)
    hidden = unicodedata.category(character) in _HIDDEN
    return "?" if hidden or any(code in joined for joined in _JOINED) else character


def as_typed(text: str) -> str:
    """The same for a line being typed: a character stands for each, so that the cursor keeps its place."""
    if text.isascii() and text.isprintable():
        return text
    return "".join(_shown(character) or "?" for character in text)


def fit(text: str, width: int) -> str:
    """Text in exactly this many cells, cut with an ellipsis where it is longer."""
    if width <= 0:
        return ""
    # A megabyte is not looked through for the few characters that can be seen of it.
    more = len(text) > _PER_CELL * width
    text = plain(text[: _PER_CELL * width] if more else text)
    if more or cell_len(text) > width:
        text = set_cell_size(text, width - 1) + "…"
    return set_cell_size(text, width)


def styled(text: str, style: str = "") -> Content:
    """Text as content for a widget, in one style of our own, never read as markup."""
    return Content.styled(plain(text), style) if style else Content(plain(text))


def stacked(texts: Iterable[str], style: str = "") -> Content:
    """Texts one under another."""
    return Content("\n").join([styled(text, style) for text in texts])
