"""What an equipment file is made of: its parts and fields, what they mean and the checks that they serve.

Meaning, kind and compulsion come from the models by way of their JSON Schema, prose and examples from the
help page, use from the table of checks beside it. Nothing is said here a second time.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

import tomli

from asleft.help import FOLDER, page
from asleft.quantity import KINDS

PAGE = "equipment-file"
ROOT = "file"
"""The name of what stands outside every table."""

ROLE = "topic:"
"""Before the role of a topic that a check needs."""

_SECTION = re.compile(r"^## (\S+)\n", re.M)
_EXAMPLE = re.compile(r"```toml\n(.*?)```\n?", re.S)


@dataclass(frozen=True, slots=True)
class Entry:
    """One key of a part. ``takes`` is what may be written, ``example`` a line as it could stand there."""

    name: str
    key: str
    takes: str
    kind: str | None
    compulsory: bool
    default: object
    description: str
    example: str
    needed_by: tuple[str, ...]
    used_by: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Section:
    """One part of the file: its table, what it is, its fields, its prose and a worked example."""

    name: str
    table: str
    many: bool
    compulsory: bool
    inside: str
    description: str
    fields: tuple[Entry, ...]
    prose: str
    example: str
    needed_by: tuple[str, ...]
    used_by: tuple[str, ...]


@cache
def intro() -> str:
    """The prose before the first part."""
    return _SECTION.split(page(PAGE))[0].partition("\n")[2].strip()


@cache
def sections() -> dict[str, Section]:
    """Every part by name, in the order of the models."""
    from asleft.equipment.schema import schema

    whole = schema()
    texts = _texts()
    return {found.name: found for found in _walk(whole, whole, "", ROOT, True, False, texts)}


@cache
def rests() -> Mapping[str, Mapping[str, tuple[str, ...]]]:
    """What each check needs and reads of the file, by check id."""
    raw = tomli.loads((FOLDER / "equipment-checks.toml").read_text("utf-8"))
    return {id: {key: tuple(told.get(key, ())) for key in ("needs", "reads")} for id, told in raw.items()}


def alternatives(need: str) -> tuple[str, ...]:
    """The fields of which a check needs one."""
    return tuple(part.strip() for part in need.split("|"))


def _texts() -> dict[str, tuple[str, str]]:
    """Prose and example of every section of the help page."""
    _, *rest = _SECTION.split(page(PAGE))
    found = {}
    for name, body in zip(rest[::2], rest[1::2], strict=True):
        example = _EXAMPLE.search(body)
        found[name] = (_EXAMPLE.sub("", body).strip(), example[1].rstrip() if example else "")
    return found


def _walk(
    whole: dict[str, Any],
    part: dict[str, Any],
    header: str,
    name: str,
    compulsory: bool,
    many: bool,
    texts: dict[str, tuple[str, str]],
) -> Iterator[Section]:
    prose, example = texts.get(name, ("", ""))
    prefix = "" if name == ROOT else f"{name}."
    entries, inner = [], []
    for key, field in part["properties"].items():
        reference, repeated, named = _reference(field)
        needed = key in part.get("required", ())
        path = f"{prefix}{key}"
        below = "" if reference is None else _header(path, repeated, named)
        if reference is not None:
            model = whole["$defs"][reference]
            inner.append((model, below, path, needed, repeated or named))
        if reference is None or name != ROOT:
            entries.append(_entry(path, key, field, needed, example, below))
    yield Section(
        name,
        header,
        many,
        compulsory,
        "" if "." not in name else name.rpartition(".")[0],
        " ".join(part["description"].split("\n\n")[0].split()),
        tuple(entries),
        prose,
        example,
        *_serves(name),
    )
    for model, below, path, needed, repeated in inner:
        yield from _walk(whole, model, below, path, needed, repeated, texts)


def _reference(field: dict[str, Any]) -> tuple[str | None, bool, bool]:
    """The part that a field holds, whether as a list of tables, and whether as tables with names."""
    more = field.get("additionalProperties")
    places = (field, field.get("items", {}), more if isinstance(more, dict) else {})
    for place, repeated, named in zip(places, (False, True, False), (False, False, True), strict=True):
        reference = place.get("$ref", "").rpartition("/")[2]
        if reference and reference != "FanRow":
            return reference, repeated, named
    return None, False, False


def _header(path: str, repeated: bool, named: bool) -> str:
    if named:
        return f"[{path}.NAME]"
    return f"[[{path}]]" if repeated else f"[{path}]"


def _entry(path: str, key: str, field: dict[str, Any], needed: bool, example: str, below: str) -> Entry:
    line = re.search(rf"^{key} = .*$", example, re.M) or re.search(
        rf"\b{key} = (\[[^]]*\]|\{{[^}}]*\}})", example
    )
    return Entry(
        path,
        key,
        f"tables {below}" if below.startswith("[[") else takes(field),
        field.get("x-kind"),
        needed,
        field.get("default"),
        field["description"],
        line[0] if line else below,
        *_serves(path),
    )


def _serves(path: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The checks that need a part or field, and those that read it."""

    def needs(told: Mapping[str, tuple[str, ...]]) -> bool:
        return any(path in alternatives(need) for need in told["needs"]) or (
            path == "topic.role" and any(need.startswith(ROLE) for need in told["needs"])
        )

    checks = rests()
    return (
        tuple(id for id, told in checks.items() if needs(told)),
        tuple(id for id, told in checks.items() if path in told["reads"] and not needs(told)),
    )


def takes(field: dict[str, Any]) -> str:
    """What may be written in a field, in words."""
    kind = field.get("x-kind")
    if kind is not None:
        return f"{KINDS[kind].label} with its unit"
    if "const" in field:
        return str(field["const"])
    if "enum" in field:
        return "one of " + ", ".join(f'"{v}"' if isinstance(v, str) else str(v) for v in field["enum"])
    if "anyOf" in field:
        return ", or ".join(takes(each) for each in field["anyOf"])
    match field.get("type"):
        case "array":
            least = field.get("minItems")
            items = field.get("items", {})
            inner = "rows of three cells" if "$ref" in items else takes(items)
            return f"list of {inner}" + (f", at least {least}" if least else "")
        case "object":
            (named,) = field.get("patternProperties", {"": field.get("additionalProperties")}).values()
            return f"table of NAME = {takes(named)}"
        case "boolean":
            return "true or false"
        case "integer":
            return f"whole number, {field['minimum']} to {field['maximum']}"
        case "number":
            return f"number above {field['exclusiveMinimum']}, below {field['exclusiveMaximum']}"
        case "string" if "pattern" in field:
            return "id"
        case "string" if "maxLength" in field:
            return f"text, at most {field['maxLength']} characters"
        case "string":
            return "text"
    return "table" if "$ref" in field else "what its role takes"
