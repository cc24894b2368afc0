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
    heater, e = reckoning.estimate.heater_power_w, reckoning.estimate
    if heating is None:
        return None
    rise = Measured(0.0, 0.0)
    if heater is not None and share > 0.0:
        rise = combine(
            lambda p, q: rise_from_airflow(p * share, q, e.fan_power_w or 0.0, e.altitude_m), heater, heating
        )
    pump = pump_rise(reckoning, heating)
    warm = Measured(
        e.return_air_c.value + rise.value + pump.value,
        (e.return_air_c.expanded**2 + (rise.expanded + pump.expanded) ** 2) ** 0.5,
    )
    return Figure("temperature_difference", *rise), Figure("temperature", *warm)


def pump_rise(reckoning: Reckoning, heating: Measured) -> Measured:
    """Rise that the heat pump adds at the lockout temperature decided, K; else at 47 degF."""
    ledger, estimate = reckoning.ledger, reckoning.estimate
    pairing = ledger.pairing
    if pairing is None:
        return Measured(0.0, 0.0)
    lockout = reckoning.decided("outdoor-lockout")
    capacity = capacity_at(ledger, estimate, float(lockout.value)) if lockout else None
    watts = pairing.capacity_47 if capacity is None else capacity
    if watts <= 0.0:
        return Measured(0.0, 0.0)
    return combine(lambda q: rise_from_airflow(watts, q, 0.0, estimate.altitude_m), heating)


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
