"""Foreign text on the screen: never markup, never a control character, never wider than its place."""

from __future__ import annotations

import unicodedata

from rich.cells import cell_len, set_cell_size
from textual.content import Content

_HIDDEN = ("Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp")


def plain(text: str) -> str:
    """Text in which nothing acts on a terminal."""
    if text.isascii() and text.isprintable():
        return text
    return "".join("?" if unicodedata.category(c) in _HIDDEN else c for c in text)


def fit(text: str, width: int) -> str:
    """Text in exactly this many cells, cut with an ellipsis where it is longer."""
    text = plain(text)
    if width <= 0:
        return ""
    if cell_len(text) > width:
        text = set_cell_size(text, width - 1) + "…"
    return set_cell_size(text, width)


def styled(text: str, style: str = "") -> Content:
    """Text as content for a widget, in one style of our own, never read as markup."""
    return Content.styled(plain(text), style) if style else Content(plain(text))
