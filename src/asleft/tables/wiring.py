"""Tables of conductors and the devices that protect them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from asleft.tables.loading import TableError, raw_table

COLUMNS = (60, 75, 90)
"""Insulation temperatures, degC, that have a column in the ampacity table."""

MATERIALS = ("copper", "aluminium")

_M_PER_KFT = 304.8


@dataclass(frozen=True, slots=True)
class Conductor:
    """One conductor size: ampacity by column in amperes (none for control wire), ohm/m at 75 degC."""

    size: str
    material: str
    ampacity_a: Mapping[int, float]
    ohm_per_m: float
    largest_device_a: float | None


@cache
def device_sizes() -> tuple[float, ...]:
    """Give the standard ampere ratings of overcurrent devices, smallest first."""
    return tuple(float(size) for size in raw_table("device_sizes")["size_a"])


@cache
def conductors(material: str) -> Mapping[str, Conductor]:
    """Give every tabled size of a material, thinnest first, gauge sizes before metric ones."""
    if material not in MATERIALS:
        raise TableError(f"no table for {material!r}", found=material, expected="copper or aluminium")
    gauge = raw_table("conductors_awg")
    caps = raw_table("small_conductors")[material]
    found: dict[str, Conductor] = {}
    for row in gauge["size"]:
        if material in row:
            name, columns = row["name"], row[material].get("ampacity", [])
            ampacity = {column: float(value) for column, value in zip(COLUMNS, columns, strict=bool(columns))}
            found[name] = Conductor(
                name,
                material,
                MappingProxyType(ampacity),
                row[material]["ohm_per_kft"] / _M_PER_KFT,
                float(caps[name]) if name in caps else None,
            )
    metric = raw_table("conductors_mm2")
    warming = gauge["resistance_at_c"] - metric["resistance_at_c"]
    warmer = 1 / (1 - gauge["temperature_coefficient"][material] * warming)
    for row in metric.get(material, ()):
        name = row["name"]
        found[name] = Conductor(name, material, MappingProxyType({}), row["ohm_per_km"] / 1000 * warmer, None)
    return MappingProxyType(found)


def conductor(size: str, material: str) -> Conductor:
    """Give one size of one material; TableError when it is not tabled."""
    table = conductors(material)
    if size not in table:
        raise TableError(f"no {material} {size} in the table", found=size, expected=", ".join(table))
    return table[size]


@cache
def _bands() -> tuple[tuple[float, Mapping[int, float]], ...]:
    return tuple(
        (float(band["top_c"]), MappingProxyType(dict(zip(COLUMNS, band["factor"], strict=True))))
        for band in raw_table("ambient_factors")["band"]
    )


def ambient_factor(ambient_c: float, column: int) -> float:
    """Give the factor of the first band whose top is at or above the ambient; TableError if none."""
    for top_c, factors in _bands():
        if ambient_c <= top_c:
            if factors[column] > 0:
                return factors[column]
            break
    highest = max(top_c for top_c, factors in _bands() if factors[column] > 0)
    raise TableError(
        f"no factor at {ambient_c:g} degC for {column} degC insulation",
        found=f"{ambient_c:g} degC",
        expected=f"at most {highest:g} degC",
    )


def bundling_factor(count: int) -> float:
    """Give the factor for this many current-carrying conductors together."""
    rows = raw_table("bundling_factors")["row"]
    return float(next(row["factor"] for row in rows if count <= row.get("most", count)))


@cache
def motor_derating() -> tuple[tuple[float, float], ...]:
    """Give (unbalance, factor) points of a three-phase motor's derating, joined by straight lines."""
    raw = raw_table("motor_derating")
    return tuple(zip(raw["unbalance"], raw["factor"], strict=True))
