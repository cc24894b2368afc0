"""What an act is before it is an event, and what one is that was not taken."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from asleft.checks.finding import Finding


class Refused(ValueError):
    """An act that was not taken: what was wrong, what would be right, and the holds that forbid it."""

    def __init__(self, what: str, expected: str = "", holds: Sequence[Finding] = ()) -> None:
        self.what, self.expected, self.holds = what, expected, tuple(holds)
        super().__init__(f"{what}; {expected}" if expected else what)


@dataclass(frozen=True, slots=True)
class Draft:
    """An event not yet numbered: its kind and its own keys."""

    kind: str
    data: Mapping[str, Any]
