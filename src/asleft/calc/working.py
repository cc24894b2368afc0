"""Run a calculation from what a person typed, and show its working."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

from asleft.calc.catalogue import Calculation, Result, catalogue
from asleft.calc.guards import CalcError
from asleft.calc.metrology import Measured, combine
from asleft.calc.typed import LOOSE, Given, read_inputs
from asleft.quantity import KINDS, show, to_unit, unit_of


class Outcome(NamedTuple):
    """One result: in the base unit, a word, or None; ``expanded`` is U, None where no input had one."""

    result: Result
    kind: str
    value: float | str | None
    expanded: float | None

    def shown(self, system: str = "ip") -> str:
        """Write the result for a person, without its uncertainty."""
        if self.value is None:
            return self.result.none_word or self.result.none or "none"
        if isinstance(self.value, str):
            return self.value
        return self._write(self.value, self.kind, system)

    def shown_expanded(self, system: str = "ip") -> str | None:
        """Write the expanded uncertainty for a person; None where there is none."""
        if self.expanded is None:
            return None
        kind = "temperature_difference" if self.kind == "temperature" else self.kind
        return self._write(self.expanded, kind, system)

    def shown_with_uncertainty(self, system: str = "ip") -> str:
        """Write the result for a person, with U where it is known."""
        expanded = self.shown_expanded(system)
        return self.shown(system) if expanded is None else f"{self.shown(system)} ± {expanded} (U, k = 2)"

    def _write(self, value: float, kind: str, system: str) -> str:
        digits = self.result.digits
        if self.result.unit is not None:
            name = self.result.unit
            return f"{to_unit(value, kind, name):.{3 if digits is None else digits}f} {name}"
        if self.result.kind in LOOSE:
            known = KINDS[kind]
            digits = 2 + (known.si_digits if system == "si" else known.ip_digits)
        return show(value, kind, system, digits=digits)


class Answer(NamedTuple):
    """A calculation done: inputs as given, results, and the working in words."""

    calculation: Calculation
    inputs: tuple[Given, ...]
    outcomes: tuple[Outcome, ...]

    def working(self, system: str = "ip") -> str:
        """Write the formula with the numbers put in, and what came out of it."""
        put_in = self.calculation.working.format_map(
            {given.input.name: given.shown(system) for given in self.inputs}
        )
        return f"{put_in}: " + ", ".join(
            f"{outcome.result.name} = {outcome.shown_with_uncertainty(system)}" for outcome in self.outcomes
        )


def find_calculation(name: str) -> Calculation:
    """Give the calculation of this name; CalcError when there is none."""
    known = catalogue()
    if name not in known:
        raise CalcError(name, "no calculation has this name", "one that the list shows")
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
        expanded = None
        if varied and not result.exact and isinstance(value, float):
            expanded = _expanded(calculation, arguments, varied, position)
        kind = _result_kind(result, inputs)
        outcomes.append(Outcome(result, kind, float(value) if isinstance(value, int) else value, expanded))
    return Answer(calculation, inputs, tuple(outcomes))


class _Place(NamedTuple):
    parameter: str
    position: int
    measured: Measured


def _arguments(inputs: Sequence[Given]) -> tuple[dict[str, Any], list[_Place]]:
    """Give the function's arguments, lists as lists, and the places in them that carry an uncertainty."""
    arguments: dict[str, Any] = {}
    varied: list[_Place] = []
    for given in inputs:
        for item in given.items:
            parameter = given.input.parameter(item.kind if given.input.or_kind else None)
            values = arguments.setdefault(parameter, [] if given.input.list else [None])
            if given.input.list:
                values.append(item.value)
            else:
                arguments[parameter] = item.value
            if item.expanded > 0 and isinstance(item.value, float):
                place = len(values) - 1 if given.input.list else -1
                varied.append(_Place(parameter, place, Measured(item.value, item.expanded)))
    return arguments, varied


def _filled(arguments: Mapping[str, Any]) -> dict[str, Any]:
    return {name: tuple(value) if isinstance(value, list) else value for name, value in arguments.items()}


def _values(result: Any) -> tuple[Any, ...]:
    return tuple(result) if isinstance(result, tuple) else (result,)


def _expanded(
    calculation: Calculation, arguments: Mapping[str, Any], varied: Sequence[_Place], position: int
) -> float:
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

    if not calculation.shared_instrument:
        return combine(once, *(place.measured for place in varied)).expanded
    alone = []
    for place in varied:
        others = [
            other.measured._replace(expanded=0.0) if other is not place else place.measured
            for other in varied
        ]
        alone.append(combine(once, *others).expanded)
    return math.fsum(alone)


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
