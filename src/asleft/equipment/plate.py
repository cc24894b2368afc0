"""The data plate: the unit, its supplies, its heater kits, its limits and the heat pump with it."""

from __future__ import annotations

from typing import Literal

from pydantic import Field, StrictBool

from asleft.equipment.kinds import (
    Airflow,
    ApparentPower,
    Current,
    Degrees,
    Difference,
    HeatRate,
    Hertz,
    Id,
    Label,
    Phases,
    Power,
    Static,
    Temperature,
    Time,
    Voltage,
)
from asleft.equipment.part import Part


class Unit(Part):
    """The data plate."""

    id: Id
    maker: Label
    model: Label
    serial_pattern: str | None = Field(
        None, description="regular expression that a whole serial number matches"
    )
    cooling_capacity: HeatRate | None = None
    orientations: tuple[Id, ...] = ()


class Supply(Part):
    """One supply that the unit accepts, with the data-plate range at its terminals."""

    id: Id
    nominal: Voltage
    phases: Phases = 1
    frequency: Hertz = 60
    lowest: Voltage
    highest: Voltage


class Load(Part):
    """One load on the control transformer."""

    label: Label
    power: ApparentPower


class ControlCircuit(Part):
    """Control power: its range, its transformer and what hangs on it."""

    nominal: Voltage
    lowest: Voltage
    highest: Voltage
    transformer: ApparentPower | None = None
    class_2: StrictBool | None = None
    loads: tuple[Load, ...] = ()


class Stage(Part):
    """One stage of a heater kit."""

    id: Id
    power: Power
    elements: int = Field(1, ge=1, le=24, strict=True)
    connection: Literal["single", "delta", "wye"] = "single"


class Circuit(Part):
    """One supply circuit of a heater kit: what it feeds and what is marked on it."""

    stages: tuple[Id, ...] = ()
    feeds_blower: StrictBool = False
    minimum: Current | None = Field(None, description="marked minimum circuit ampacity, 125 % already in it")
    maximum: Current | None = Field(None, description="marked maximum overcurrent device")
    terminals: Degrees = Field(60, description="terminal rating, degC")
    torque: Label | None = None


class Heater(Part):
    """One heater kit that the unit accepts."""

    id: Id
    label: Label
    power: Power
    voltage: Voltage
    phases: Phases = 1
    supplies: tuple[Id, ...] = Field(
        (), description="supplies it is rated or listed for; none named means all"
    )
    orientations: tuple[Id, ...] = Field(
        (), description="orientations it is allowed in; none named means all"
    )
    element_devices: Current | None = Field(None, description="rating of the kit's own element devices")
    least_airflow: Airflow | None = None
    least_airflow_in: dict[str, Airflow] = Field(
        default_factory=dict, description="by orientation, standard air"
    )
    pressure_drop: Static | None = None
    insulation_test: StrictBool | None = None
    stage: tuple[Stage, ...] = Field(min_length=1)
    circuit: tuple[Circuit, ...] = ()

    def least(self, orientation: str | None) -> float | None:
        """Least airflow in m3/s of standard air in this orientation, or None where the maker does not say."""
        return self.least_airflow_in.get(orientation or "", self.least_airflow)


class Limits(Part):
    """What the unit allows: leaving-air temperature and rise."""

    leaving_air: Temperature | None = None
    lowest_rise: Difference | None = None
    highest_rise: Difference | None = None


class Pairing(Part):
    """An outdoor unit that goes with this one."""

    id: Id
    label: Label
    lowest_cooling: HeatRate | None = None
    highest_cooling: HeatRate | None = None
    capacity_47: HeatRate
    capacity_35: HeatRate | None = None
    capacity_17: HeatRate


class HeatPump(Part):
    """The heat pump as far as auxiliary heat needs it."""

    cut_out: Temperature | None = None
    cut_out_differential: Difference | None = None
    least_off_time: Time | None = None
    defrost_duration: Time | None = None
    defrost_heat: HeatRate | None = Field(None, description="heat drawn from the air while defrosting")
    pairing: tuple[Pairing, ...] = ()
