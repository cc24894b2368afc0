"""Where the blower meets the ducts as they are."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from asleft.calc import pressure_ratio
from asleft.installation.fans import FanTable

if TYPE_CHECKING:
    from asleft.equipment.model import Equipment, Tier, Use
    from asleft.installation.unit import Installation


@dataclass(frozen=True, slots=True)
class Air:
    """The blower's operating point; statics and the filter's drop as amounts below or above the room."""

    airflow_m3s: float
    supply_pa: float
    return_pa: float
    filter_pa: float
    power_w: float


STILL = Air(0.0, 0.0, 0.0, 0.0, 0.0)
"""A blower that does not turn."""


def moving(truth: Installation, equipment: Equipment, tier: Tier, use: Use) -> Air:
    """Where a tier's blower meets these ducts; at the end of its table where they leave it."""
    table, ducts = _table(truth, equipment, tier, use), truth.ducts
    supply = truth.supply_coefficient + ducts.supply_added
    back = truth.return_coefficient + ducts.return_added + ducts.filter_added
    through_filter = truth.return_coefficient * ducts.filter_part + ducts.filter_added
    whole = supply + back
    point = table.meets(whole, truth.exponent)
    airflow = point.airflow_m3s if point else _end(table, whole, truth.exponent)
    per = airflow**truth.exponent
    low, high = table.static_pa[0] * table.ratio, table.static_pa[-1] * table.ratio
    power = table.power_at(min(max(whole * per, low), high))
    watts = power if power is not None else 0.5 * whole * per * airflow + 300.0 * airflow
    return Air(airflow, supply * per, back * per, through_filter * per, watts)


def _table(truth: Installation, equipment: Equipment, tier: Tier, use: Use) -> FanTable:
    """The tier's table as this blower keeps it: airflow by speed, static by its square, power by its cube."""
    kit, ratio = equipment.kit(truth.kit), pressure_ratio(truth.altitude_m)
    table, speed = FanTable.of(tier, use, equipment.blower, kit, ratio), truth.ducts.blower_speed
    return replace(
        table,
        static_pa=tuple(p * speed**2 for p in table.static_pa),
        airflow_m3s=tuple(q * truth.fan_factor * speed for q in table.airflow_m3s),
        power_static_pa=tuple(p * speed**2 for p in table.power_static_pa),
        power_w=tuple(w * speed**3 for w in table.power_w),
    )


def _end(table: FanTable, coefficient: float, exponent: float) -> float:
    low, high = table.static_pa[0] * table.ratio, table.static_pa[-1] * table.ratio
    first, last = table.airflow_m3s[0] * table.volume, table.airflow_m3s[-1] * table.volume
    if coefficient * first**exponent < low:
        return first
    return min(last, math.pow(max(high, 0.0) / coefficient, 1.0 / exponent))
