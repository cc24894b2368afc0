"""Run a calculation from what a person typed, and show its working."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

from asleft.calc.catalogue import Calculation, Result, catalogue
from asleft.calc.guards import CalcError
from asleft.calc.metrology import Measured, combine
from asleft.calc.steps import Sheet, steps_of
from asleft.calc.typed import LOOSE, Given, Item, read_inputs
from asleft.quantity import KINDS, show, to_unit, unit_of

_MOST_DIGITS = 9


class Outcome(NamedTuple):
    """One result: in the base unit, a word, or None; ``expanded`` is U, None where no input had one.

    ``parts`` are what each uncertain input adds to U, by the input's name.
    """

    result: Result
    kind: str
    value: float | str | None
    expanded: float | None
    parts: tuple[tuple[str, float], ...] = ()

    def shown(self, system: str = "ip") -> str:
        """Write the result for a person, without its uncertainty."""
        if self.value is None:
            return self.result.none_word or self.result.none or "none"
        if isinstance(self.value, str):
            return self.value
        return self._write(self.value, self.kind, system)

    def shown_with_uncertainty(self, system: str = "ip") -> str:
        """Write the result for a person, with U where it is known, in digits that show two figures of U."""
        if self.expanded is None or not isinstance(self.value, float):
            return self.shown(system)
        kind = "temperature_difference" if self.kind == "temperature" else self.kind
        digits = self._digits(system)
        size = abs(to_unit(self.expanded, kind, self._unit(kind, system)))
        if size > 0.0:
            digits = max(digits, min(_MOST_DIGITS, 1 - math.floor(math.log10(size))))
        value = self._write(self.value, self.kind, system, digits)
        return f"{value} ± {self._write(self.expanded, kind, system, digits)} (U, k = 2)"

    def _unit(self, kind: str, system: str) -> str:
        return self.result.unit or unit_of(kind, system)

    def _digits(self, system: str) -> int:
        if self.result.digits is not None:
            return self.result.digits
        known = KINDS[self.kind]
        usual = known.si_digits if system == "si" else known.ip_digits
        return usual + 2 if self.result.kind in LOOSE else usual

    def _write(self, value: float, kind: str, system: str, digits: int | None = None) -> str:
        if digits is None:
            digits = self._digits(system)
        if self.result.unit is not None:
            return f"{to_unit(value, kind, self.result.unit):.{digits}f} {self.result.unit}"
        return show(value, kind, system, digits=digits)


class Answer(NamedTuple):
    """A calculation done: inputs as given, results, and the working in words."""

    calculation: Calculation
    inputs: tuple[Given, ...]
    outcomes: tuple[Outcome, ...]

    def working(self, system: str = "ip") -> list[str]:
        """Write every step with the numbers put in, then how U was found."""
        sheet = Sheet(self.inputs, self.outcomes, system)
        lines = steps_of(self.calculation.name)(sheet)
        if any(outcome.expanded is not None for outcome in self.outcomes):
            for given in self.inputs:
                for position, item in enumerate(given.items):
                    if item.expanded > 0:
                        lines.append(_own_uncertainty(sheet, _label(given, position), item))
            for outcome in self.outcomes:
                lines += self._carried(sheet, outcome)
        return lines

    def _carried(self, sheet: Sheet, outcome: Outcome) -> list[str]:
        """Write what each input adds to the U of a result, and their sum."""
        if outcome.expanded is None:
            return []
        name = outcome.result.name
        parts = [sheet.write_size(part, outcome.kind, outcome.result.unit) for _, part in outcome.parts]
        lines = [
            f"{label} changed by its U alone changes {name} by {part}"
            for (label, _), part in zip(outcome.parts, parts, strict=True)
        ]
        if self.calculation.shared_instrument:
            total = " + ".join(parts)
        else:
            total = f"sqrt({' + '.join(f'({part})^2' for part in parts)})"
        whole = sheet.write_size(outcome.expanded, outcome.kind, outcome.result.unit)
        return [*lines, f"U of {name} (k = 2) = {total} = {whole}"]


def _label(given: Given, position: int) -> str:
    return f"{given.input.name} {position + 1}" if given.input.list else given.input.name


def _own_uncertainty(sheet: Sheet, label: str, item: Item) -> str:
    """Write how the U of one input comes from its typed limit and the scatter of its readings."""
    limit, scatter, whole = (
        sheet.write_size(size, item.kind) for size in (item.limit, item.scatter, item.expanded)
    )
    if item.readings == 1:
        return f"U of {label} (k = 2), known to within {limit} = 2 × {limit} / sqrt(3) = {whole}"
    mean = sheet.write(float(item.value), item.kind)
    about = f"{item.readings} readings, their mean {mean} with a standard deviation of {scatter}"
    within = f" + ({limit})^2 / 3" if item.limit else ""
    return f"U of {label} (k = 2), from {about} = 2 × sqrt(({scatter})^2{within}) = {whole}"


def find_calculation(name: str) -> Calculation:
    """Give the calculation of this name; CalcError when there is none."""
    known = catalogue()
    if name not in known:
        raise CalcError(name or "''", "no calculation has this name", "one that asleft work lists")
    return known[name]


def answer(name: str, typed: Mapping[str, str]) -> Answer:
    """Do the calculation of this name with inputs as typed.

    Raises CalcError naming the input that is refused.

    >>> answer("heater-current", {"power": "9.6 kW", "voltage": "240 V"}).outcomes[0].shown()
    '40.00 A'
    """
    calculation = find_calculation(name)
    inputs = read_inputs(calculation, typed)
    arguments, varied = _arguments(inputs)
    values = _values(calculation.function(**_filled(arguments)))
    outcomes = []
    for position, (result, value) in enumerate(zip(calculation.results, values, strict=False)):
        kind = _result_kind(result, inputs)
        value = float(value) if isinstance(value, int) else value
        if varied and not result.exact and isinstance(value, float):
            expanded, parts = _expanded(calculation, arguments, varied, position)
            outcomes.append(Outcome(result, kind, value, expanded, parts))
        else:
            outcomes.append(Outcome(result, kind, value, None))
    return Answer(calculation, inputs, tuple(outcomes))


class _Place(NamedTuple):
    label: str
    parameter: str
    position: int
    measured: Measured


def _arguments(inputs: Sequence[Given]) -> tuple[dict[str, Any], list[_Place]]:
    """Give the function's arguments, lists as lists, and the places in them that carry an uncertainty."""
    arguments: dict[str, Any] = {}
    varied: list[_Place] = []
    for given in inputs:
        for number, item in enumerate(given.items):
            parameter = given.input.parameter(item.kind if given.input.or_kind else None)
            values = arguments.setdefault(parameter, [] if given.input.list else [None])
            if given.input.list:
                values.append(item.value)
            else:
                arguments[parameter] = item.value
            if item.expanded > 0 and isinstance(item.value, float):
                place = len(values) - 1 if given.input.list else -1
                measured = Measured(item.value, item.expanded)
                varied.append(_Place(_label(given, number), parameter, place, measured))
    return arguments, varied


