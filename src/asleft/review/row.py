"""One session as an audit sees it: a row that says what it is, what speaks against it, and who did it."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass, field
from typing import Any, NamedTuple

from asleft.review.rules import Mark


class Hold(NamedTuple):
    """A hold that fails as a visit was left.

    `check` is its id and subject, `since` the time from which on it failed, `power` on or off, and `signed`
    the outcome, empty where nobody signed.
    """

    check: str
    text: str
    since: str
    power: str
    signed: str


@dataclass(frozen=True)
class Row:
    """A file of the tree. What could not be read has only its chain, `unreadable`, and its marks.

    `failed` and `open` are check ids by today's rules; `waived` what was waived and why; `wrong` settings
    that were found otherwise than they were left, as SETTING@ADDRESS; `readings` is a digest of readings,
    by which copies are found, empty where there are too few. `review` is accepted, sent back or nothing.
    `holds` are the holds that fail in a real visit, whether it is signed or not; `link` the last that is
    verified.
    """

    file: str
    sha256: str
    chain: str
    trouble: str = ""
    mode: str = ""
    id: str = ""
    follows: str = ""
    site: str = ""
    unit: str = ""
    technician: str = ""
    began: str = ""
    ended: str = ""
    events: int = 0
    outcome: str = ""
    review: str = ""
    seals: tuple[str, ...] = ()
    failed: tuple[str, ...] = ()
    open: tuple[str, ...] = ()
    waived: tuple[str, ...] = ()
    breaches: int = 0
    wrong: tuple[str, ...] = ()
    readings: str = ""
    holds: tuple[Hold, ...] = ()
    link: str = ""
    marks: tuple[Mark, ...] = field(default=())

    @property
    def weight(self) -> float:
        """The heaviest mark, and a little for each of the others."""
        heavy = sorted((mark.weight for mark in self.marks), reverse=True)
        return heavy[0] + sum(heavy[1:]) / 1000.0 if heavy else 0.0

    @property
    def month(self) -> str:
        """The month in which it began."""
        return self.began[:7]

    def as_mapping(self) -> dict[str, Any]:
        """The row for a script."""
        told = asdict(self)
        told["marks"] = [{"rule": mark.rule, "text": mark.text} for mark in self.marks]
        told["holds"] = [hold._asdict() for hold in self.holds]
        return told

    def dumped(self) -> str:
        """The row as one line of text, which `loaded` reads back."""
        return json.dumps(self.as_mapping(), ensure_ascii=True, separators=(",", ":"))


def loaded(text: str) -> Row:
    """The row of a line of text."""
    told = json.loads(text)
    lists = {key: tuple(value) for key, value in told.items() if isinstance(value, list) and key != "marks"}
    marks = tuple(Mark(m["rule"], m["text"]) for m in told["marks"])
    holds = tuple(Hold(**hold) for hold in told["holds"])
    return Row(**{**told, **lists, "marks": marks, "holds": holds})
