"""When a reading that was entered is the one that a virtual unit showed."""

from __future__ import annotations

from asleft.quantity import QuantityError, parse

NEAR = 0.03
"""A reading within this part of what the unit showed counts as it: instruments scatter (ours)."""
NEAR_TOO = {
    "voltage": 0.5,
    "current": 0.3,
    "static_pressure": 3.0,
    "temperature": 1.2,
    "resistance": 0.1,
    "airflow": 0.01,
    "electric_power": 15.0,
}
"""Or within this much, in the base unit: twice what the coarsest range shows of small values (ours)."""


def near(kind: str, value: float | None, showed: str) -> bool:
    """Whether a value in its base unit counts as what was shown, a text with its unit."""
    try:
        there = parse(showed, kind).value
    except QuantityError:
        return False
    return value is not None and abs(value - there) <= max(NEAR * abs(there), NEAR_TOO.get(kind, 0.0))
