"""The equipment file as immutable models: what a maker says of one unit. Floats are in base units."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date
from typing import Annotated, Any, Literal, NamedTuple

from pydantic import (
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    StrictBool,
    WithJsonSchema,
    field_validator,
    model_validator,
)

from asleft.equipment.accuracy import AccuracyError, parse_accuracy
from asleft.equipment.fans import FAN_CELL, read_table, units_in_schema, whole_row
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
    Prose,
    Sentence,
    Shown,
    Static,
    Temperature,
    Time,
    Velocity,
    Voltage,
    refused,
)
from asleft.equipment.meaning import Meant, read_meaning

Role = Literal[
    "blower-tier",
    "auxiliary-heat",
    "heat-in-defrost",
    "heat-on-lost-communication",
    "auxiliary-delay",
    "outdoor-lockout",
    "room-sensor",
    "restart",
    "blower-run-on",
    "stage-delay",
    "other",
]
Use = Literal["cooling", "heating", "fan"]


class Part(BaseModel):
    """Any part of the file: frozen, and refusing keys that it does not know."""

    model_config = ConfigDict(frozen=True, extra="forbid", str_strip_whitespace=False)


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


class FanRow(NamedTuple):
    """One row of a fan table; a blank cell is None."""

    static_pa: Annotated[float, *FAN_CELL]
    airflow_m3s: Annotated[float | None, *FAN_CELL]
    power_w: Annotated[float | None, *FAN_CELL]


class Speed(Part):
    """One speed of a tier with its fan table, static strictly increasing.

    In the file: ``units = ["inH2O", "cfm", "W"]`` and ``rows = [[0.10, 1310, 372], [0.20, 1268, ""]]``.
    """

    model_config = ConfigDict(json_schema_extra=units_in_schema)

    use: Use
    rows: tuple[Annotated[FanRow, BeforeValidator(whole_row)], ...] = Field(min_length=2)

    @model_validator(mode="before")
    @classmethod
    def _read_rows(cls, data: Any) -> Any:
        return read_table(data)


class Tier(Part):
    """One blower tier: the external static it is meant for and the fan table of each of its speeds."""

    id: Id
    label: Label
    rated_static: Static | None = None
    highest_static: Static | None = None
    speed: tuple[Speed, ...] = Field(min_length=1)

    def at(self, use: Use) -> Speed:
        """The speed for a use; a tier without it runs its cooling speed, else its first."""
        by_use = {s.use: s for s in self.speed}
        return by_use.get(use) or by_use.get("cooling") or self.speed[0]


class Blower(Part):
    """The blower and its tiers."""

    motor: Literal["permanent-split-capacitor", "electronic"] | None = None
    phases: Phases = 1
    holds: Literal["speed", "torque", "mass flow"] = "speed"
    full_load_current: Current | None = None
    lowest_airflow: Airflow | None = None
    highest_airflow: Airflow | None = None
    highest_static: Static | None = None
    basis: Literal["standard", "actual"] = "standard"
    includes: tuple[Literal["filter", "kit", "wet coil"], ...] = ()
    table_accuracy: float | None = Field(
        None, gt=0, lt=0.5, allow_inf_nan=False, strict=True, description="expanded, k = 2, as a fraction"
    )
    least_run_on: Time | None = None
    filter_velocity: Velocity | None = None
    tier: tuple[Tier, ...] = Field(min_length=1)


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


class Address(Part):
    """A place where settings live: the whole system, or one unit on it."""

    id: Id
    label: Label
    scope: Literal["system", "unit"] = "unit"
    number: Shown | None = Field(None, description="what the control shows for it")


_ONE_OR_MANY = {"anyOf": [{"type": "string"}, {"type": "array", "items": {"type": "string"}, "minItems": 1}]}


class Setting(Part):
    """One thing the control stores."""

    id: Id
    label: Label
    entry: Literal["parameter", "code", "switch", "tap", "jumper"]
    address: Annotated[tuple[Id, ...], WithJsonSchema(_ONE_OR_MANY)] = Field(min_length=1)
    values: tuple[Shown, ...] = Field(min_length=2)
    factory: Shown | None = None
    power: Literal["on", "off"] = Field("on", description="power state in which it is written")
    power_cycle: StrictBool = Field(False, description="takes effect only after power off and on")
    after: tuple[Id, ...] = Field((), description="settings that must be written before this one")
    effect: Label | None = Field(None, description="the field that shows its effect")

    @field_validator("address", mode="before")
    @classmethod
    def _one_or_many(cls, found: Any) -> Any:
        return [found] if isinstance(found, str) else found


class Code(Part):
    """Characters keyed to give one coded setting one value, and to ask what it holds."""

    setting: Id
    value: Shown
    write: Shown
    query: Shown
    shown: Shown = Field(description="what the control shows when asked while it holds this value")


class When(Part):
    """Where an option's settings hold; an empty list means always."""

    orientation: tuple[str, ...] = ()
    kit: tuple[str, ...] = ()

    def holds(self, orientation: str | None, kit: str | None) -> bool:
        """Whether this orientation and kit are among those named."""
        return (not self.orientation or orientation in self.orientation) and (not self.kit or kit in self.kit)


