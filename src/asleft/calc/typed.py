"""Read what a person typed for the inputs of a calculation."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from asleft.calc.catalogue import Calculation, Input
from asleft.calc.guards import CalcError
from asleft.calc.metrology import COVERAGE, expanded_from_limit, mean_of_readings
from asleft.quantity import KINDS, QuantityError, parse, parse_size, show, to_unit

LOOSE = ("any", "reading")
"""Kinds of input that take quantities of whatever one kind."""

_UNCERTAIN_NOT = ("count", "size", "word")


class Item(NamedTuple):
    """One typed value: its kind, its value and U in the base unit; U is zero where none is known.

    ``limit`` is the typed ±, ``scatter`` the standard deviation of the mean of repeated ``readings``.
    """

    kind: str
    value: float | str
    expanded: float
    limit: float = 0.0
    scatter: float = 0.0
    readings: int = 1

    def shown(self, system: str = "ip", unit: str | None = None, digits: int | None = None) -> str:
        """Write the value for a person, in this unit where one is named."""
        if isinstance(self.value, str):
            return self.value
        if unit is not None:
            return f"{to_unit(self.value, self.kind, unit):.6g} {unit}"
        if KINDS[self.kind].bare and digits is None:
            return f"{self.value:.6g}" + (" %" if self.kind == "percent" else "")
        return show(self.value, self.kind, system, digits=digits)


class Given(NamedTuple):
    """One input as given: what was typed (None: the default stands) and its items, one unless a list."""

    input: Input
    typed: str | None
    items: tuple[Item, ...]

    def shown(self, system: str = "ip") -> str:
        """Write the input for a person, the items of a list joined by a plus."""
        return (
            " + ".join(item.shown(system, self.input.unit, self.input.digits) for item in self.items)
            or "none"
        )


def read_inputs(calculation: Calculation, typed: Mapping[str, str]) -> tuple[Given, ...]:
    """Read every input of a calculation from what was typed for it.

    Raises CalcError naming the input for one that is missing, unknown, empty or cannot be read.
    """
    known = [entry.name for entry in calculation.inputs]
    for name in typed:
        if name not in known:
            raise CalcError(name, f"{calculation.name} has no such input", ", ".join(known))
    kind = _common_kind(calculation, typed)
    return tuple(_given(entry, typed.get(entry.name), kind) for entry in calculation.inputs)


def _given(entry: Input, text: str | None, common: str) -> Given:
    source = entry.default if text is None else text
    if source is None:
        if entry.optional:
            return Given(entry, None, ())
        raise CalcError(entry.name, "missing", _expected(entry))
    kinds = [_level(common, entry)] if entry.kind in LOOSE else [entry.kind]
    if entry.or_kind:
        kinds.append(entry.or_kind)
    parts = source.split(",") if entry.list else [source]
    if not all(part.strip() for part in parts):
        raise CalcError(
            entry.name, "an empty item" if source.strip() else "nothing was typed", _expected(entry)
        )
    return Given(entry, text, tuple(_item(entry, part, kinds) for part in parts))


def _expected(entry: Input) -> str:
    if entry.choices:
        return " or ".join(entry.choices)
    if entry.kind in LOOSE:
        return "a quantity with its unit"
    if entry.kind == "size":
        return 'a size such as "6 AWG"'
    kind = KINDS[entry.kind]
    units = " or ".join(dict.fromkeys(unit for unit in (kind.ip_unit, kind.si_unit) if unit))
    what = f"{'an' if kind.label[0] in 'aeiou' else 'a'} {kind.label}" + (f" in {units}" if units else "")
    return what + (", several separated by commas" if entry.list else "")


def _item(entry: Input, text: str, kinds: Sequence[str]) -> Item:
    if entry.kind == "word":
        for choice in entry.choices:
            if choice.casefold() == " ".join(text.replace("-", " ").replace("_", " ").split()).casefold():
                return Item("", choice, 0.0)
        raise CalcError(entry.name, f"{text!r} is not on offer", _expected(entry))
    try:
        if entry.kind == "size":
            return Item("", parse_size(text), 0.0)
        return _measured(entry, text, kinds)
    except QuantityError as error:
        raise CalcError(entry.name, error.why, error.expected) from error


def _measured(entry: Input, text: str, kinds: Sequence[str]) -> Item:
    refusals = []
    for kind in kinds:
        try:
            quantity = parse(text, kind)
        except QuantityError as error:
            refusals.append(error)
            continue
        standard = 0.0
        if quantity.plus_minus is not None:
            if entry.kind in LOOSE or kind in _UNCERTAIN_NOT:
                raise CalcError(entry.name, "a ± has no meaning here", "the value alone")
            standard = expanded_from_limit(quantity.plus_minus) / COVERAGE
            if not math.isfinite(standard):
                raise CalcError(entry.name, "too large", "a usual size")
        try:
            mean = mean_of_readings(quantity.readings, standard)
            scatter = mean_of_readings(quantity.readings).expanded / COVERAGE
        except ArithmeticError as error:
            raise CalcError(entry.name, "too large", "a usual size") from error
        if mean.expanded and entry.kind in {"any", "count"}:
            raise CalcError(entry.name, "repeated readings have no meaning here", "one value")
        return Item(
            kind, mean.value, mean.expanded, quantity.plus_minus or 0.0, scatter, len(quantity.readings)
        )
    raise refusals[0]


def _level(common: str, entry: Input) -> str:
    """Give the kind of this input: a difference where the common kind is a level of temperature."""
    return "temperature_difference" if common == "temperature" and entry.difference else common


def _common_kind(calculation: Calculation, typed: Mapping[str, str]) -> str:
    """Find the one kind in which every input of free kind can be read."""
    loose = [entry for entry in calculation.inputs if entry.kind in LOOSE and entry.name in typed]
    if not loose:
        return "ratio"
    first = loose[0]
    plain = first.kind == "any"
    kinds = (["ratio"] if plain else []) + [name for name, kind in KINDS.items() if not kind.bare]
    kinds.sort(key=lambda name: name == "static_pressure")
    readable = [name for name in kinds if _reads(typed[first.name], _level(name, first))]
    for name in readable:
        if all(_reads(typed[entry.name], _level(name, entry)) for entry in loose):
            return name
    if readable:
        return readable[0]
    if plain or _reads(typed[first.name], "ratio"):
        expected = "a plain number or a quantity with its unit" if plain else "a quantity with its unit"
        raise CalcError(first.name, f"{typed[first.name]!r} cannot be read", expected)
    return "voltage"


def _reads(text: str, kind: str) -> bool:
    try:
        parse(text, kind)
    except QuantityError:
        return False
    return True
