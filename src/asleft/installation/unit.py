"""One installed unit as it really is: everything that a person can only measure."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Branch:
    """One branch circuit as installed. `loop_ohm` times line current is its drop, line to line.

    `capacity_a` is the conductor's capacity by local rules, where those of North America do not govern.
    """

    device_a: float
    conductor: str
    material: str
    insulation_c: int
    ambient_c: float
    conductors: int
    loop_ohm: float
    capacity_a: float | None = None


@dataclass(frozen=True, slots=True)
class Installation:
    """The truth behind the readings, in base units; a fault is a change to it.

    `exponent`, `fan_factor`, `element_factors` and `rise_factor` are what the estimate does not model: ducts
    that do not follow the square, a blower off its table, elements off their rating, a probe that lags.
    `source_v` is the mean of three line voltages; `spread` how far L1-L2, L2-L3 and L3-L1 are off it, as
    fractions.
    """

    source_v: float
    source_ohm: float
    system: str
    phases: int
    ground_ohm: float
    control_factor: float
    control_regulation: float
    branches: tuple[Branch, ...]
    kit: str | None
    element_factors: tuple[float, ...]
    orientation: str | None
    altitude_m: float
    supply_coefficient: float
    return_coefficient: float
    exponent: float
    fan_factor: float
    blower_power_factor: float
    return_air_c: float
    rise_factor: float
    standby_a: float
    spread: tuple[float, float, float] = (0.0, 0.0, 0.0)
