"""Foreign text on a page: nothing in it acts, and no name is left in it that was to be left out."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import TYPE_CHECKING

from asleft.charts.cells import plain

if TYPE_CHECKING:
    from asleft.journal import Contents, Seal

NAME, SITE = "[name left out]", "[site left out]"
PERSONS, PLACES = ("identity.technician", "signoff.told"), ("identity.site",)
"""Fields that hold the names of persons, and those of places."""
_SURE = 5
"""Letters from which a name counts inside a longer word too."""
_LEAST = 3
"""Letters of a part of a person's name that is looked for alone."""
_APART = r"[\s_.,-]+"


class Safe:
    """Makes text harmless; and leaves names out, where it was given any."""

    def __init__(self, persons: Iterable[str] = (), places: Iterable[str] = ()) -> None:
        people = _once(persons)
        parts = _once(part for name in people for part in _parts(name))
        self._instead = {
            **{_whole(name): SITE for name in _once(places)},
            **{_whole(name): NAME for name in people},
            **{_part(name): NAME for name in parts},
        }
        # In one pass, so that no name is looked for in what stands for another.
        self._any = re.compile("|".join(f"({pattern})" for pattern in self._instead))

    def __call__(self, text: str) -> str:
        """The text as it may stand on a page; control and direction characters are question marks."""
        text = plain(text)
        if not self._instead:
            return text
        instead = tuple(self._instead.values())
        return self._any.sub(lambda found: instead[(found.lastindex or 1) - 1], text)


def leaving_out(contents: Contents, seals: Iterable[Seal] = ()) -> Safe:
    """What leaves out every person and every site that a record names anywhere, even where taken back."""
    persons: list[str] = [seal.who for seal in seals]
    places: list[str] = []
    if contents.header:
        persons.append(str(contents.header["session"]["opened_by"]))
    for event in contents.events:
        persons.append(str(event["by"]))
        if event["kind"] == "entered" and event["field"] in PERSONS + PLACES:
            names = places if event["field"] in PLACES else persons
            names += [str(event["value"]), str(event["typed"])]
    return Safe(persons, places)


def _once(names: Iterable[str]) -> list[str]:
    """Each name once, longest first, so that none is spoiled by one that is a part of it."""
    return sorted({shown for name in names if (shown := plain(name).strip())}, key=lambda n: (-len(n), n))


def _parts(name: str) -> list[str]:
    return [part for part in re.split(r"\W+", name) if len(part) >= _LEAST and not part.isdigit()]


def _whole(name: str) -> str:
    """A whole name: however its words are parted, in any case, inside words too where it is long enough."""
    words = _APART.join(re.escape(word) for word in re.split(_APART, name) if word) or re.escape(name)
    sure = len(name) >= _SURE or not name.isascii()
    return f"(?i:{words if sure else _alone(words)})"


def _part(name: str) -> str:
    """A part of a person's name, as it is written and in capitals; many are also words of every day."""
    return _alone("|".join(re.escape(n) for n in dict.fromkeys((name, name.upper()))))


def _alone(words: str) -> str:
    return rf"(?<![^\W_])(?:{words})(?![^\W_])"
