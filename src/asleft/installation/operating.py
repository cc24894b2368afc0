"""Where a blower tier would run against the ducts as they were measured."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot
from typing import TYPE_CHECKING

from asleft.calc import Measured
from asleft.installation.estimate import BY_TABLE, table_of

if TYPE_CHECKING:
    from asleft.equipment.model import Tier, Use
    from asleft.installation.estimate import Estimate
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


def predict(ledger: Ledger, estimate: Estimate, tier: Tier) -> Predicted:
    """Where a tier would run; nothing but the tier while the ducts are not known."""
    cooling, static_pa = _operating(ledger, estimate, tier, "cooling")
    heating, _ = _operating(ledger, estimate, tier, "heating")
    table = table_of(ledger, tier, "cooling", estimate.pressure_ratio)
    power_w = table.power_at(static_pa.value) if static_pa else None
    return Predicted(tier, cooling, static_pa, power_w, heating)


def _operating(
    ledger: Ledger, estimate: Estimate, tier: Tier, use: Use
) -> tuple[Measured | None, Measured | None]:
    """Airflow and static where the tier's table meets the ducts, U to first order (JCGM 100, 5.1.2).

    Ducts whose airflow was read off a table of the same maker share its error: every airflow is then off by
    one factor, and no static is. Ducts known otherwise meet a table whose error they had no part in.
    """
    k, table = estimate.duct_coefficient, table_of(ledger, tier, use, estimate.pressure_ratio)
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
