"""The installed unit as far as the readings tell, every figure with its uncertainty and what it rests on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from math import hypot
from typing import TYPE_CHECKING, NamedTuple

from asleft.calc import (
    CalcError,
    Measured,
    airflow_from_rise,
    combine,
    pressure_ratio,
    thermal_capacity,
)
from asleft.installation.fans import FanTable
from asleft.installation.line_read import read_line
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
    """Figures in base units. None: not known from the readings at hand. `rests` names the fields of each.

    `airflow_by_rise_m3s` is that at the heating speed, `rise_in_cooling_m3s` what it comes to in cooling.
    `duct_coefficient` is static over airflow squared, Pa/(m3/s)2, its U without the error of the fan table
    that gave the airflow. `heat_to_stage_w` is the heat with stages 1 to n on, for each n; `heater_power_w`
    that of all.
    """

    altitude_m: float
    altitude_assumed: bool
    pressure_ratio: float
    orientation: str | None
    kit: str | None
    tier: str | None
    duct_coefficient: Measured | None = None
    total_static_pa: Measured | None = None
    airflow_m3s: Measured | None = None
    airflow_method: str = ""
    airflow_by_table_m3s: Measured | None = None
    airflow_by_rise_m3s: Measured | None = None
    airflow_by_traverse_m3s: Measured | None = None
    rise_in_cooling_m3s: Measured | None = None
    heating_static_pa: Measured | None = None
    heating_airflow_m3s: Measured | None = None
    heating_airflow_method: str = ""
    heating_by_table_m3s: Measured | None = None
    fan_power_w: float | None = None
    heating_fan_power_w: float | None = None
    line_idle_v: Measured | None = None
    line_heat_v: Measured | None = None
    source_resistance_ohm: Measured | None = None
    heater_power_w: Measured | None = None
    heat_to_stage_w: tuple[Measured, ...] = ()
    return_air_c: Measured = RETURN_AIR
    design_load_w: float | None = None
    design_temperature_c: float | None = None
    zero_load_c: float = ZERO_LOAD_C
    heat_loss_coefficient_wk: float | None = None
    thermal_capacity_jk: float | None = None
    table_accuracy: float = TABLE_ACCURACY
    rests: Mapping[str, tuple[str, ...]] = field(default_factory=dict)

    @property
    def blower_heat_w(self) -> float:
        """What the blower's watts add to the air with heat on: at the heating speed where that is known."""
        watts = self.fan_power_w if self.heating_fan_power_w is None else self.heating_fan_power_w
        return watts or 0.0


COOLING_STATICS = ("blower.static.supply", "blower.static.return")
HEATING_STATICS = ("heat.static.supply", "heat.static.return")
TRAVERSE = "blower.traverse"
BY_TABLE, BY_RISE, BY_TRAVERSE = "fan table", "rise", "traverse"


def table_of(ledger: Ledger, tier: Tier, use: Use, ratio: float) -> FanTable:
    """A tier's fan table for a use, with the kit fitted, at this site's air pressure."""
    return FanTable.of(tier, use, ledger.equipment.blower, ledger.kit, ratio)


def both_sides(supply: Measured | Known, back: Measured | Known) -> Measured:
    """Static of both sides together. One manometer read both, so their uncertainties add."""
    return Measured(supply.value + abs(back.value), supply.expanded + back.expanded)


