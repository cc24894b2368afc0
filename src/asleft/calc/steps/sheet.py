"""A sheet of working: numbers as a person would put them in, so that a pencil can repeat the sum.

A line ``name = arithmetic = value`` holds every number that the arithmetic needs, in people's units. A line
without arithmetic says in words what was looked up.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from asleft.quantity import from_unit, to_unit, unit_of

if TYPE_CHECKING:
    from asleft.calc.typed import Given
    from asleft.calc.working import Outcome

_SIZE_OF = {"temperature": "temperature_difference"}


def number(value: float) -> str:
    """Write a number to six significant digits, without an exponent where that stays short.

    >>> number(1234567.0), number(0.8320123), number(-0.0)
    ('1234567', '0.832012', '0')
    """
    if 1e6 <= abs(value) < 1e12:
        return f"{value:.0f}"
    text = f"{value:.6g}"
    return "0" if text == "-0" else text


class Sheet:
    """One calculation's inputs and results, written in one system of units."""

    def __init__(self, inputs: Sequence[Given], outcomes: Sequence[Outcome], system: str) -> None:
        self._inputs = {given.input.name: given for given in inputs}
        self._outcomes = {outcome.result.name: outcome for outcome in outcomes}
        self.system = system
        self.ip = system == "ip"

    def value(self, name: str) -> float:
        """Give an input in its base unit; zero where it was left out."""
        items = self._inputs[name].items
        return float(items[0].value) if items else 0.0

    def word(self, name: str) -> str:
        """Give an input that is a word or a size."""
        return str(self._inputs[name].items[0].value)

    def items(self, name: str) -> list[str]:
        """Write each item of an input."""
        given = self._inputs[name]
        return [
            item.value if isinstance(item.value, str) else self.write(item.value, item.kind, given.input.unit)
            for item in given.items
        ]

    def given(self, name: str) -> str:
        """Write an input, a list as its sum; 0 where it was left out."""
        return " + ".join(self.items(name)) or "0"

    def kinds(self, name: str) -> list[str]:
        """Give the kind of each item of an input."""
        return [item.kind for item in self._inputs[name].items]

    def result(self, name: str) -> float | None:
        """Give a result in its base unit; None where it has no answer."""
        value = self._outcomes[name].value
        return value if isinstance(value, float) else None

    def came(self, name: str) -> str:
        """Write a result to six significant digits."""
        outcome = self._outcomes[name]
        if not isinstance(outcome.value, float):
            return outcome.shown(self.system)
        return self.write(outcome.value, outcome.kind, outcome.result.unit)

    def unit(self, kind: str) -> str:
        """Name the unit of this kind on this sheet."""
        return unit_of(kind, self.system)

    def write(self, value: float, kind: str, unit: str | None = None) -> str:
        """Write a value in the base unit with the unit of its kind on this sheet, or with the one named."""
        name = self.unit(kind) if unit is None else unit
        shown = number(to_unit(value, kind, name) if name else value)
        return f"{shown} {name}" if name else shown

    def write_size(self, value: float, kind: str, unit: str | None = None) -> str:
        """Write a difference or an uncertainty of this kind."""
        return self.write(value, _SIZE_OF.get(kind, kind), unit)

    def times(self, result: str, over: Iterable[str], under: Iterable[str] = ()) -> str:
        """Write the factor that a product of these kinds over those takes in the units of this sheet.

        Empty where it is one, else with its sign of multiplication behind it.
        """
        factor = 1.0 / self._size(result)
        for kind in over:
            factor *= self._size(kind)
        for kind in under:
            factor /= self._size(kind)
        return "" if abs(factor - 1.0) < 1e-9 else f"{number(factor)} × "

    def _size(self, kind: str) -> float:
        size = _SIZE_OF.get(kind, kind)
        name = self.unit(kind)
        return from_unit(1.0, size, name) if name else 1.0

    def factor(self, base: float, result: str, over: Iterable[str]) -> str:
        """Write a constant of base units, result over these kinds, in the units of this sheet."""
        for kind in over:
            base *= self._size(kind)
        return number(base / self._size(result))
