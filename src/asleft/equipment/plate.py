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

    id: Id = Field(description="the name by which commands and sessions know the unit")
    maker: Label = Field(description="the maker as the data plate prints it")
    model: Label = Field(description="the whole model number as the data plate prints it")
    serial_pattern: str | None = Field(
        default=None, description="regular expression that a whole serial number matches"
    )
    cooling_capacity: HeatRate | None = Field(
        default=None, description="nominal cooling capacity, from which the design airflow follows"
    )
    orientations: tuple[Id, ...] = Field(default=(), description="the ways in which the unit may be mounted")


class Supply(Part):
    """One supply that the unit accepts, with the data-plate range at its terminals."""

    id: Id = Field(description="a short name, by which kits list the supplies that they are rated for")
    nominal: Voltage = Field(description="nominal voltage, line to line")
    phases: Phases = Field(default=1, description="phases of the supply")
    frequency: Hertz = Field(default=60, description="frequency in hertz")
    lowest: Voltage = Field(description="lowest voltage at the unit's terminals at which it may run")
    highest: Voltage = Field(description="highest voltage at the unit's terminals at which it may run")


class Load(Part):
    """One load on the control transformer."""

    label: Label = Field(description="what draws the power")
    power: ApparentPower = Field(description="apparent power that it draws")


class ControlCircuit(Part):
    """Control power: its range, its transformer and what hangs on it."""

    nominal: Voltage = Field(description="nominal control voltage")
    lowest: Voltage = Field(description="lowest control voltage at which the control works")
    highest: Voltage = Field(description="highest control voltage that the control stands")
    transformer: ApparentPower | None = Field(default=None, description="rating of the control transformer")
    class_2: StrictBool | None = Field(default=None, description="whether the transformer is marked class 2")
    loads: tuple[Load, ...] = Field(
        default=(), description="what hangs on the transformer, each with its apparent power"
    )


class Stage(Part):
    """One stage of a heater kit."""

    id: Id = Field(description="a short name, by which circuits and options mean the stage")
    power: Power = Field(description="power of the stage at the voltage that the kit is rated at")
    elements: int = Field(default=1, ge=1, le=24, strict=True, description="elements in the stage")
    connection: Literal["single", "delta", "wye"] = Field(
        default="single",
        description="how the elements are joined; one element, or several side by side, is single",
    )


class Circuit(Part):
    """One supply circuit of a heater kit: what it feeds and what is marked on it."""

    stages: tuple[Id, ...] = Field(default=(), description="ids of the stages that the circuit feeds")
    feeds_blower: StrictBool = Field(default=False, description="whether the circuit feeds the blower too")
    minimum: Current | None = Field(
        default=None, description="marked minimum circuit ampacity, 125 % already in it"
    )
    maximum: Current | None = Field(default=None, description="marked maximum overcurrent device")
    terminals: Degrees = Field(default=60, description="temperature in degC that the terminals are rated for")
    torque: Label | None = Field(default=None, description="tightening torque as the maker prints it")


class Heater(Part):
    """One heater kit that the unit accepts."""

    id: Id = Field(description="a short name, by which options mean the kit")
    label: Label = Field(description="the kit as its own label names it")
    power: Power = Field(description="power of the whole kit at the voltage that it is rated at")
    voltage: Voltage = Field(description="voltage that the powers are rated at")
    phases: Phases = Field(default=1, description="phases that the kit is built for")
    supplies: tuple[Id, ...] = Field(
        default=(), description="supplies it is rated or listed for; none named means all"
    )
    orientations: tuple[Id, ...] = Field(
        default=(), description="orientations it is allowed in; none named means all"
    )
    element_devices: Current | None = Field(
        default=None, description="rating of the kit's own element devices"
    )
    least_airflow: Airflow | None = Field(
        default=None, description="least airflow with the kit on, standard air, in whatever orientation"
    )
    least_airflow_in: dict[str, Airflow] = Field(
        default_factory=dict,
        description="least airflow by orientation, standard air; goes before the plain figure",
    )
    pressure_drop: Static | None = Field(
        default=None, description="pressure that the kit takes where the fan tables do not include one"
    )
    insulation_test: StrictBool | None = Field(
        default=None, description="whether the maker allows an insulation test of the elements"
    )
    stage: tuple[Stage, ...] = Field(
        min_length=1, description="the stages in the order in which they come on"
    )
    circuit: tuple[Circuit, ...] = Field(default=(), description="the supply circuits, as marked on the kit")

    def least(self, orientation: str | None) -> float | None:
        """Least airflow in m3/s of standard air in this orientation, or None where the maker does not say."""
        return self.least_airflow_in.get(orientation or "", self.least_airflow)


class Limits(Part):
    """What the unit allows: leaving-air temperature and rise."""

    leaving_air: Temperature | None = Field(
        default=None, description="highest temperature of the air that leaves the unit"
    )
    lowest_rise: Difference | None = Field(
        default=None, description="lowest temperature rise through the unit with heat on"
    )
    highest_rise: Difference | None = Field(
        default=None, description="highest temperature rise through the unit with heat on"
    )


class Pairing(Part):
    """An outdoor unit that goes with this one."""

    id: Id = Field(description="a short name of the outdoor unit")
    label: Label = Field(description="the outdoor unit as its own plate names it")
    lowest_cooling: HeatRate | None = Field(
        default=None, description="lowest cooling capacity on the outdoor plate that this pairing covers"
    )
    highest_cooling: HeatRate | None = Field(
        default=None, description="highest cooling capacity on the outdoor plate that this pairing covers"
    )
    capacity_47: HeatRate = Field(description="heating capacity at 47 degF (8.3 degC) outdoors")
    capacity_35: HeatRate | None = Field(
        default=None, description="heating capacity at 35 degF (1.7 degC) outdoors, frost and defrost in it"
    )
    capacity_17: HeatRate = Field(description="heating capacity at 17 degF (-8.3 degC) outdoors")


class HeatPump(Part):
    """The heat pump as far as auxiliary heat needs it."""

    cut_out: Temperature | None = Field(
        default=None, description="outdoor temperature below which the compressor stops"
    )
    cut_out_differential: Difference | None = Field(
        default=None, description="how far above the cut-out the compressor may start again"
    )
    least_off_time: Time | None = Field(
        default=None, description="least time for which the compressor stays off"
    )
    defrost_duration: Time | None = Field(default=None, description="how long a defrost takes")
    defrost_heat: HeatRate | None = Field(
        default=None, description="heat drawn from the air while defrosting"
    )
    pairing: tuple[Pairing, ...] = Field(default=(), description="the outdoor units that go with this one")