def ducts_by_table(table: FanTable, total: Measured) -> Measured | None:
    """Static over airflow squared, the airflow read off a fan table; None where it holds none there."""
    if not table.airflow_at(total.value):
        return None
    return combine(lambda p: p / table.airflow_or_refuse(p) ** 2, total)


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
        total = self.statics(COOLING_STATICS)
        by_table, power = self.by_table("cooling", total)
        heat_total = self.statics(HEATING_STATICS)
        heating_by_table, heating_power = self.by_table("heating", heat_total)
        line = read_line(self.ledger)
        self.rests.update(line.rests)
        heater = line.heat_to_stage_w[-1] if line.heat_to_stage_w else None
        by_rise = self.by_rise(heater, power if heating_power is None else heating_power)
        heating, heating_method = _surest({BY_TABLE: heating_by_table, BY_RISE: by_rise})
        in_cooling, traverse = self.in_cooling(by_rise, total, heat_total), self.by_traverse()
        airflow, method = _surest({BY_TABLE: by_table, BY_RISE: in_cooling, BY_TRAVERSE: traverse})
        house = self.house()
        self.rests["heating airflow"] = HEATING_STATICS if heating_method == BY_TABLE else self.rise_fields()
        self.rests["airflow"] = COOLING_STATICS
        if method == BY_RISE:
            both = (
                (*COOLING_STATICS, *HEATING_STATICS) if total is not None and heat_total is not None else ()
            )
            self.rests["airflow"] = (*self.rise_fields(), *both)
        elif method == BY_TRAVERSE:
            self.rests["airflow"] = (TRAVERSE, *(COOLING_STATICS if total is not None else ()))
        return Estimate(
            altitude_m=self.altitude_m,
            altitude_assumed=self.altitude_assumed,
            pressure_ratio=self.ratio,
            orientation=self.ledger.situation.orientation,
            kit=self.ledger.kit.id if self.ledger.kit else None,
            tier=self.tier.id if self.tier else None,
            duct_coefficient=self.ducts(method, by_rise, traverse, total, heat_total),
            total_static_pa=total,
            airflow_m3s=airflow,
            airflow_method=method,
            airflow_by_table_m3s=by_table,
            airflow_by_rise_m3s=by_rise,
            airflow_by_traverse_m3s=traverse,
            rise_in_cooling_m3s=in_cooling,
            heating_static_pa=heat_total,
            heating_airflow_m3s=heating,
            heating_airflow_method=heating_method,
            heating_by_table_m3s=heating_by_table,
            fan_power_w=power,
            heating_fan_power_w=heating_power,
            line_idle_v=line.idle_v,
            line_heat_v=line.heat_v,
            source_resistance_ohm=line.source_resistance_ohm,
            heater_power_w=heater,
            heat_to_stage_w=line.heat_to_stage_w,
            return_air_c=self.return_air(),
            table_accuracy=self.accuracy,
            rests=self.rests,
            design_load_w=house.load_w,
            design_temperature_c=house.design_c,
            zero_load_c=house.zero_c,
            heat_loss_coefficient_wk=house.coefficient_wk,
            thermal_capacity_jk=house.capacity_jk,
        )

    def statics(self, fields: tuple[str, str]) -> Measured | None:
        """Both sides together, None until both are known."""
        supply, back = self.number(fields[0]), self.number(fields[1])
        return None if supply is None or back is None else both_sides(supply, back)

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

    def one_speed(self) -> bool:
        """Whether the tier in force runs heating and cooling at one speed."""
        return self.tier is not None and self.tier.at("heating") is self.tier.at("cooling")

    def carried(self, total: Measured | None, heat_total: Measured | None) -> bool:
        """Whether an airflow measured with heat on is carried to the cooling speed."""
        known = total is not None and heat_total is not None and min(total.value, heat_total.value) > 0.0
        return known and not self.one_speed()

    def in_cooling(
        self, by_rise: Measured | None, total: Measured | None, heat_total: Measured | None
    ) -> Measured | None:
        """An airflow measured with heat on, carried to the cooling speed along the ducts' curve.

        As measured where the blower has one speed, or where the statics of both speeds are not known.
        """
        if by_rise is None or total is None or heat_total is None or not self.carried(total, heat_total):
            return by_rise
        return combine(lambda q, p, h: q * (p / h) ** 0.5, by_rise, total, heat_total)

    def by_traverse(self) -> Measured | None:
        """Airflow in cooling by traverse, if somebody knows how well."""
        found = self.number(TRAVERSE)
        usable = found is not None and found.value > 0.0 and found.expanded > 0.0
        return found.measured if found is not None and usable else None

    def ducts(
        self,
        method: str,
        by_rise: Measured | None,
        traverse: Measured | None,
        total: Measured | None,
        heat_total: Measured | None,
    ) -> Measured | None:
        """Static over airflow squared, from readings that owe each other nothing."""
        if method == BY_TABLE and total is not None and self.tier is not None:
            return ducts_by_table(table_of(self.ledger, self.tier, "cooling", self.ratio), total)
        if method == BY_TRAVERSE and total is not None and traverse is not None:
            return combine(lambda p, q: p / q**2, total, traverse)
        # An airflow carried over from heat to cooling took the cooling static with it: k is that of heat.
        static = heat_total if self.carried(total, heat_total) else total
        if static is None or by_rise is None:
            return None
        return combine(lambda p, q: p / q**2, static, by_rise)

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


def _surest(methods: Mapping[str, Measured | None]) -> tuple[Measured | None, str]:
    """Of the methods that agree with the first at hand the one of smallest uncertainty, and its name.

    A rise that contradicts the table is more often a probe that sees the elements, or a slip of the keys.
    """
    known = [(found, method) for method, found in methods.items() if found is not None]
    if not known:
        return None, ""
    first = known[0][0]
    return min((k for k in known if _agree(first, k[0])), key=lambda k: k[0].expanded)


def _agree(one: Measured, other: Measured) -> bool:
    """Whether two results of one thing differ by no more than their combined uncertainty."""
    return abs(one.value - other.value) <= hypot(one.expanded, other.expanded)
