"""The equipment file as a JSON Schema (draft 2020-12), from the models that load it.

What one part says of another (ids, order, codes) no schema can say; loading checks it.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

from pydantic.json_schema import GenerateJsonSchema, JsonSchemaMode, JsonSchemaValue
from pydantic_core import core_schema

from asleft.equipment.model import Equipment

COPY = Path(__file__).with_name("schema.json")
"""The copy that an editor can be pointed at; a test keeps it the same as what the models give."""


class _OfToml(GenerateJsonSchema):
    """TOML has no null: what may be left out is no key at all. Titles would only repeat the keys."""

    def nullable_schema(self, schema: core_schema.NullableSchema) -> JsonSchemaValue:
        return self.generate_inner(schema["schema"])

    def default_schema(self, schema: core_schema.WithDefaultSchema) -> JsonSchemaValue:
        found = super().default_schema(schema)
        if found.get("default") in (None, [], "") or isinstance(found["default"], dict):
            found.pop("default", None)
        return found

    def generate(
        self, schema: core_schema.CoreSchema, mode: JsonSchemaMode = "validation"
    ) -> JsonSchemaValue:
        made = super().generate(schema, mode)
        return {"$schema": self.schema_dialect, "title": "Equipment file", **_untitled(made)}


def schema() -> dict[str, Any]:
    """The JSON Schema of an equipment file."""
    return Equipment.model_json_schema(schema_generator=_OfToml)


def _untitled(found: Any) -> Any:
    if isinstance(found, dict):
        return {
            key: _untitled(value)
            for key, value in found.items()
            if not (key == "title" and isinstance(value, str))
        }
    return [_untitled(item) for item in found] if isinstance(found, list) else found