def _filled(arguments: Mapping[str, Any]) -> dict[str, Any]:
    return {name: tuple(value) if isinstance(value, list) else value for name, value in arguments.items()}


def _values(result: Any) -> tuple[Any, ...]:
    return tuple(result) if isinstance(result, tuple) else (result,)


def _expanded(
    calculation: Calculation, arguments: Mapping[str, Any], varied: Sequence[_Place], position: int
) -> tuple[float, tuple[tuple[str, float], ...]]:
    """Give U of one result, and what each uncertain input alone adds to it."""

    def once(*numbers: float) -> float:
        changed = {
            name: list(value) if isinstance(value, list) else value for name, value in arguments.items()
        }
        for place, number in zip(varied, numbers, strict=True):
            if place.position < 0:
                changed[place.parameter] = number
            else:
                changed[place.parameter][place.position] = number
        value = _values(calculation.function(**_filled(changed)))[position]
        if not isinstance(value, (int, float)):
            raise CalcError(calculation.results[position].name, "no answer beside this point", "an answer")
        return float(value)

    parts = []
    for place in varied:
        alone = [
            other.measured if other is place else other.measured._replace(expanded=0.0) for other in varied
        ]
        parts.append((place.label, combine(once, *alone).expanded))
    sizes = [size for _, size in parts]
    whole = sum(sizes) if calculation.shared_instrument else math.hypot(*sizes)
    if not math.isfinite(whole):
        name = max(varied, key=lambda place: place.measured.expanded).label.split()[0]
        raise CalcError(name, "so uncertain that the result's uncertainty is not finite", "a usual size")
    return whole, tuple(parts)


def _result_kind(result: Result, inputs: Sequence[Given]) -> str:
    if result.kind not in LOOSE:
        return result.kind
    return next(item.kind for given in inputs if given.input.kind in LOOSE for item in given.items)


def base_unit(kind: str) -> str:
    """Name the base unit of a kind of result; empty for words and sizes.

    >>> base_unit("airflow"), base_unit("size")
    ('m3/s', '')
    """
    return unit_of(kind, "base") if kind in KINDS else ""
