"""The refusal of a quantity."""

from __future__ import annotations


class QuantityError(ValueError):
    """A typed quantity, unit or size that cannot be read with certainty.

    ``found`` is what was typed, ``expected`` what would have been right.
    """

    def __init__(self, why: str, *, found: str, expected: str) -> None:
        super().__init__(f"{why}; expected {expected}")
        self.why = why
        self.found = found
        self.expected = expected
