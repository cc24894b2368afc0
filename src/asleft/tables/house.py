"""Tables of houses and heat pumps."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from types import MappingProxyType
from typing import NamedTuple

from asleft.tables.loading import raw_table


class HeatingPoints(NamedTuple):
    """Outdoor temperatures, degF, at which a heat pump's heating capacity is tested."""

    high_f: float
    frost_f: float
    low_f: float


@cache
def constructions() -> Mapping[str, float]:
    """Give the thermal capacity in J/(K m2) of each class of construction, lightest first."""
    raw = raw_table("thermal_capacity")["construction"]
    return MappingProxyType({name: float(value) for name, value in raw.items()})


@cache
def heat_pump_points() -> HeatingPoints:
    """Give the test points of a heat pump's heating capacity."""
    raw = raw_table("heat_pump_points")
    return HeatingPoints(float(raw["high_f"]), float(raw["frost_f"]), float(raw["low_f"]))
