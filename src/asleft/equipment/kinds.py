"""Field types of an equipment file: quantities written with their unit, kept as floats in base units."""

from __future__ import annotations

import math
from functools import partial
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BeforeValidator, Field, WithJsonSchema
from pydantic_core import PydanticCustomError

from asleft.quantity import KINDS, QuantityError, parse

WITH_UNIT = "[0-9].*[A-Za-z]"
"""What an editor can hold a quantity to: a figure and a unit behind it. Loading does the rest."""

KIND_KEY = "x-kind"
"""The key under which the JSON Schema names a quantity's kind."""


def refused(
    found: object, why: str, expected: str, within: tuple[str | int, ...] = ()
) -> PydanticCustomError:
    """The refusal of one value: what is wrong with it and what would be right.

    ``within`` leads from the part being read to the value, where the two differ.
    """
    context = {"why": why, "expected": expected, "found_value": found, "within": within}
    return PydanticCustomError("refused", "{why}", context)


def bounded(value: float, kind: str, *, above_zero: bool) -> str | None:
    """Say what a value of this kind should be where it is not plausible on a data plate, else None.

    A temperature may be negative; every other figure of a maker is at least 0, and above 0 where
    ``above_zero``. The upper bounds are those of the kind.
    """
    known = KINDS[kind]
    if not math.isfinite(value):
        return "a finite number"
    if kind != "temperature" and (value < 0 or (above_zero and value == 0)):
        return "a value above 0" if above_zero else "a value not below 0"
    if known.lowest is None or known.highest is None or known.lowest <= value <= known.highest:
        return None
    shown = known.units[known.ip_unit]
    return f"{shown.from_base(known.lowest):.6g} to {shown.from_base(known.highest):.6g} {known.ip_unit}"


def read_quantity(found: object, kind: str, example: str, *, above_zero: bool) -> float:
    """Read one plain quantity with its unit into the base unit; all else is refused."""
    label = KINDS[kind].label
    expected = f'{"an" if label[0] in "aeiou" else "a"} {label} with its unit, such as "{example}"'
    if not isinstance(found, str):
        raise refused(found, "not a string", expected)
    try:
        quantity = parse(found, kind)
    except QuantityError as error:
        raise refused(found, error.why, f"{expected} ({error.why[:200]})") from None
    if quantity.plus_minus is not None or len(quantity.readings) != 1:
        raise refused(found, "not one plain quantity", f"{expected}, once and without ±")
    plausible = bounded(quantity.value, kind, above_zero=above_zero)
    if plausible is not None:
        raise refused(found, "not plausible", plausible)
    return quantity.value


def _quantity(kind: str, example: str, *, above_zero: bool = True) -> Any:
    return (
        BeforeValidator(partial(read_quantity, kind=kind, example=example, above_zero=above_zero)),
        WithJsonSchema(
            {
                "type": "string",
                "pattern": WITH_UNIT,
                "examples": [example],
                KIND_KEY: kind,
            }
        ),
    )


def _printable(found: str) -> str:
    """Refuse control and direction characters, which could act on a terminal or hide what is there."""
    if not found.isprintable():
        raise refused(found, "not printable", "one line of printable characters")
    return found


def _printable_lines(found: str) -> str:
    if not found.replace("\n", "").isprintable():
        raise refused(found, "not printable", "printable characters")
    return found


def _visible(found: str) -> str:
    if found != found.strip():
        raise refused(found, "blanks at an end", "no blank at either end, since nobody sees it")
    return _printable(found)


def _whole(found: object) -> object:
    if type(found) is not int:
        raise refused(found, "not a whole number", "a whole number without quotes")
    return found


Voltage = Annotated[float, *_quantity("voltage", "240 V")]
Current = Annotated[float, *_quantity("current", "3.1 A")]
Power = Annotated[float, *_quantity("electric_power", "9.6 kW")]
HeatRate = Annotated[float, *_quantity("heat_rate", "36000 Btu/h")]
Static = Annotated[float, *_quantity("static_pressure", "0.40 inH2O", above_zero=False)]
Airflow = Annotated[float, *_quantity("airflow", "1200 cfm")]
Temperature = Annotated[float, *_quantity("temperature", "35 degF")]
Difference = Annotated[float, *_quantity("temperature_difference", "4 degF", above_zero=False)]
Time = Annotated[float, *_quantity("time", "90 s", above_zero=False)]
ApparentPower = Annotated[float, *_quantity("apparent_power", "40 VA")]
Velocity = Annotated[float, *_quantity("velocity", "300 ft/min")]
Id = Annotated[str, Field(pattern=r"^[A-Za-z0-9][A-Za-z0-9-]{0,31}$")]
Label = Annotated[str, Field(min_length=1, max_length=120), AfterValidator(_printable)]
Shown = Annotated[str, Field(min_length=1, max_length=32), AfterValidator(_visible)]
Sentence = Annotated[str, Field(min_length=1, max_length=500), AfterValidator(_printable)]
Prose = Annotated[str, Field(max_length=2000), AfterValidator(_printable_lines)]
Phases = Annotated[Literal[1, 3], BeforeValidator(_whole)]
Hertz = Annotated[Literal[50, 60], BeforeValidator(_whole)]
Degrees = Annotated[Literal[60, 75], BeforeValidator(_whole)]
