"""The JSON Schema says what the models say."""

from __future__ import annotations

import json
from typing import Any

import pytest
import tomli
from jsonschema import Draft202012Validator

from asleft.equipment.library import units
from asleft.equipment.schema import COPY, schema
from equipment.sample import SAMPLE, errors_of, spoilt

CHECK = Draft202012Validator(schema())


def _wrong(text: str) -> list[str]:
    return [".".join(map(str, error.absolute_path)) for error in CHECK.iter_errors(tomli.loads(text))]


def test_it_is_a_schema_itself() -> None:
    """A validator accepts it as one of the draft that it names."""
    assert schema()["$schema"] == Draft202012Validator.META_SCHEMA["$schema"]
    Draft202012Validator.check_schema(schema())


def test_the_copy_for_editors_is_what_the_models_give() -> None:
    """Stale? `asleft equipment schema > src/asleft/equipment/schema.json`."""
    assert COPY.read_text("utf-8") == json.dumps(schema(), ensure_ascii=False, indent=2) + "\n"


@pytest.mark.parametrize("path", [unit.path for unit in units()], ids=lambda path: path.stem)
def test_every_unit_that_comes_with_the_program_is_valid(path: Any) -> None:
    """An editor finds no fault where loading finds none."""
    assert _wrong(path.read_text("utf-8")) == []


def test_the_sample_is_valid() -> None:
    """Neither does it in a file with every kind of reference."""
    assert _wrong(SAMPLE) == []


@pytest.mark.parametrize(
    ("old", "new", "where"),
    [
        ('maker = "Osmere"', "", "unit"),
        ('maker = "Osmere"', 'makers = "Osmere"', "unit"),
        ('maker = "Osmere"', "maker = 3", "unit.maker"),
        ('id = "sample-1"', 'id = "sample 1"', "unit.id"),
        ('nominal = "240 V"', 'nominal = "240"', "supply.0.nominal"),
        ('nominal = "240 V"', "nominal = 240", "supply.0.nominal"),
        ("table_accuracy = 0.05", "table_accuracy = 5", "blower.table_accuracy"),
        ('use = "cooling"', 'use = "cool"', "blower.tier.0.speed.0.use"),
        ('units = ["inH2O", "cfm", "W"]', "", "blower.tier.0.speed.0"),
        ("[0.10, 1200, 350]", '["", 1200, 350]', "blower.tier.0.speed.0.rows.0.0"),
        ("[0.10, 1200, 350]", "[0.10, 1200]", "blower.tier.0.speed.0.rows.0"),
        ('entry = "parameter"', 'entry = "dial"', "setting.0.entry"),
        ('address = ["unit"]', "address = []", "setting.0.address"),
        ('role = "auxiliary-delay"', 'role = "delay"', "topic.2.role"),
        ('value = "10 min"', "value = 10", "topic.2.option.0.value"),
        ('value = "10 min"\n', "", "topic.2.option.0"),
        ('value = ["1", "2"]', 'value = "both"', "topic.1.option.1.value"),
        ("format = 1", "format = 2", "format"),
    ],
)
def test_what_loading_refuses_in_one_field_an_editor_refuses_too(old: str, new: str, where: str) -> None:
    """At the same place."""
    text = spoilt(old, new)
    assert errors_of(text)
    assert where in _wrong(text)


def _fields(found: Any) -> list[tuple[str, Any]]:
    parts = {"Equipment": found, **found["$defs"]}
    return [(f"{name}.{key}", field) for name, part in parts.items() for key, field in _of(part)]


def _of(part: Any) -> Any:
    return part.get("properties", {}).items()


def test_every_field_says_what_it_means() -> None:
    """An editor shows it as the field is typed."""
    assert [name for name, field in _fields(schema()) if not field.get("description")] == []


def test_nothing_may_be_null_since_toml_has_no_null() -> None:
    """What may be left out is left out."""
    assert "null" not in json.dumps(schema())
