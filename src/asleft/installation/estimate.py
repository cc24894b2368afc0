"""The installed unit as far as the readings tell, every figure with its uncertainty and what it rests on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, NamedTuple

from asleft.calc import (
    CalcError,
    Measured,
    airflow_from_rise,
    combine,
    heater_power,
    pressure_ratio,
    thermal_capacity,
)
from asleft.installation.fans import FanTable, outside_taps_pa
from asleft.session.readings import Known, known

if TYPE_CHECKING:
    from asleft.equipment.model import Tier, Use
    from asleft.session.ledger import Ledger

TABLE_ACCURACY = 0.05
"""Expanded uncertainty of a fan table whose maker gives none, as a fraction (common practice)."""
RETURN_AIR_C = (70.0 - 32.0) / 1.8
"""Return air where it was not measured, 70 degF (common practice)."""
ZERO_LOAD_C = (65.0 - 32.0) / 1.8
"""Outdoor temperature above which a house needs no heat where nobody says, 65 degF (AHRI 210/240)."""


RETURN_AIR = Measured(RETURN_AIR_C, 0.0)


@dataclass(frozen=True, slots=True)
class Estimate:
    """Figures in base units. None: not known from the readings at hand. `rests` names the fields of each."""

    altitude_m: float
    altitude_assumed: bool
    pressure_ratio: float
    orientation: str | None
    kit: str | None
    tier: str | None
    supply_coefficient: Measured | None = None
    return_coefficient: Measured | None = None
    total_static_pa: Measured | None = None
    airflow_m3s: Measured | None = None
    airflow_method: str = ""
    airflow_by_rise_m3s: Measured | None = None
    heating_static_pa: Measured | None = None
    heating_airflow_m3s: Measured | None = None
    heating_airflow_method: str = ""
    fan_power_w: float | None = None
    line_idle_v: Measured | None = None
    line_heat_v: Measured | None = None
    source_resistance_ohm: Measured | None = None
    heater_power_w: Measured | None = None
    return_air_c: Measured = RETURN_AIR
    design_load_w: float | None = None
    design_temperature_c: float | None = None
    zero_load_c: float = ZERO_LOAD_C
    heat_loss_coefficient_wk: float | None = None
    thermal_capacity_jk: float | None = None
    table_accuracy: float = TABLE_ACCURACY
    rests: Mapping[str, tuple[str, ...]] = field(default_factory=dict)


COOLING_STATICS = ("blower.static.supply", "blower.static.return")
HEATING_STATICS = ("heat.static.supply", "heat.static.return")


def table_of(ledger: Ledger, tier: Tier, use: Use, ratio: float) -> FanTable:
    """A tier's fan table for a use, with the kit fitted, at this site's air pressure."""
    blower = ledger.equipment.blower
    return FanTable.of(tier.at(use), blower, ratio, outside_taps_pa(blower, ledger.kit))


def estimate(ledger: Ledger) -> Estimate:
    """What the newest readings that are not stale say of the installation."""
    return _Reckoning(ledger).result()


class _House(NamedTuple):
    load_w: float | None
    design_c: float | None
    zero_c: float
    coefficient_wk: float | None
    capacity_jk: float | None


class _Reckoning:
    """One pass over a ledger's readings."""

    def __init__(self, ledger: Ledger) -> None:
        self.ledger = ledger
        self.rests: dict[str, tuple[str, ...]] = {}
        altitude = self.number("identity.altitude")
        self.altitude_m = altitude.value if altitude else 0.0
        self.altitude_assumed = altitude is None
        self.ratio = pressure_ratio(self.altitude_m)
        in_force = ledger.role_in_force("blower-tier")
        only = ledger.equipment.blower.tier[0] if len(ledger.equipment.blower.tier) == 1 else None
        self.tier = ledger.equipment.tier(str(in_force.value)) if in_force else only
        self.accuracy = ledger.equipment.blower.table_accuracy or TABLE_ACCURACY

    def number(self, field_id: str) -> Known | None:
        return known(self.ledger, field_id)

    def result(self) -> Estimate:
        total, supply, back = self.statics(COOLING_STATICS)
        airflow, power = self.by_table("cooling", total)
        heat_total, _, _ = self.statics(HEATING_STATICS)
        heating, _ = self.by_table("heating", heat_total)
        idle, loaded, resistance = self.line()
        heater = self.heater(loaded or idle)
        by_rise = self.by_rise(heater, power)
        method = "fan table" if airflow else ""
        if airflow is None and by_rise is not None:
            airflow, method = by_rise, "rise"
        heating_method = "fan table" if heating else ""
        if heating is None and by_rise is not None:
            heating, heating_method = by_rise, "rise"
        house = self.house()
        coefficients = [_coefficient(side, airflow) for side in (supply, back)]
        self.rests["airflow"] = COOLING_STATICS if method == "fan table" else self.rise_fields()
        self.rests["heating airflow"] = (
            HEATING_STATICS if heating_method == "fan table" else self.rise_fields()
        )
        return Estimate(
            altitude_m=self.altitude_m,
            altitude_assumed=self.altitude_assumed,
            pressure_ratio=self.ratio,
            orientation=self.ledger.situation.orientation,
            kit=self.ledger.kit.id if self.ledger.kit else None,
            tier=self.tier.id if self.tier else None,
            supply_coefficient=coefficients[0],
            return_coefficient=coefficients[1],
            total_static_pa=total,
            airflow_m3s=airflow,
            airflow_method=method,
            airflow_by_rise_m3s=by_rise,
            heating_static_pa=heat_total,
            heating_airflow_m3s=heating,
            heating_airflow_method=heating_method,
            fan_power_w=power,
            line_idle_v=idle,
            line_heat_v=loaded,
            source_resistance_ohm=resistance,
            heater_power_w=heater,
            return_air_c=self.return_air(),
            table_accuracy=self.accuracy,
            rests=self.rests,
            design_load_w=house.load_w,
            design_temperature_c=house.design_c,
            zero_load_c=house.zero_c,
            heat_loss_coefficient_wk=house.coefficient_wk,
            thermal_capacity_jk=house.capacity_jk,
        )

    def statics(self, fields: tuple[str, str]) -> tuple[Measured | None, Measured | None, Measured | None]:
        """Total and both sides. One manometer read both, so their uncertainties add."""
        supply, back = self.number(fields[0]), self.number(fields[1])
        if supply is None or back is None:
            return None, None, None
        total = Measured(supply.value + abs(back.value), supply.expanded + back.expanded)
        return (
            total,
            Measured(abs(supply.value), supply.expanded),
            Measured(abs(back.value), back.expanded),
        )

    def by_table(self, use: Use, total: Measured | None) -> tuple[Measured | None, float | None]:
        """Actual airflow from the table of the tier in force, None outside the table; and the fan's power."""
        if total is None or self.tier is None or total.value <= 0.0:
            return None, None
        table = table_of(self.ledger, self.tier, use, self.ratio)
        if table.airflow_at(total.value) is None:
            return None, None
        try:
            from_static = combine(table.airflow_or_refuse, total)
        except CalcError:
            return None, None
        own = self.accuracy * from_static.value
        expanded = (from_static.expanded**2 + own**2) ** 0.5
        return Measured(from_static.value, expanded), table.power_at(total.value)

    def line(self) -> tuple[Measured | None, Measured | None, Measured | None]:
        """Idle and loaded line voltage, and the source resistance between them."""
        idle, loaded = self.number("electrical.line.l1_l2"), self.number("electrical.loaded.l1_l2")
        at_idle = Measured(idle.value, idle.expanded) if idle else None
        at_load = Measured(loaded.value, loaded.expanded) if loaded else None
        amps = [k for n in self.circuits() if (k := self.number(f"electrical.circuit.{n}.called.l1"))]
        if at_idle is None or at_load is None or not amps or sum(a.value for a in amps) <= 0.0:
            return at_idle, at_load, None
        total = Measured(sum(a.value for a in amps), sum(a.expanded for a in amps))
        self.rests["source resistance"] = ("electrical.line.l1_l2", "electrical.loaded.l1_l2")
        return at_idle, at_load, combine(lambda i, v, a: (i - v) / a, at_idle, at_load, total)

    def circuits(self) -> range:
        kit = self.ledger.kit
        return range(1, len(kit.circuit if kit else ()) + 1)

    def heater(self, volts: Measured | None) -> Measured | None:
        """Heat of all stages at the voltage measured with heat on, else idle, else nominal."""
        kit, supply = self.ledger.kit, self.ledger.supply
        if kit is None:
            return None
        if volts is None or volts.value <= 0.0:
            if supply is None:
                return None
            volts = Measured(supply.nominal, 0.0)
        return combine(lambda v: heater_power(kit.power, kit.voltage, v, kit.phases).power_w, volts)

    def rise_fields(self) -> tuple[str, ...]:
        kit = self.ledger.kit
        n = len(kit.stage) if kit else 0
        return (f"heat.stage.{n}.return_air", f"heat.stage.{n}.leaving_air") if n else ()

    def by_rise(self, heater: Measured | None, blower_w: float | None) -> Measured | None:
        """Airflow from the rise of all stages, the blower's watts counted in."""
        fields = self.rise_fields()
        if not fields or heater is None:
            return None
        back, leaving = self.number(fields[0]), self.number(fields[1])
        if back is None or leaving is None or leaving.value <= back.value:
            return None
        altitude, watts = self.altitude_m, blower_w or 0.0
        return combine(
            lambda p, r, s: airflow_from_rise(p, s - r, watts, altitude),
            heater,
            Measured(back.value, back.expanded),
            Measured(leaving.value, leaving.expanded),
        )

    def return_air(self) -> Measured:
        fields = self.rise_fields()
        back = self.number(fields[0]) if fields else None
        return Measured(back.value, back.expanded) if back else Measured(RETURN_AIR_C, 0.0)

    def house(self) -> _House:
        load, design = self.number("heat.design_load"), self.number("heat.design_temperature")
        zero = self.number("heat.zero_load_temperature")
        zero_c = zero.value if zero else ZERO_LOAD_C
        area, construction = self.number("delay.floor_area"), self.ledger.current("delay.construction")
        capacity = thermal_capacity(area.value, str(construction.value)) if area and construction else None
        coefficient = None
        if load and design and zero_c > design.value:
            coefficient = load.value / (zero_c - design.value)
        self.rests["house"] = ("heat.design_load", "heat.design_temperature", "heat.zero_load_temperature")
        return _House(
            load.value if load else None, design.value if design else None, zero_c, coefficient, capacity
        )


def _coefficient(side: Measured | None, airflow: Measured | None) -> Measured | None:
    """Static over airflow squared, Pa/(m3/s)2."""
    if side is None or airflow is None or airflow.value <= 0.0:
        return None
    return combine(lambda p, q: p / q**2, side, airflow)
