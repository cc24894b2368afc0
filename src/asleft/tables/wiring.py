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
class Resistance:
    """A resistance as tabled, ohm for a length at a temperature, and what takes it to another temperature."""

    ohm: float
    length: str
    length_m: float
    at_c: float
    to_c: float
    coefficient: float

    @property
    def ohm_per_m(self) -> float:
        """The resistance of a metre at the other temperature: R2 = R1 / (1 - a (T2 - T1)), a at T2."""
        return self.ohm / self.length_m / (1 - self.coefficient * (self.to_c - self.at_c))


@dataclass(frozen=True, slots=True)
class Conductor:
    """One conductor size: ampacity by column in amperes (none for control wire), ohm/m at 75 degC."""

    size: str
    material: str
    ampacity_a: Mapping[int, float]
    resistance: Resistance
    largest_device_a: float | None

    @property
    def ohm_per_m(self) -> float:
        """The resistance of a metre at 75 degC."""
        return self.resistance.ohm_per_m


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
    warm_c, coefficient = float(gauge["resistance_at_c"]), gauge["temperature_coefficient"][material]
    found: dict[str, Conductor] = {}
    for row in gauge["size"]:
        if material in row:
            name, columns = row["name"], row[material].get("ampacity", [])
            ampacity = {column: float(value) for column, value in zip(COLUMNS, columns, strict=bool(columns))}
            ohm = float(row[material]["ohm_per_kft"])
            found[name] = Conductor(
                name,
                material,
                MappingProxyType(ampacity),
                Resistance(ohm, "1000 ft", _M_PER_KFT, warm_c, warm_c, coefficient),
                float(caps[name]) if name in caps else None,
            )
    metric = raw_table("conductors_mm2")
    for row in metric.get(material, ()):
        name, ohm = row["name"], float(row["ohm_per_km"])
        tabled = Resistance(ohm, "km", 1000.0, float(metric["resistance_at_c"]), warm_c, coefficient)
        found[name] = Conductor(name, material, MappingProxyType({}), tabled, None)
    return MappingProxyType(found)


@cache
def iec_device_sizes() -> tuple[float, ...]:
    """Give the preferred ampere ratings of circuit-breakers of IEC 60898-1, smallest first."""
    return tuple(float(size) for size in raw_table("device_sizes_iec")["size_a"])


@cache
def iec_capacities(phases: int) -> Mapping[str, float]:
    """Give the capacity in amperes of every copper size, thinnest first, on a circuit of 1 or 3 phases.

    For invented sites; on a real one the technician enters what the local rules give.
    """
    rows = raw_table("capacities_iec")["copper"]
    return MappingProxyType({row["name"]: float(row["loaded"][phases == 3]) for row in rows})


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
        if ambient_c <= top_c and factors[column] > 0:
            return factors[column]
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
