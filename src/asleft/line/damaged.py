"""A damaged session at a terminal: what is wrong with it, and whether the person wants to go on beside it."""

from __future__ import annotations

from shutil import get_terminal_size

from asleft.line.text import WIDTH, say, wrapped

_OFFER = (
    "It is left as it is. asleft can go on in a new session beside it, which follows it and begins with the"
    " entries that are verified."
)


def wants_to_go_on(trouble: str) -> bool:
    """Say what is wrong and ask; an end of the input is a no."""
    for text in (trouble, _OFFER):
        say(wrapped(text, width=min(WIDTH, get_terminal_size().columns - 1)))
    try:
        return input("Begin that session? [y/n] ").strip().casefold() in ("y", "yes")
    except EOFError:
        return False
