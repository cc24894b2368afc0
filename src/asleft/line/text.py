"""Plain text on a terminal or in a pipe: foreign words made harmless, lines kept to a width, JSON strict."""

from __future__ import annotations

import json
import sys
import textwrap
import unicodedata
from collections.abc import Iterable
from typing import Any, TextIO

WIDTH = 100
"""Characters in a line of text output."""

_HIDDEN = ("Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp")


def plain(text: str) -> str:
    """Text without control, direction or unassigned characters, so that no terminal acts on it."""
    if text.isascii() and text.isprintable():
        return text
    return "".join("?" if unicodedata.category(c) in _HIDDEN else c for c in text)


def shortened(text: str, longest: int = 160) -> str:
    """Text cut to a length, with a sign that it was cut."""
    return text if len(text) <= longest else text[: longest - 1] + "…"


def wrapped(text: str, indent: str = "", width: int = WIDTH, *, rest: str | None = None) -> str:
    """One paragraph kept to a width, every line behind the indent, from the second on behind `rest`."""
    behind = indent if rest is None else rest
    return textwrap.fill(
        plain(text), width, initial_indent=indent, subsequent_indent=behind, break_on_hyphens=False
    )


def say(text: str, out: TextIO | None = None) -> None:
    """Write a line to standard output, or to the stream given, in whatever characters it has."""
    stream = out or sys.stdout
    encoding = getattr(stream, "encoding", None) or "utf-8"
    stream.write(text.encode(encoding, "replace").decode(encoding) + "\n")


def say_all(lines: Iterable[str], out: TextIO | None = None) -> None:
    """Write lines."""
    say("\n".join(lines), out)


def complain(sentence: str) -> None:
    """One line to standard error, made harmless."""
    say("asleft: " + plain(sentence.replace("\n", " ").strip()), sys.stderr)


def _escape(character: str) -> str:
    code = character.encode("utf-16-be", "surrogatepass").hex()
    return "".join(f"\\u{code[at : at + 4]}" for at in range(0, len(code), 4))


def dumped(value: Any) -> str:
    """Strict JSON, readable; what would act on a terminal stands as an escape."""
    text = json.dumps(value, ensure_ascii=False, allow_nan=False, indent=2)
    if text.isascii() and "\x7f" not in text:
        return text
    return "".join(c if c == "\n" or unicodedata.category(c) not in _HIDDEN else _escape(c) for c in text)
