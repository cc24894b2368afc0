"""What a person should read of a refusal: which path, what was found, what would be right."""

from __future__ import annotations

import types
from collections.abc import Mapping
from typing import Annotated, Any, Union, get_args, get_origin

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from asleft.equipment.errors import Complaint, Path, described, nearest, printable
from asleft.equipment.model import FanRow, Speed

_TYPES = {
    "string_type": "a string",
    "bool_type": "true or false",
    "int_type": "a whole number without quotes",
    "int_from_float": "a whole number",
    "float_type": "a plain number without quotes",
    "finite_number": "a finite number",
    "tuple_type": "a list",
    "model_type": "a table",
    "dict_type": "a table",
    "model_attributes_type": "a table",
}


def complaints(model: type[BaseModel], raw: object, refusal: ValidationError) -> list[Complaint]:
    """Say everything that the models refused."""
    details = refusal.errors(include_url=False)
    within = {tuple(_path(detail))[:length] for detail in details for length in range(len(_path(detail)))}
    return [
        _complaint(model, raw, detail)
        for detail in details
        if not (detail["type"] == "too_short" and _path(detail) in within)
    ]


def _path(detail: ErrorDetails) -> Path:
    path: list[str | int] = []
    for part in detail["loc"]:
        path.append(FanRow._fields.index(part) if part in FanRow._fields else part)
    path.extend(detail.get("ctx", {}).get("within", ()))
    return tuple(path)


def _complaint(model: type[BaseModel], raw: object, detail: ErrorDetails) -> Complaint:
    path, kind, context = _path(detail), detail["type"], detail.get("ctx", {})
    found = described(_at(raw, path))
    if kind == "missing":
        return Complaint(path, "nothing", _missing(model, path))
    if kind == "extra_forbidden":
        known = _keys(_part_at(model, path[:-1]))
        return Complaint(path, f'the key "{printable(str(path[-1]))}"', nearest(str(path[-1]), known), True)
    if kind == "refused":
        return Complaint(path, described(context["found_value"]), printable(context["expected"], 400))
    if kind == "literal_error":
        return Complaint(path, found, str(context["expected"]).replace("'", '"'))
    if kind == "string_pattern_mismatch":
        return Complaint(path, found, "letters, digits and hyphens, at most 32, the first not a hyphen")
    if kind == "string_too_short":
        return Complaint(path, found, "at least one character")
    if kind == "string_too_long":
        return Complaint(path, found, f"at most {context['max_length']} characters")
    if kind == "too_short":
        things = "pair" if isinstance(_at(raw, path), Mapping) else "element"
        least = context["min_length"]
        return Complaint(path, found, f"at least {least} {things}{'' if least == 1 else 's'}")
    if kind in ("greater_than", "greater_than_equal", "less_than", "less_than_equal"):
        return Complaint(path, found, _bound(kind, context))
    message = detail["msg"]
    return Complaint(path, found, _TYPES.get(kind, printable(message[:1].lower() + message[1:], 200)))


def _bound(kind: str, context: Mapping[str, Any]) -> str:
    words = {
        "greater_than": ("more than", "gt"),
        "greater_than_equal": ("at least", "ge"),
        "less_than": ("less than", "lt"),
        "less_than_equal": ("at most", "le"),
    }
    word, key = words[kind]
    return f"{word} {context[key]}"


def _missing(model: type[BaseModel], path: Path) -> str:
    field = path[-1]
    part = _part_at(model, path)
    if part is not None:
        return f"a table [{field}]"
    parent = _part_at(model, path[:-1])
    if parent is not None and str(field) in parent.model_fields:
        inner = _model_in(parent.model_fields[str(field)].annotation)
        if inner is not None:
            return f"at least one table [[{'.'.join(str(p) for p in path if isinstance(p, str))}]]"
    return f"the key {field}"


def _at(raw: object, path: Path) -> object:
    for part in path:
        if isinstance(raw, Mapping):
            raw = raw.get(part)
        elif isinstance(raw, list) and isinstance(part, int) and part < len(raw):
            raw = raw[part]
        else:
            return raw
    return raw


def _keys(part: type[BaseModel] | None) -> list[str]:
    if part is None:
        return []
    extra = ["units"] if part is Speed else []
    return [*part.model_fields, *extra]


def _part_at(model: type[BaseModel], path: Path) -> type[BaseModel] | None:
    """The model that describes the table at this path, if one does."""
    here: Any = model
    for part in path:
        if isinstance(here, type) and issubclass(here, BaseModel):
            field = here.model_fields.get(str(part))
            if field is None:
                return None
            here = field.annotation
        else:
            here = _model_in(here)
    return here if isinstance(here, type) and issubclass(here, BaseModel) else _optional(here)


def _optional(annotation: Any) -> type[BaseModel] | None:
    if get_origin(annotation) in (Union, types.UnionType):
        return next(
            (a for a in get_args(annotation) if isinstance(a, type) and issubclass(a, BaseModel)), None
        )
    return None


def _model_in(annotation: Any) -> type[BaseModel] | None:
    """The model inside a list, a mapping or an optional part."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    if get_origin(annotation) is Annotated:
        return _model_in(get_args(annotation)[0])
    for inner in get_args(annotation):
        model = _model_in(inner)
        if model is not None:
            return model
    return None
