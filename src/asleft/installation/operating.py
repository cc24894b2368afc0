"""Where a blower tier would run against the ducts as they were measured."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import hypot
from typing import TYPE_CHECKING

from asleft.calc import CalcError, Measured, combine
from asleft.installation.estimate import BY_TABLE, ducts_by_table, table_of

if TYPE_CHECKING:
    from asleft.equipment.model import Tier
    from asleft.installation.estimate import Estimate
    from asleft.installation.fans import FanTable
    from asleft.session.ledger import Ledger


LEAST_HELD = 0.05
"""Part of a small error that at least is given back along a fan table; any falling table gives all of it."""


@dataclass(frozen=True, slots=True)
class Predicted:
    """A tier's operating points against the estimated ducts."""

    tier: Tier
    cooling: Measured | None = None
    static_pa: Measured | None = None
    power_w: float | None = None
    heating: Measured | None = None
    heating_static_pa: Measured | None = None


def predict(ledger: Ledger, estimate: Estimate, tier: Tier) -> Predicted:
    """Where a tier would run; nothing but the tier while the ducts are not known."""
    ratio, k = estimate.pressure_ratio, estimate.duct_coefficient
    table = table_of(ledger, tier, "cooling", ratio)
    cooling, static_pa = _operating(estimate, table, k)
    heating, heating_static_pa = _operating(estimate, table_of(ledger, tier, "heating", ratio), k)
    power_w = table.power_at(static_pa.value) if static_pa else None
    return Predicted(tier, cooling, static_pa, power_w, heating, heating_static_pa)


def predict_in(ledger: Ledger, estimate: Estimate, ducts: Measured, tier: Tier) -> Predicted:
    """Where a tier would run against other ducts, whose airflow was read off a fan table."""
    return predict(ledger, replace(estimate, airflow_method=BY_TABLE, duct_coefficient=ducts), tier)


def heating_in_zone(ledger: Ledger, estimate: Estimate, total: Measured) -> Measured | None:
    """Heating airflow of the tier in force while some dampers are closed, from the static so in cooling."""
    tier = ledger.equipment.tier(estimate.tier)
    if tier is None:
        return None
    closed = ducts_by_table(table_of(ledger, tier, "cooling", estimate.pressure_ratio), total)
    return predict_in(ledger, estimate, closed, tier).heating if closed else None


def heating_at_final_drop(
    ledger: Ledger, estimate: Estimate, tier: Tier, now: Measured, final: Measured
) -> Measured | None:
    """Heating airflow of a tier when the filter, which drops `now` in cooling, has come to its final drop.

    The rest of the ducts keeps its curve; the filter takes its final drop whatever the airflow, for that is
    when it is changed.
    """
    total, k = estimate.total_static_pa, estimate.duct_coefficient
    if total is None or k is None or total.value <= 0.0:
        return None
    if estimate.airflow_method == BY_TABLE and (in_force := ledger.equipment.tier(estimate.tier)):
        read = table_of(ledger, in_force, "cooling", estimate.pressure_ratio)
        rest = combine(lambda p, f: (p - f) / read.airflow_or_refuse(p) ** 2, total, now)
    else:
        rest = combine(lambda k, p, f: k * (1.0 - f / p), k, total, now)
    heating = table_of(ledger, tier, "heating", estimate.pressure_ratio)
    airflow, _ = _operating(estimate, heating.behind(final.value), rest)
    if airflow is None or final.expanded <= 0.0:
        return airflow

    def behind(drop_pa: float) -> float:
        point = heating.behind(drop_pa).meets(rest.value)
        if point is None:
            raise CalcError("final_drop", "takes the ducts off the fan table", "a smaller drop")
        return point.airflow_m3s

    return Measured(airflow.value, hypot(airflow.expanded, combine(behind, final).expanded))


def _operating(
    estimate: Estimate, table: FanTable, k: Measured | None
) -> tuple[Measured | None, Measured | None]:
    """Airflow and static where a table meets ducts, U to first order (JCGM 100, 5.1.2).

    Ducts whose airflow was read off a table of the same maker share its error: every airflow is then off by
    one factor, and no static is. Ducts known otherwise meet a table whose error they had no part in.
    """
    point = table.meets(k.value) if k is not None else None
    if k is None or point is None:
        return None, None
    airflow, static_pa = point.airflow_m3s, point.static_pa
    slope = table.slope_at(static_pa)
    # What moves an airflow moves the static, and that moves the airflow back along the table; where airflow
    # rises as fast as the ducts let it, the point is hardly held, and its U is bounded.
    back = max(LEAST_HELD, 1.0 - 2.0 * k.value * airflow * slope)
    table_m3s = estimate.table_accuracy * airflow / (1.0 if estimate.airflow_method == BY_TABLE else back)
    table_pa = 0.0 if estimate.airflow_method == BY_TABLE else 2.0 * k.value * airflow * table_m3s
    ducts_pa = airflow**2 * k.expanded / back
    return (
        Measured(airflow, hypot(slope * ducts_pa, table_m3s)),
        Measured(static_pa, hypot(ducts_pa, table_pa)),
    )
