"""What the control stores, where, how it is entered, and what it means."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Annotated, Any, Literal

from pydantic import (
    BeforeValidator,
    ConfigDict,
    Field,
    StrictBool,
    WithJsonSchema,
    model_validator,
)

from asleft.equipment.kinds import (
    Difference,
    Id,
    Label,
    Prose,
    Sentence,
    Shown,
)
from asleft.equipment.meaning import Meant, read_meaning, values_in_schema
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

    id: Id = Field(description="a short name, by which settings and procedures mean the address")
    label: Label = Field(description="the address as the control shows it")
    scope: Literal["system", "unit"] = Field(
        default="unit", description="whether it stands for the whole system or for one unit"
    )
    number: Shown | None = Field(default=None, description="what the control shows for it")


def _listed(found: Any) -> Any:
    return [found] if isinstance(found, str) else found


_LISTED = (
    BeforeValidator(_listed),
    Field(min_length=1),
    WithJsonSchema(
        {"anyOf": [{"type": "string"}, {"type": "array", "items": {"type": "string"}, "minItems": 1}]}
    ),
)
_Ids = Annotated[tuple[Id, ...], *_LISTED]
_Several = Annotated[tuple[Shown, ...], *_LISTED]
"""One, or a list of several."""


class Setting(Part):
    """One thing the control stores."""

    id: Id = Field(description="a short name, by which options, codes and other settings mean it")
    label: Label = Field(description="the setting as the control shows it")
    entry: Literal["parameter", "code", "switch", "tap", "jumper"] = Field(
        description="how a person enters it"
    )
    address: _Ids = Field(description="the address at which it lives, or a list of several")
    values: tuple[Shown, ...] = Field(
        min_length=2, description="every value that it can hold, as the control shows them"
    )
    factory: Shown | None = Field(default=None, description="the value that it leaves the factory with")
    power: Literal["on", "off"] = Field(default="on", description="power state in which it is written")
    power_cycle: StrictBool = Field(default=False, description="takes effect only after power off and on")
    after: tuple[Id, ...] = Field(default=(), description="settings that must be written before this one")
    resets: tuple[Id, ...] = Field(
        default=(), description="settings that a write of this one puts back to their factory value"
    )
    effect: Label | None = Field(default=None, description="the field that shows its effect")

    @property
    def waits(self) -> bool:
        """Whether a value written with power on takes effect only once power has been off and on."""
        return self.power_cycle and self.power == "on"


class ControlError(Part):
    """One text that the control shows in place of a value."""

    shown: Shown = Field(description="the text as the control shows it")
    means: Sentence = Field(description="what it means")
    do: Sentence | None = Field(default=None, description="what a person does about it")


class Control(Part):
    """What the control shows besides values."""

    error: tuple[ControlError, ...] = Field(
        default=(), description="the error texts that it may answer with, each with its meaning"
    )


class Code(Part):
    """Characters keyed to give one coded setting one value, and to ask what it holds."""

    setting: Id = Field(description="id of the setting that is entered by code")
    value: Shown = Field(description="the value that the code gives it")
    write: _Several = Field(
        description="the characters keyed to write the value, or a list of parts keyed in turn"
    )
    confirm: Shown | None = Field(
        default=None, description="the characters keyed afterwards, before which nothing is stored"
    )
    confirm_at: Id | None = Field(
        default=None, description="the address at which they are keyed, where it is not the setting's own"
    )
    query: Shown = Field(description="the characters keyed to ask which value is held")
    shown: Shown = Field(description="what the control shows when asked while it holds this value")

    @property
    def keys(self) -> str:
        """All that is keyed to write the value, one part after another."""
        return " ".join((*self.write, *([self.confirm] if self.confirm is not None else [])))

    def keyed(self, address: str) -> tuple[tuple[str, str], ...]:
        """What is keyed to write the value at an address of its setting, in order: address and characters."""
        parts = tuple((address, part) for part in self.write)
        return parts if self.confirm is None else (*parts, (self.confirm_at or address, self.confirm))


Held = Callable[[str], str | None]
"""The value that a setting of this id holds or is to hold, None where nobody knows."""


class When(Part):
    """Where an option's settings hold; an empty list means always."""

    orientation: tuple[str, ...] = Field(
        default=(), description="orientations in which the option's settings hold"
    )
    kit: tuple[str, ...] = Field(
        default=(), description="ids of the kits with which the option's settings hold"
    )
    setting: dict[Id, _Several] = Field(
        default_factory=dict,
        description="other settings, each with the value or values at which it must stand",
    )

    def holds(self, orientation: str | None, kit: str | None, held: Held | None = None) -> bool:
        """Whether this orientation, kit and what other settings hold are among those named.

        Without `held` the other settings may hold anything.
        """
        return (
            (not self.orientation or orientation in self.orientation)
            and (not self.kit or kit in self.kit)
            and (held is None or all(held(id) in values for id, values in self.setting.items()))
        )


class Option(Part):
    """One answer to a topic. The same id may stand several times, each with its own `when`."""

    id: Id = Field(description="a short name of the answer; it may stand again under another when")
    label: Label = Field(description="the answer as a person reads it")
    when: When = Field(default=When(), description="where these settings hold; without it, always")
    set: dict[str, Shown] = Field(
        min_length=1, description="the settings that carry the answer, each with the value it is given"
    )
    value: Annotated[Any, BeforeValidator(read_meaning)] = Field(
        default=None,
        description="what it means: tier id, stage ids, duration, temperature, sensor, true or false",
    )


class Topic(Part):
    """A question to decide. Option values are read by its role into base units."""

    model_config = ConfigDict(json_schema_extra=values_in_schema)

    id: Id = Field(description="a short name of the question")
    label: Label = Field(description="the question as a person reads it")
    role: Role = Field(description="what is decided, hence how the options' values are read")
    help: Prose = Field(default="", description="what a person should know before deciding")
    differential: Difference | None = Field(
        default=None,
        description="between the outdoor temperatures at which a lockout takes hold and lets go",
    )
    option: tuple[Option, ...] = Field(min_length=1, description="the answers on offer")

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

    def sets(self, setting: str) -> bool:
        """Whether any of its options sets this setting."""
        return any(setting in o.set for o in self.option)

    @property
    def depends(self) -> bool:
        """Whether what is on offer depends on what another setting holds."""
        return any(o.when.setting for o in self.option)

    def options(
        self, orientation: str | None, kit: str | None, held: Held | None = None
    ) -> tuple[Option, ...]:
        """The options on offer for this orientation and kit, in file order.

        `held` tells what other settings hold; without it they may hold anything.
        """
        return tuple(o for o in self.option if o.when.holds(orientation, kit, held))


class Procedure(Part):
    """What a person does, in steps, to get to an address, change, store, read back and leave."""

    reach: tuple[Sentence, ...] = Field(default=(), description="steps to get to where the settings are")
    change: tuple[Sentence, ...] = Field(default=(), description="steps to change a value there")
    store: tuple[Sentence, ...] = Field(default=(), description="steps to make the control keep the value")
    read_back: tuple[Sentence, ...] = Field(default=(), description="steps to see the value that is kept")
    leave: tuple[Sentence, ...] = Field(default=(), description="steps to get back out")