class Option(Part):
    """One answer to a topic. The same id may stand several times, each with its own `when`."""

    id: Id
    label: Label
    when: When = When()
    set: dict[str, Shown] = Field(min_length=1)
    value: Annotated[Any, BeforeValidator(read_meaning)] = Field(
        None, description="what it means: tier id, stage ids, duration, temperature, sensor, true or false"
    )


class Topic(Part):
    """A question to decide. Option values are read by its role into base units."""

    id: Id
    label: Label
    role: Role
    help: Prose = ""
    differential: Difference | None = None
    option: tuple[Option, ...] = Field(min_length=1)

    @model_validator(mode="before")
    @classmethod
    def _read_values(cls, data: Any) -> Any:
        if not isinstance(data, Mapping) or not isinstance(data.get("option"), list):
            return data
        role = str(data.get("role"))
        read = [
            {**option, "value": Meant(role, option.get("value"))} if isinstance(option, Mapping) else option
            for option in data["option"]
        ]
        return {**data, "option": read}

    def options(self, orientation: str | None, kit: str | None) -> tuple[Option, ...]:
        """The options on offer for this orientation and kit, in file order."""
        return tuple(o for o in self.option if o.when.holds(orientation, kit))


class Procedure(Part):
    """What a person does, in steps, to get to an address, change, store, read back and leave."""

    reach: tuple[Sentence, ...] = ()
    change: tuple[Sentence, ...] = ()
    store: tuple[Sentence, ...] = ()
    read_back: tuple[Sentence, ...] = ()
    leave: tuple[Sentence, ...] = ()


class Equipment(Part):
    """One whole equipment file. Compulsory: the unit, a supply and a blower tier."""

    format: Literal[1]
    unit: Unit
    supply: tuple[Supply, ...] = Field(min_length=1)
    control_circuit: ControlCircuit | None = None
    blower: Blower
    heater: tuple[Heater, ...] = ()
    limits: Limits = Limits()
    heat_pump: HeatPump | None = None
    address: tuple[Address, ...] = ()
    setting: tuple[Setting, ...] = ()
    code: tuple[Code, ...] = ()
    topic: tuple[Topic, ...] = ()
    procedure: dict[str, Procedure] = Field(
        default_factory=dict, description="by address id, or by entry kind"
    )

    def tier(self, id: str | None) -> Tier | None:
        """The blower tier of this id."""
        return next((t for t in self.blower.tier if t.id == id), None)

    def kit(self, id: str | None) -> Heater | None:
        """The heater kit of this id."""
        return next((h for h in self.heater if h.id == id), None)

    def supply_of(self, id: str | None) -> Supply | None:
        """The supply of this id."""
        return next((s for s in self.supply if s.id == id), None)

    def pairing(self, id: str | None) -> Pairing | None:
        """The outdoor pairing of this id."""
        return next((p for p in (self.heat_pump.pairing if self.heat_pump else ()) if p.id == id), None)

    def topic_of(self, id: str) -> Topic | None:
        """The topic of this id."""
        return next((t for t in self.topic if t.id == id), None)

    def role(self, role: str) -> Topic | None:
        """The first topic that plays this role."""
        return next((t for t in self.topic if t.role == role), None)

    def setting_of(self, id: str) -> Setting | None:
        """The setting of this id."""
        return next((s for s in self.setting if s.id == id), None)

    def places(self) -> Iterator[tuple[Setting, str]]:
        """Every setting at every address it lives at, in file order."""
        for setting in self.setting:
            for address in setting.address:
                yield setting, address

    def code_of(self, setting: str, value: str) -> Code | None:
        """The code that gives a setting a value."""
        return next((c for c in self.code if c.setting == setting and c.value == value), None)


class EquipmentFile(NamedTuple):
    """A loaded file: its model, its exact text and where it came from."""

    equipment: Equipment
    text: str
    sha256: str
    name: str


def _accuracy_line(found: object) -> object:
    if not isinstance(found, str):
        raise refused(found, "not a string", 'a line such as "voltage 0.7 % + 2 x 0.1 V"')
    try:
        parse_accuracy(found)
    except AccuracyError as error:
        raise refused(found, error.why, error.expected) from None
    return found


def _day(found: object) -> object:
    if type(found) is date:
        return found.isoformat()
    try:
        return date.fromisoformat(found if isinstance(found, str) else "").isoformat()
    except ValueError:
        raise refused(found, "not a day", "a day such as 2031-03-31") from None


class Instrument(Part):
    """One instrument: what it measures and how well."""

    id: Id
    name: Label
    role: Literal["meter", "clamp", "manometer", "thermometer"]
    accuracy: tuple[Annotated[str, BeforeValidator(_accuracy_line)], ...] = Field(
        (), description='a line a kind: "voltage 0.7 % + 2 x 0.1 V"'
    )
    calibrated_until: Annotated[str | None, BeforeValidator(_day)] = None

    @field_validator("accuracy")
    @classmethod
    def _one_a_kind(cls, lines: tuple[str, ...]) -> tuple[str, ...]:
        kinds: list[str] = []
        for index, line in enumerate(lines):
            kind = parse_accuracy(line).kind
            if kind in kinds:
                raise refused(line, "a second line", f"one line a kind, but {kind} has two", (index,))
            kinds.append(kind)
        return lines
