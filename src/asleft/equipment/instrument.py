"""An instrument and how good it is."""

from __future__ import annotations

from datetime import date
from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, field_validator

from asleft.equipment.accuracy import AccuracyError, parse_accuracy
from asleft.equipment.kinds import (
    Id,
    Label,
    refused,
)
from asleft.equipment.part import Part


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
    role: Literal["meter", "clamp", "manometer", "thermometer", "anemometer"]
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
