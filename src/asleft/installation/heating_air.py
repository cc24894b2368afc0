"""The air that heating would move, how warm it would leave, and whether that may be."""

from __future__ import annotations

from typing import TYPE_CHECKING

from asleft.calc import Measured, combine, rise_from_airflow
from asleft.installation.heat_pump import capacity_at
from asleft.installation.outlook import Figure, Judged

if TYPE_CHECKING:
    from asleft.equipment.model import Heater
    from asleft.installation.reckoning import Reckoning


def decided_heating(reckoning: Reckoning) -> Measured | None:
    """Heating airflow predicted for the tier decided; measured where that tier is in force."""
    equipment, estimate = reckoning.equipment, reckoning.estimate
    option = reckoning.decided("blower-tier")
    tier = equipment.tier(str(option.value)) if option else equipment.tier(estimate.tier)
    if tier is None:
        return None
    if tier.id == estimate.tier and estimate.heating_airflow_m3s is not None:
        return estimate.heating_airflow_m3s
    return reckoning.predicted(tier).heating


def leaving(reckoning: Reckoning, heating: Measured | None, share: float) -> tuple[Figure, Figure] | None:
    """Rise of a share of the kit, and leaving air with the heat pump on at the lockout temperature."""
    e, pump_w = reckoning.estimate, _pump_w(reckoning)
    if heating is None:
        return None
    heat = e.heater_power_w if e.heater_power_w is not None and share > 0.0 else None
    kit = heat or Measured(0.0, 0.0)

    def rise(heat_w: float, airflow_m3s: float) -> float:
        if heat is None:
            return 0.0
        return rise_from_airflow(heat_w * share, airflow_m3s, e.fan_power_w or 0.0, e.altitude_m)

    def warm(back_c: float, heat_w: float, airflow_m3s: float) -> float:
        # One airflow carries the heat of both.
        return back_c + rise(heat_w, airflow_m3s) + rise_from_airflow(pump_w, airflow_m3s, 0.0, e.altitude_m)

    return (
        Figure("temperature_difference", *combine(rise, kit, heating)),
        Figure("temperature", *combine(warm, e.return_air_c, kit, heating)),
    )


def pump_rise(reckoning: Reckoning, heating: Measured) -> Measured:
    """Rise that the heat pump adds at the lockout temperature decided, K; else at 47 degF."""
    watts, altitude_m = _pump_w(reckoning), reckoning.estimate.altitude_m
    return combine(lambda q: rise_from_airflow(watts, q, 0.0, altitude_m), heating)


def _pump_w(reckoning: Reckoning) -> float:
    ledger = reckoning.ledger
    pairing = ledger.pairing
    if pairing is None:
        return 0.0
    lockout = reckoning.decided("outdoor-lockout")
    capacity = capacity_at(ledger, float(lockout.value)) if lockout else None
    return max(0.0, pairing.capacity_47 if capacity is None else capacity)


def heating_judged(
    reckoning: Reckoning, kit: Heater, heating: Figure, warm: Figure | None
) -> tuple[Judged, ...]:
    """Heating airflow, as standard air, against the kit's least, and leaving air against the highest."""
    judged: list[Judged] = []
    least = kit.least(reckoning.ledger.situation.orientation)
    highest_c = reckoning.equipment.limits.leaving_air
    if least is not None:
        ratio = reckoning.estimate.pressure_ratio
        standard = Figure("airflow", heating.value * ratio, heating.expanded * ratio)
        judged.append(Judged.of("BL-11", standard, least, None))
    if warm is not None and highest_c is not None:
        judged.append(Judged.of("HS-5", warm, None, highest_c))
    return tuple(judged)
