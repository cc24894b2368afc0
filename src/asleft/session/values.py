"""What a field was told: words, a choice, yes or no, a count, a size, or an amount in its base unit."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum
from typing import TYPE_CHECKING, assert_never, final

from asleft.quantity import KINDS

if TYPE_CHECKING:
    from asleft.session.fields import Field

Scalar = str | int | float | bool
"""What the session file holds of a value."""


@final
@dataclass(frozen=True, slots=True)
class Words:
    """Free text."""

    text: str

    def __str__(self) -> str:
        return self.text


@final
@dataclass(frozen=True, slots=True)
class Picked:
    """One of a field's choices."""

    choice: str

    def __str__(self) -> str:
        return self.choice


@final
class YesNo(Enum):
    """A question answered."""

    YES = "yes"
    NO = "no"

    @classmethod
    def of(cls, yes: bool) -> YesNo:
        """The answer that a truth is."""
        return cls.YES if yes else cls.NO

    def __str__(self) -> str:
        return self.value


@final
@dataclass(frozen=True, slots=True)
class Count:
    """A whole number of things."""

    number: int

    def __str__(self) -> str:
        return str(self.number)


@final
@dataclass(frozen=True, slots=True)
class Size:
    """A conductor size, as the trade names it."""

    name: str

    def __str__(self) -> str:
        return self.name


@final
@dataclass(frozen=True, slots=True)
class Amount:
    """A number in the base unit of its field's kind."""

    value: float
    unit: str

    def __str__(self) -> str:
        return f"{self.value:g} {self.unit}"


Value = Words | Picked | YesNo | Count | Size | Amount
"""Any of them."""


def number_of(value: Value) -> float | None:
    """The number that a value is; None where it is words."""
    match value:
        case Amount(number, _):
            return number
        case Count(number):
            return float(number)
        case Words() | Picked() | YesNo() | Size():
            return None
        case _:
            assert_never(value)


def written_value(value: Value) -> tuple[Scalar, str]:
    """A value as the session file has it, and its unit, empty where it has none."""
    match value:
        case YesNo():
            return value is YesNo.YES, ""
        case Words(text) | Picked(text) | Size(text):
            return text, ""
        case Count(number):
            return number, ""
        case Amount(number, unit):
            return number, unit
        case _:
            assert_never(value)


def read_value(field: Field, stored: object, unit: str) -> Value | None:
    """A stored value as its field holds it; None where no entry of that field could be so.

    A number must be finite, in the base unit and in the plausible range of its field, as every entry is.
    """
    match field.kind:
        case "yes_no":
            return YesNo.of(stored) if isinstance(stored, bool) and not unit else None
        case "text":
            return Words(stored) if isinstance(stored, str) and not unit else None
        case "choice":
            return Picked(stored) if isinstance(stored, str) and not unit else None
        case "conductor_size":
            return Size(stored) if isinstance(stored, str) and not unit else None
        case _:
            number = isinstance(stored, int | float) and not isinstance(stored, bool)
            return _number(field, stored, unit) if number else None


def _number(field: Field, stored: object, unit: str) -> Count | Amount | None:
    assert isinstance(stored, int | float)
    if not math.isfinite(stored):
        return None
    if field.kind == "count":
        return Count(int(stored)) if not unit and stored == int(stored) else None
    found = KINDS.get(field.kind)
    if found is None or unit != found.base_unit:
        return None
    low, high = field.plausible or (-math.inf, math.inf)
    return Amount(float(stored), unit) if low <= stored <= high else None
