"""Whether an event can be what this program wrote: a file may be forged, links and all."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from asleft.equipment.accuracy import AccuracyError, parse_accuracy
from asleft.quantity import KINDS
from asleft.session.fields import Field, field_of

if TYPE_CHECKING:
    from asleft.equipment.model import Equipment
    from asleft.session.state import Event

_WORDS = ("text", "choice", "conductor_size")


def senseless(event: Event, equipment: Equipment) -> str:
    """What about an event makes no sense for this unit, or nothing.

    Fields, topics, options, settings and addresses must exist, values must be of their kind and in its
    base unit. It says nothing about whether the values are true.
    """
    data = event.data
    match event.kind:
        case "entered":
            return _entered(data["field"], data["typed"], data["value"], data.get("unit", ""))
        case "used":
            return _used(data["field"], data["accuracy"])
        case "chose":
            topic = equipment.topic_of(data["topic"])
            if topic is None or all(option.id != data["option"] for option in topic.option):
                return f"{data['topic']}={data['option']} is no option of this unit"
        case "found" | "wrote" | "read_back":
            setting = equipment.setting_of(data["setting"])
            if setting is None or data["address"] not in setting.address:
                return f"{data['setting']}@{data['address']} is no setting of this unit"
        case "retracted":
            if not 0 < data["of"] < event.n:
                return f"it takes back event {data['of']}, which does not stand before it"
    return ""


def _entered(id: str, typed: str, value: object, unit: str) -> str:
    field = field_of(id)
    if field is None:
        return f"{id!r} is no field"
    if not typed.strip():
        return f"nothing was typed for {id}"
    if field.kind in _WORDS:
        right = isinstance(value, str) and not unit
    elif field.kind == "yes_no":
        right = isinstance(value, bool) and not unit
    elif isinstance(value, bool) or not isinstance(value, int | float):
        right = False
    else:
        right = _measured(field, value, unit)
    return "" if right else f"{value!r} {unit} is no {field.kind.replace('_', ' ')} for {id}"


def _measured(field: Field, value: float, unit: str) -> bool:
    """Whether a number is in the base unit and the plausible range of its field, as every entry is."""
    found = KINDS.get(field.kind)
    if found is None or field.kind == "count":
        return not unit and math.isfinite(value)
    low, high = field.plausible or (-math.inf, math.inf)
    return unit == found.base_unit and math.isfinite(value) and low <= value <= high


def _used(id: str, accuracy: list[str]) -> str:
    field = field_of(id)
    if field is None or field.kind != "instrument":
        return f"{id!r} is no field for an instrument"
    for line in accuracy:
        try:
            parse_accuracy(line)
        except AccuracyError as error:
            return str(error)
    return ""
