"""What the heat pump carries of this house, and what it leaves to auxiliary heat."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from asleft.calc import BalancePoint, balance_point, heating_capacity

if TYPE_CHECKING:
    from asleft.equipment.model import Pairing
    from asleft.installation.estimate import Estimate
    from asleft.session.ledger import Ledger

FROST_FACTOR = 0.90
"""Capacity at 35 degF against the 47-17 line where the maker is silent (simulation code, from memory)."""
OVERSIZE = 1.75
"""Largest kit, as a multiple of what the heat pump leaves at design (ACCA Manual S, from memory)."""
F35_C = (35.0 - 32.0) / 1.8


def capacity_at_35(pairing: Pairing) -> float:
    """Heating capacity at 35 degF, W: the maker's, else the frost allowance on the 47-17 line."""
    if pairing.capacity_35 is not None:
        return pairing.capacity_35
    return FROST_FACTOR * heating_capacity(pairing.capacity_47, pairing.capacity_17)(F35_C)


def capacity_line(pairing: Pairing) -> Callable[[float], float]:
    """Heating capacity by outdoor temperature, W."""
    return heating_capacity(pairing.capacity_47, pairing.capacity_17, capacity_at_35(pairing))


def balance(ledger: Ledger, estimate: Estimate) -> BalancePoint | None:
    """Balance point, with the frost allowance where the maker is silent."""
    pairing, e = ledger.pairing, estimate
    if pairing is None or e.design_load_w is None or e.design_temperature_c is None:
        return None
    if e.zero_load_c <= e.design_temperature_c:
        return None
    return balance_point(
        pairing.capacity_47,
        pairing.capacity_17,
        e.design_load_w,
        e.design_temperature_c,
        e.zero_load_c,
        capacity_at_35(pairing),
    )


def capacity_at(ledger: Ledger, outdoor_c: float) -> float | None:
    """Heat-pump capacity at an outdoor temperature, W; nothing below its cut-out."""
    pairing, pump = ledger.pairing, ledger.equipment.heat_pump
    if pairing is None or pump is None:
        return None
    if pump.cut_out is not None and outdoor_c < pump.cut_out:
        return 0.0
    return max(0.0, capacity_line(pairing)(outdoor_c))


def shortfall_w(ledger: Ledger, estimate: Estimate) -> float | None:
    """Load at design that the heat pump does not carry, W; all of it without a heat pump."""
    e = estimate
    if e.design_load_w is None or e.design_temperature_c is None:
        return None
    if ledger.pairing is None:
        alone = ledger.situation.outdoor == "none" or not ledger.equipment.heat_pump
        return e.design_load_w if alone else None
    capacity = capacity_at(ledger, e.design_temperature_c)
    return None if capacity is None else max(0.0, e.design_load_w - capacity)
