"""The equipment file as immutable models: what a maker says of one unit. Floats are in base units."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cached_property
from typing import Literal, NamedTuple

from pydantic import Field

from asleft.equipment.blower import Blower, FanRow, Speed, Tier, Use
from asleft.equipment.controls import (
    Address,
    Code,
    Control,
    ControlError,
    Option,
    Procedure,
    Role,
    Setting,
    Topic,
    When,
)
from asleft.equipment.instrument import Instrument
from asleft.equipment.part import Part
from asleft.equipment.plate import (
    Circuit,
    ControlCircuit,
    Heater,
    HeatPump,
    Limits,
    Load,
    Pairing,
    Stage,
    Supply,
    Unit,
)

__all__ = [
    "Address",
    "Blower",
    "Circuit",
    "Code",
    "Control",
    "ControlCircuit",
    "ControlError",
    "Equipment",
    "EquipmentFile",
    "FanRow",
    "HeatPump",
    "Heater",
    "Instrument",
    "Limits",
    "Load",
    "Option",
    "Pairing",
    "Part",
    "Procedure",
    "Role",
    "Setting",
    "Speed",
    "Stage",
    "Supply",
    "Tier",
    "Topic",
    "Unit",
    "Use",
    "When",
]


class Equipment(Part):
    """One whole equipment file. Compulsory: the unit, a supply and a blower tier."""

    format: Literal[1] = Field(description="version of the file format")
    unit: Unit = Field(description="the data plate")
    supply: tuple[Supply, ...] = Field(min_length=1, description="the supplies that the unit accepts")
    control_circuit: ControlCircuit | None = Field(default=None, description="control power")
    blower: Blower = Field(description="the blower and its tiers")
    heater: tuple[Heater, ...] = Field(default=(), description="the heater kits that the unit accepts")
    limits: Limits = Field(default=Limits(), description="what the unit allows the air")
    heat_pump: HeatPump | None = Field(default=None, description="the heat pump that works with the unit")
    address: tuple[Address, ...] = Field(default=(), description="where settings live")
    setting: tuple[Setting, ...] = Field(default=(), description="what the control stores")
    code: tuple[Code, ...] = Field(default=(), description="codes for settings that are entered by code")
    control: Control = Field(default=Control(), description="what the control shows besides values")
    topic: tuple[Topic, ...] = Field(default=(), description="the questions to decide")
    procedure: dict[str, Procedure] = Field(
        default_factory=dict,
        description="what a person does at the control, by address id or by way of entering",
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

    def by_address(self) -> Iterator[tuple[Setting, str]]:
        """The same, address by address: the order in which a person walks them."""
        for address in self.address:
            for setting in self.setting:
                if address.id in setting.address:
                    yield setting, address.id

    def before(self, setting: Setting, address: str) -> Iterator[tuple[Setting, str]]:
        """What must be written before a setting at an address: what it comes after, and what resets it.

        An earlier setting that lives at the same address counts there alone, any other wherever it lives.
        """
        for id in setting.after:
            if (earlier := self.setting_of(id)) is not None:
                for place in (address,) if address in earlier.address else earlier.address:
                    yield earlier, place
        for earlier in self.setting:
            if setting.id in earlier.resets and earlier.id not in setting.after:
                for place in earlier.address:
                    if (setting, address) in self.reset_by(earlier, place):
                        yield earlier, place

    def reset_by(self, setting: Setting, address: str) -> tuple[tuple[Setting, str], ...]:
        """What a write of a setting at an address puts back to its factory value.

        A setting that lives at the same address is reset there alone, any other wherever it lives.
        """
        found = (other for id in setting.resets if (other := self.setting_of(id)) is not None)
        return tuple(
            (other, place)
            for other in found
            for place in ((address,) if address in other.address else other.address)
        )

    def error_of(self, shown: str) -> ControlError | None:
        """What the file says of a text that the control shows in place of a value."""
        return next((e for e in self.control.error if e.shown == shown), None)

    def queried(self, setting: str) -> str:
        """The characters that ask what a coded setting holds, or nothing."""
        return next((c.query for c in self.code if c.setting == setting), "")

    def value_of(self, setting: str, shown: str) -> str:
        """The value that a setting holds when the control shows this."""
        return self._displays.get((setting, shown), shown)

    @cached_property
    def _displays(self) -> dict[tuple[str, str], str]:
        return {(c.setting, c.shown): c.value for c in self.code}

    def code_of(self, setting: str, value: str) -> Code | None:
        """The code that gives a setting a value."""
        return next((c for c in self.code if c.setting == setting and c.value == value), None)


class EquipmentFile(NamedTuple):
    """A loaded file: its model, its exact text and where it came from."""

    equipment: Equipment
    text: str
    sha256: str
    name: str
