"""The blower, its tiers and their fan tables."""

from __future__ import annotations

from typing import Annotated, Any, Literal, NamedTuple

from pydantic import BeforeValidator, ConfigDict, Field, model_validator

from asleft.equipment.fans import FAN_CELL, STATIC_CELL, read_table, units_in_schema, whole_row
from asleft.equipment.kinds import (
    Airflow,
    Current,
    Id,
    Label,
    Phases,
    Static,
    Time,
    Velocity,
)
from asleft.equipment.part import Part

Use = Literal["cooling", "heating", "fan"]


class FanRow(NamedTuple):
    """One row of a fan table; a blank cell is None."""

    static_pa: Annotated[float, *STATIC_CELL]
    airflow_m3s: Annotated[float | None, *FAN_CELL]
    power_w: Annotated[float | None, *FAN_CELL]


class Speed(Part):
    """One speed of a tier with its fan table, static strictly increasing.

    In the file: ``units = ["inH2O", "cfm", "W"]`` and ``rows = [[0.10, 1310, 372], [0.20, 1268, ""]]``.
    """

    model_config = ConfigDict(json_schema_extra=units_in_schema)

    use: Use = Field(description="what the speed is for; design airflow is compared with cooling")
    rows: tuple[Annotated[FanRow, BeforeValidator(whole_row)], ...] = Field(
        min_length=2,
        description='the fan table: rows [static, airflow, power], static strictly increasing, blanks ""',
    )

    @model_validator(mode="before")
    @classmethod
    def _read_rows(cls, data: Any) -> Any:
        return read_table(data)


class Tier(Part):
    """One blower tier: the external static it is meant for and the fan table of each of its speeds."""

    id: Id = Field(description="a short name, by which options mean the tier")
    label: Label = Field(description="the tier as the maker names it")
    rated_static: Static | None = Field(default=None, description="external static that the tier is rated at")
    highest_static: Static | None = Field(
        default=None, description="highest external static that the tier may work against"
    )
    speed: tuple[Speed, ...] = Field(min_length=1, description="the speeds of the tier, one for each use")

    def at(self, use: Use) -> Speed:
        """The speed for a use; a tier without it runs its cooling speed, else its first."""
        by_use = {s.use: s for s in self.speed}
        return by_use.get(use) or by_use.get("cooling") or self.speed[0]


class Blower(Part):
    """The blower and its tiers."""

    motor: Literal["permanent-split-capacitor", "electronic"] | None = Field(
        default=None, description="kind of motor"
    )
    phases: Phases = Field(default=1, description="phases of the motor")
    holds: Literal["speed", "torque", "mass flow"] = Field(
        default="speed", description="what the motor's own control keeps steady as static changes"
    )
    full_load_current: Current | None = Field(default=None, description="full-load current of the motor")
    lowest_airflow: Airflow | None = Field(default=None, description="lowest airflow that the maker allows")
    highest_airflow: Airflow | None = Field(default=None, description="highest airflow that the maker allows")
    highest_static: Static | None = Field(default=None, description="highest external static of any tier")
    basis: Literal["standard", "actual"] = Field(
        default="standard", description="the air that the fan tables count: standard air, or air as it is"
    )
    includes: tuple[Literal["filter", "kit", "wet coil"], ...] = Field(
        default=(), description="what was in the unit when the fan tables were taken"
    )
    table_accuracy: float | None = Field(
        default=None,
        gt=0,
        lt=0.5,
        allow_inf_nan=False,
        strict=True,
        description="how far the fan tables may be off: expanded, k = 2, as a fraction",
    )
    least_run_on: Time | None = Field(
        default=None, description="least time for which the blower must run on after heat"
    )
    filter_velocity: Velocity | None = Field(
        default=None, description="highest face velocity of the unit's own filter"
    )
    tier: tuple[Tier, ...] = Field(min_length=1, description="the blower tiers")
