"""The blower, its tiers and their fan tables."""

from __future__ import annotations

from typing import Annotated, Any, Literal, NamedTuple

from pydantic import BeforeValidator, ConfigDict, Field, model_validator

from asleft.equipment.fans import FAN_CELL, read_table, units_in_schema, whole_row
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
