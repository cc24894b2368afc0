"""What else can be read of the air in cooling: filter, smallest zone, fan alone, traverse, power."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from asleft.installation.moving_air import STILL, Air, moving

if TYPE_CHECKING:
    from asleft.installation.moment import Moment


def more_air(now: Moment) -> dict[str, float]:
    """True values by field id, as the same instruments show them that read the statics."""
    air = now.air("cooling")
    found = {
        "blower.static.filter": air.filter_pa,
        **_both(now, "blower.fan_only", now.air("fan")),
        "blower.traverse": air.airflow_m3s,
        "blower.power": air.power_w,
    }
    if now.truth.ducts.zone_added > 0.0:
        found |= _both(now, "blower.zone", _in_smallest_zone(now))
    return found


def _both(now: Moment, place: str, air: Air) -> dict[str, float]:
    supply, back = now.statics(air)
    return {f"{place}.supply": supply, f"{place}.return": back}


def _in_smallest_zone(now: Moment) -> Air:
    """The air in cooling while every damper but the smallest zone's is closed."""
    if not now.circuits.alive:
        return STILL
    ducts = now.truth.ducts
    closed = replace(ducts, supply_added=ducts.supply_added + ducts.zone_added)
    return moving(replace(now.truth, ducts=closed), now.equipment, now.tier, "cooling")
