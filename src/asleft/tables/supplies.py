"""Tables of supply voltages."""

from __future__ import annotations

from functools import cache

from asleft.tables.loading import raw_table


@cache
def supply_range(place: str, name: str) -> tuple[float, float]:
    """Give lowest and highest as fractions of nominal, for a place and a range of ANSI C84.1."""
    raw = raw_table("supply_ranges")
    lowest, highest = raw[place][name]
    return lowest / raw["base_v"], highest / raw["base_v"]


def base_voltage() -> float:
    """Give the nominal voltage for which ANSI C84.1's ranges are tabled, V."""
    return float(raw_table("supply_ranges")["base_v"])


@cache
def iec_supply_range(place: str) -> tuple[float, float]:
    """Give lowest and highest as fractions of nominal, for a place on an IEC 60038 supply."""
    lowest, highest = raw_table("supply_ranges_iec")[place]
    return lowest, highest


@cache
def iec_nominals() -> frozenset[float]:
    """Give the nominal voltages that belong to IEC 60038 and not to ANSI C84.1."""
    return frozenset(float(volts) for volts in raw_table("supply_ranges_iec")["nominal_v"])
