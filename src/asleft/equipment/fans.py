"""Reading a fan table: rows of bare numbers under a row of units."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from pydantic import BeforeValidator, WithJsonSchema

from asleft.equipment.kinds import bounded, refused
from asleft.quantity import QuantityError, from_unit

COLUMNS = ("static_pressure", "airflow", "electric_power")
_UNITS = 'three units: of static, of airflow, of power, such as ["inH2O", "cfm", "W"]'


class _Refused(NamedTuple):
    found: object
    why: str
    expected: str


def _pass_on(found: object) -> object:
    if isinstance(found, _Refused):
        raise refused(*found)
    return found


def whole_row(found: object) -> object:
    """Pass a row that was read, refuse one that could not be."""
    return _pass_on(found)


STATIC_CELL = (BeforeValidator(_pass_on), WithJsonSchema({"type": "number"}))
FAN_CELL = (BeforeValidator(_pass_on), WithJsonSchema({"anyOf": [{"type": "number"}, {"const": ""}]}))


def units_in_schema(schema: dict[str, Any]) -> None:
    """Add to a JSON Schema the key that the file has and the model does not keep."""
    rows = schema["properties"].pop("rows")
    schema["properties"]["units"] = {
        "type": "array",
        "items": {"type": "string"},
        "minItems": 3,
        "maxItems": 3,
        "description": _UNITS,
        "examples": [["inH2O", "cfm", "W"]],
    }
    schema["properties"]["rows"] = rows
    schema["required"] = ["use", "units", "rows"]


def read_table(data: Any) -> Any:
    """Turn one speed as written into rows in base units; what cannot be read stays in place as a refusal.

    A blank cell of airflow or power, written "", becomes None.
    """
    if not isinstance(data, Mapping) or "rows" not in data:
        return data
    units = data.get("units")
    if not (isinstance(units, list) and len(units) == 3 and all(isinstance(unit, str) for unit in units)):
        raise refused(units, "no units", _UNITS, ("units",))
    for index, (unit, kind) in enumerate(zip(units, COLUMNS, strict=True)):
        try:
            from_unit(0.0, kind, unit)
        except QuantityError as error:
            raise refused(unit, error.why, error.expected, ("units", index)) from None
    rows = data["rows"]
    if isinstance(rows, list):
        rows = [_row(row, units) for row in rows]
    return {**{key: value for key, value in data.items() if key != "units"}, "rows": rows}


def _row(row: object, units: list[str]) -> object:
    if not isinstance(row, list) or len(row) != 3:
        return _Refused(row, "not a row", 'a row [static, airflow, power], a blank cell written as ""')
    return tuple(_cell(cell, kind, unit) for cell, kind, unit in zip(row, COLUMNS, units, strict=True))


def _cell(cell: object, kind: str, unit: str) -> object:
    if cell == "" and kind != "static_pressure":
        return None
    if isinstance(cell, bool) or not isinstance(cell, int | float):
        blank = "" if kind == "static_pressure" else ', or "" for a blank'
        return _Refused(cell, "not a number", f"a plain number of {unit}{blank}")
    try:
        value = from_unit(float(cell), kind, unit)
    except OverflowError:
        return _Refused(cell, "too large", "a finite number")
    expected = bounded(value, kind, above_zero=False)
    return value if expected is None else _Refused(cell, "not plausible", expected)
