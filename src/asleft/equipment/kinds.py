"""Field types of an equipment file: quantities written with their unit, kept as floats in base units."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import BeforeValidator, Field, WithJsonSchema
from pydantic_core import PydanticCustomError

from asleft.quantity import QuantityError, parse


def _reader(kind: str) -> Any:
    def read(found: object) -> object:
        if isinstance(found, bool) or not isinstance(found, str | int | float):
            raise PydanticCustomError("quantity", "expected a quantity with its unit, written as a string")
        if not isinstance(found, str) and kind not in ("ratio", "count"):
            raise PydanticCustomError("quantity", "expected a quantity with its unit, written as a string")
        try:
            return parse(str(found), kind).value
        except QuantityError as error:
            raise PydanticCustomError("quantity", "{reason}", {"reason": str(error)}) from None

    return read


def _quantity(kind: str, example: str) -> Any:
    return (
        BeforeValidator(_reader(kind)),
        WithJsonSchema(
            {
                "type": "string",
                "description": f"a {kind.replace('_', ' ')} with its unit",
                "examples": [example],
            }
        ),
    )


Voltage = Annotated[float, *_quantity("voltage", "240 V")]
Current = Annotated[float, *_quantity("current", "3.1 A")]
Power = Annotated[float, *_quantity("electric_power", "9.6 kW")]
HeatRate = Annotated[float, *_quantity("heat_rate", "36000 Btu/h")]
Static = Annotated[float, *_quantity("static_pressure", "0.40 inH2O")]
Airflow = Annotated[float, *_quantity("airflow", "1200 cfm")]
Temperature = Annotated[float, *_quantity("temperature", "35 degF")]
Difference = Annotated[float, *_quantity("temperature_difference", "4 degF")]
Time = Annotated[float, *_quantity("time", "90 s")]
ApparentPower = Annotated[float, *_quantity("apparent_power", "40 VA")]
Velocity = Annotated[float, *_quantity("velocity", "300 ft/min")]
Id = Annotated[str, Field(pattern=r"^[A-Za-z0-9][A-Za-z0-9-]{0,31}$")]
Label = Annotated[str, Field(min_length=1, max_length=120)]
Shown = Annotated[str, Field(min_length=1, max_length=32)]
