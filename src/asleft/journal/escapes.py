"""How strings stand in a session file: TOML basic strings in which nothing can act on a terminal.

A character that moves the cursor, ends a line or turns the direction of reading is written as an escape,
so that a session looks in any editor as it is.
"""

from __future__ import annotations

import re

_SHORT = {"\b": "\\b", "\t": "\\t", "\n": "\\n", "\f": "\\f", "\r": "\\r", '"': '\\"', "\\": "\\\\"}

# C0, DEL and C1; Arabic letter mark, the marks, embeddings, overrides and isolates of the Unicode
# bidirectional algorithm (UAX 9); line and paragraph separators; deprecated format controls; byte-order mark.
_UNSEEN = (
    *range(0x20),
    *range(0x7F, 0xA0),
    0x061C,
    *range(0x200E, 0x2010),
    *range(0x2028, 0x202F),
    *range(0x2066, 0x2070),
    0xFEFF,
)

ESCAPES: dict[str, str] = {chr(code): f"\\u{code:04x}" for code in _UNSEEN} | _SHORT
"""Every character that never stands raw inside a string, with how it is written."""

_UNSEEN_CLASS = "[" + "".join(f"\\u{code:04x}" for code in _UNSEEN if code != 0x0A) + "]"
RAW = re.compile(_UNSEEN_CLASS)
"""A character that never stands raw anywhere in a session file (line feed aside)."""

PLAIN_RUN = '(?:[^"\\\\' + _UNSEEN_CLASS[1:-1] + "\\n]|" + "|".join(map(re.escape, ESCAPES.values())) + ")*"
"""The inside of a string, as a regular expression."""


def escaped(toml: str) -> str:
    """TOML lines with every unseen character that a formatter left raw written as its escape."""
    if toml.isascii() and "\t" not in toml and "\x7f" not in toml:
        return toml
    return RAW.sub(lambda found: ESCAPES[found[0]], toml)
