"""What an option means to the physics, read by the role of its topic."""

from __future__ import annotations

from typing import Any, NamedTuple

from asleft.equipment.kinds import KIND_KEY, WITH_UNIT, read_quantity, refused

ROLE_KIND = {
    "auxiliary-delay": "time",
    "stage-delay": "time",
    "blower-run-on": "time",
    "outdoor-lockout": "temperature",
}
"""Roles whose options mean a quantity, and its kind."""

_EXAMPLE = {"time": "20 min", "temperature": "30 degF"}


_SHAPES: dict[str, dict[str, Any]] = {
    "blower-tier": {"type": "string"},
    "auxiliary-heat": {"type": "array", "items": {"type": "string"}},
    "heat-in-defrost": {"type": "boolean"},
    "heat-on-lost-communication": {"type": "boolean"},
    **{
        role: {"type": "string", "pattern": WITH_UNIT, "examples": [_EXAMPLE[kind]], KIND_KEY: kind}
        for role, kind in ROLE_KIND.items()
    },
}
"""How the options of a role are written. Those of any other role may mean a word, yes, no or nothing."""


def values_in_schema(schema: dict[str, Any]) -> None:
    """Add to the JSON Schema of a topic what its role demands of the options' values."""
    schema["allOf"] = [
        {
            "if": {"properties": {"role": {"const": role}}, "required": ["role"]},
            "then": {
                "properties": {"option": {"items": {"properties": {"value": shape}, "required": ["value"]}}}
            },
        }
        for role, shape in _SHAPES.items()
    ]


class Meant(NamedTuple):
    """An option's value as written, beside the role that says how to read it."""

    role: str
    found: object


def read_meaning(meant: object) -> object:
    """Read an option's value into base units; refuses what its role cannot use.

    A delay or run-on becomes seconds, a lockout degC, stages a tuple of ids, a tier its id.
    """
    if not isinstance(meant, Meant):
        return meant
    role, found = meant
    kind = ROLE_KIND.get(role)
    if kind is not None:
        return read_quantity(found, kind, _EXAMPLE[kind], above_zero=False)
    if role == "blower-tier" and not isinstance(found, str):
        raise refused(found, "not a tier", "the id of a blower tier")
    if role == "auxiliary-heat":
        if not isinstance(found, list) or not all(isinstance(stage, str) for stage in found):
            raise refused(found, "not stages", 'a list of stage ids, such as ["1", "2"], or [] for none')
        return tuple(found)
    if role in ("heat-in-defrost", "heat-on-lost-communication") and not isinstance(found, bool):
        raise refused(found, "not yes or no", "true or false")
    if found is not None and not isinstance(found, str | bool):
        raise refused(found, "not a word", "a string, true or false")
    return found
