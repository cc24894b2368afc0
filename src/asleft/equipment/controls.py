"""What the control stores, where, how it is entered, and what it means."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, StrictBool, WithJsonSchema, field_validator, model_validator

from asleft.equipment.kinds import (
    Difference,
    Id,
    Label,
    Prose,
    Sentence,
    Shown,
)
from asleft.equipment.meaning import Meant, read_meaning
from asleft.equipment.part import Part

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
