"""Words that a person types, read strictly: refused with what would be right."""

from __future__ import annotations

import difflib
import unicodedata
from collections.abc import Iterable
from typing import TypeVar

from asleft.visit.refusal import Refused

W = TypeVar("W", bound=str)
LONGEST = 400
YES, NO = ("yes", "y", "true", "1"), ("no", "n", "false", "0")


def plain(typed: str) -> str:
    """What was typed, without blanks around it. Raises Refused where it is no text of a line."""
    text = typed.strip()
    if len(text) > LONGEST:
        raise Refused(f"{len(text)} characters are too long", f"at most {LONGEST}")
    for character in text:
        if unicodedata.category(character) in ("Cc", "Cf", "Cs", "Co", "Cn"):
            raise Refused(f"character U+{ord(character):04X} is not text", "printable characters only")
    return text


def some(typed: str, what: str) -> str:
    """What was typed. Raises Refused where that is nothing."""
    if not typed:
        raise Refused("nothing was typed", f"type {what}")
    return typed


def word(typed: str, words: Iterable[W], left: str) -> W:
    """The word that was meant, by its beginning if only one begins so. Raises Refused."""
    words = tuple(words)
    lowered = typed.casefold()
    exact = [w for w in words if w.casefold() == lowered]
    starts = [w for w in words if lowered and w.casefold().startswith(lowered)]
    if exact or len(starts) == 1:
        return (exact or starts)[0]
    if not lowered:
        raise Refused("nothing was typed", "one of: " + ", ".join(words))
    raise Refused(f"{typed!r} is none of the choices of {left}", "one of: " + ", ".join(words))


def yes(typed: str, what: str) -> bool:
    """Whether yes was typed. Raises Refused where it is neither yes nor no."""
    lowered = typed.casefold()
    if not lowered:
        raise Refused("nothing was typed", "yes or no")
    if lowered not in (*YES, *NO):
        raise Refused(f"{typed!r} is neither yes nor no for {what}", "yes or no")
    return lowered in YES


def near(name: str, names: Iterable[str]) -> str:
    """The name that may have been meant, asked for; nothing where none is near."""
    close = difflib.get_close_matches(name, list(names), 1)
    return f"did you mean {close[0]}?" if close else ""
