"""The working of each calculation, step by step, with every number put in."""

from __future__ import annotations

from collections.abc import Callable

from asleft.calc.steps import air_and_heat, ducts, electricity, house, metrology
from asleft.calc.steps.sheet import Sheet, number

__all__ = ["Sheet", "number", "steps_of"]

_ROOMS = (air_and_heat, electricity, ducts, house, metrology)


def steps_of(name: str) -> Callable[[Sheet], list[str]]:
    """Give the function that writes the steps of the calculation with this name."""
    plain = name.replace("-", "_")
    found: Callable[[Sheet], list[str]] = next(
        getattr(room, plain)
        for room in _ROOMS
        if plain in vars(room) and vars(room)[plain].__module__ == room.__name__
    )
    return found
