"""A session file read for a command: its chain, its verified events, and the view they give today."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from asleft.journal import Contents, NewerFormat, NotASession, read
from asleft.session.events import read_all
from asleft.session.sound import Odd, sensible
from asleft.session.state import fold_all
from asleft.visit import View, look

if TYPE_CHECKING:
    from asleft.equipment.model import Equipment


MOST_NAMED = 4
"""Senseless events of a file that are named; the rest are counted."""


class Unreadable(ValueError):
    """A session whose verified part does not make sense: what was wrong, in one sentence."""


@dataclass(frozen=True, slots=True)
class Read:
    """What a file holds and how it looks now; no view where nothing in it could be verified.

    `odd` are the events that this program cannot have written: the view is that of all the others.
    """

    path: Path
    contents: Contents
    view: View | None
    odd: tuple[Odd, ...] = ()

    @property
    def chain(self) -> str:
        """`whole`, `torn` or `broken`."""
        return str(self.contents.chain.value)

    @property
    def whole(self) -> bool:
        """Whether every byte is verified, and no event senseless."""
        return self.chain == "whole" and not self.odd


def read_session(path: Path, system: str = "ip") -> Read:
    """Read a file without locking or changing it; a torn or broken one as far as it is verified.

    Senseless events are told among what is wrong with the file, and left out of what is reckoned.
    Raises NotASession, JournalError (NewerFormat among them), or Unreadable.
    """
    with named(path):
        contents = read(path)
    if contents.newer_format:
        raise NewerFormat(f"{path}: {contents.trouble}")
    if not contents.header:
        return Read(path, contents, None)
    equipment = equipment_of(contents, path)
    events, odd = sensible(read_all(contents.events), equipment)
    told = " ".join(part for part in (contents.trouble, as_sentences(odd)) if part)
    return Read(path, replace(contents, trouble=told), look(equipment, fold_all(events), system), odd)


def as_sentences(odd: Sequence[Odd]) -> str:
    """What is senseless in a file, in words; the first few by name."""
    said = [f"{str(one)[0].upper()}{str(one)[1:]}." for one in odd[:MOST_NAMED]]
    if len(odd) > MOST_NAMED:
        said.append(f"And so with {len(odd) - MOST_NAMED} more.")
    return " ".join(said)


@contextmanager
def named(path: Path) -> Iterator[None]:
    """Say of which file it is that it is no session."""
    try:
        yield
    except NotASession as error:
        known = str(error).startswith(str(path))
        raise NotASession(str(error) if known else f"{path}: {error}") from error


def verified(path: Path) -> View:
    """The view of a session that is not broken and makes sense.

    Raises Unreadable, and what read_session raises.
    """
    found = read_session(path)
    if found.odd:
        raise Unreadable(f"{path}: {as_sentences(found.odd)}")
    if found.view is None or found.chain == "broken":
        raise Unreadable(f"{path}: {found.contents.trouble} Nothing in it is relied on; see asleft check.")
    return found.view


def equipment_of(contents: Contents, path: Path) -> Equipment:
    """The equipment that a session was written for, from its own lines. Raises Unreadable."""
    from asleft.equipment.load import load_bytes

    try:
        return load_bytes(contents.equipment_text.encode(), path.name).equipment
    except ValueError as error:
        first = str(error).splitlines()[0]
        raise Unreadable(f"{path}: its equipment lines do not load: {first}") from error
