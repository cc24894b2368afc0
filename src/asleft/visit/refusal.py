"""What is said of an act that was not taken."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from asleft.checks.finding import Finding


class Refused(ValueError):
    """An act that was not taken: what was wrong, what would be right, and the holds that forbid it."""

    def __init__(self, what: str, expected: str = "", holds: Sequence[Finding] = ()) -> None:
        self.what, self.expected, self.holds = what, expected, tuple(holds)
        super().__init__(f"{what}; {expected}" if expected else what)
