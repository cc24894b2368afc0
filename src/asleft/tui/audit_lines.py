"""The lines of an audit on the screen: a session among others, why its marks matter, what is asked of it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import NamedTuple

from asleft.review.row import Row
from asleft.review.rules import rules
from asleft.session.acts import Act, Review, Seal
from asleft.tui.menu import Item, Line


class Ask(NamedTuple):
    """What is asked before an act is done, what to say of it, and what is said once it was done."""

    prompt: str
    what: str
    done: str


ASKS: dict[Act, Ask] = {
    Review("accepted"): Ask(
        "Why accepted", "Accepted: say why. Enter records it, Esc does not.", "Accepted, recorded"
    ),
    Review("sent back"): Ask(
        "Why sent back", "Sent back: say why. Enter records it, Esc does not.", "Sent back, recorded"
    ),
    Seal(): Ask(
        "Key", "A seal shows whose key, not when or how true. Enter seals, Esc does not.", "Sealed, recorded"
    ),
}


KEYS = (
    *("Enter replay", "F2 accept", "F3 back", "F4 marks", "F5 page", "F6 sums", "F7 seal"),
    *("F1 help", "F10 leave"),
)


class Asked(NamedTuple):
    """An act that a reason or a key is still to be typed for, and the session that it is for."""

    act: Act
    row: Row

    @property
    def ask(self) -> Ask:
        """What is said about it."""
        return ASKS[self.act]


class Chosen(NamedTuple):
    """What to do with a session outside the screen: replay or report."""

    do: str
    path: Path


@dataclass
class Bookmark:
    """Where the supervisor is in the table, while something else is on the screen."""

    start: int = 0
    chosen: str = ""
    words: str = ""
    notice: str = ""


def item_of(row: Row, width: int) -> Item:
    """A session on two lines: what it is, and the heaviest that is said of it."""
    name = row.site or Path(row.file).name
    what = ", ".join(part for part in (name, row.unit, row.technician) if part)
    review = f"{row.review}, " if row.review else ""
    right = f"{review}{row.outcome or ('not signed' if row.chain != 'unreadable' else '')} {row.began[:10]}"
    heavy = [mark for mark in row.marks if mark.weight > 0.0]
    more = f" (and {len(heavy) - 1} more)" if len(heavy) > 1 else ""
    said = f"{heavy[0].rule}: {heavy[0].text}{more}" if heavy else "nothing speaks against it"
    style = "$error" if row.weight >= 80.0 else "$warning" if row.weight >= 30.0 else "$text-muted"
    return Item(row.file, (Line(what, right.strip()), Line(f"  {said}", style=style)))


def keys_line(width: int) -> str:
    """The keys, set apart as far as the width lets them be."""
    wide = "  ".join(KEYS)
    return wide if len(wide) <= width else " ".join(KEYS).replace("F1 help", "F1")


def why_of(row: Row | None, *, over: bool, all_of_it: bool) -> Iterator[str]:
    """Why the marks of a session matter, the heaviest or all; that there is none, or no session yet."""
    if row is None:
        yield "No session stands here." if over else "Reading."
    elif not row.marks:
        yield "Nothing speaks against it."
    for mark in row.marks[: None if all_of_it else 1] if row else ():
        why = f"Why it matters: {rules()[mark.rule].why}"
        yield f"{mark.rule}: {mark.text}. {why}" if all_of_it else why
