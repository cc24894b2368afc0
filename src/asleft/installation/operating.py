"""Where a blower tier would run against the ducts as they were measured."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from asleft.calc import Measured, combine
from asleft.installation.estimate import table_of

if TYPE_CHECKING:
    from asleft.calc import OperatingPoint
    from asleft.equipment.model import Tier, Use
    from asleft.installation.estimate import Estimate
    from asleft.session.ledger import Ledger


@dataclass(frozen=True, slots=True)
class Predicted:
    """A tier's operating points against the estimated ducts."""

    tier: Tier
    cooling: Measured | None
    static_pa: Measured | None
    power_w: float | None
    heating: Measured | None


def predict(ledger: Ledger, estimate: Estimate, tier: Tier) -> Predicted:
    """Where a tier would run; nothing but the tier while the ducts are not known."""
    k = _coefficient(estimate)
    if k is None:
        return Predicted(tier, None, None, None, None)
    cooling, point = _operating(ledger, estimate, tier, "cooling", k)
    heating, _ = _operating(ledger, estimate, tier, "heating", k)
    static = Measured(point.static_pa, _static_expanded(point, cooling, k)) if point and cooling else None
    table = table_of(ledger, tier, "cooling", estimate.pressure_ratio)
    power = table.power_at(point.static_pa) if point else None
    return Predicted(tier, cooling, static, power, heating)


def _coefficient(estimate: Estimate) -> Measured | None:
    """Both sides' coefficients together; one manometer read both, one airflow divides both."""
    total, airflow = estimate.total_static_pa, estimate.airflow_m3s
    if total is None or airflow is None or airflow.value <= 0.0:
        return None
    return combine(lambda p, q: p / q**2, total, airflow)


def _operating(
    ledger: Ledger, estimate: Estimate, tier: Tier, use: Use, k: Measured
) -> tuple[Measured | None, OperatingPoint | None]:
    table = table_of(ledger, tier, use, estimate.pressure_ratio)
    point = table.meets(k.value)
    if point is None:
        return None, None
    low, high = table.meets(max(k.value - k.expanded, 1e-9)), table.meets(k.value + k.expanded)
    ends = [p.airflow_m3s for p in (low, high) if p is not None]
    swing = max((abs(q - point.airflow_m3s) for q in ends), default=0.0)
    own = estimate.table_accuracy * point.airflow_m3s
    return Measured(point.airflow_m3s, (swing**2 + own**2) ** 0.5), point


def _static_expanded(point: OperatingPoint, airflow: Measured, k: Measured) -> float:
    """Static on the system curve: its own coefficient and the airflow's table, to first order."""
    by_flow = 2.0 * airflow.expanded / point.airflow_m3s
    by_curve = k.expanded / k.value if k.value else 0.0
    return point.static_pa * math.hypot(by_flow, by_curve)
