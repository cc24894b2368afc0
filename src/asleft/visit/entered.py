"""What is typed into a field: a number with its unit, a word, or the instrument in hand."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from asleft.equipment.accuracy import AccuracyError, parse_accuracy
from asleft.quantity import KINDS, QuantityError, parse, parse_size, unit_of
from asleft.visit.drafts import Draft, Refused
from asleft.visit.words import near, some, word, yes

if TYPE_CHECKING:
    from asleft.equipment.model import Instrument
    from asleft.session.fields import Field
    from asleft.visit.view import View


def entered(view: View, instruments: Mapping[str, Instrument], id: str, typed: str, system: str) -> Draft:
    """What was typed into a field, by its kind. Raises Refused."""
    field = view.ledger.fields.get(id)
    if field is None:
        raise Refused(
            f"{id!r} is no field of this unit as it stands",
            near(id, view.ledger.fields) or "see asleft fields",
        )
    if not typed:
        raise Refused("nothing was typed", f"{field.label}: {expected_of(field, system)}")
    if field.kind == "instrument":
        return _used(field, instruments, typed)
    data: dict[str, Any] = {"field": id, "typed": typed}
    if field.kind == "text":
        if not any(character.isalnum() for character in typed):
            raise Refused(
                f"{typed!r} has no letter and no digit", f"{field.label}: {expected_of(field, system)}"
            )
        return Draft("entered", {**data, "value": typed})
    if field.kind == "choice":
        return Draft("entered", {**data, "value": word(typed, field.choices, field.label)})
    if field.kind == "yes_no":
        return Draft("entered", {**data, "value": yes(typed, field.label)})
    try:
        if field.kind == "conductor_size":
            return Draft("entered", {**data, "value": parse_size(typed)})
        if field.kind == "count":
            return Draft("entered", {**data, "value": _count(typed)})
        bare = unit_of(field.kind, system)
        quantity = parse(typed, field.kind, bare_unit=bare, plausible=not field.range)
    except QuantityError as error:
        raise Refused(str(error), expected_of(field, system)) from None
    if field.range and field.plausible:
        low, high = field.plausible
        if not low <= quantity.value <= high:
            raise Refused(f"{typed!r} is not plausible here", f"from {field.range[0]} to {field.range[1]}")
    data |= {"value": quantity.value, "unit": KINDS[field.kind].base_unit}
    if len(quantity.readings) > 1:
        data["readings"] = list(quantity.readings)
    if quantity.plus_minus is not None:
        data["plus_minus"] = quantity.plus_minus
    if field.instrument:
        used = view.state.instrument(field.instrument)
        if used:
            data["instrument"] = used.instrument
    return Draft("entered", data)


def expected_of(field: Field, system: str) -> str:
    """What may be typed into a field, in a few words."""
    match field.kind:
        case "text":
            return "a few words"
        case "yes_no":
            return "yes or no"
        case "choice":
            return "one of: " + ", ".join(field.choices)
        case "conductor_size":
            return "a size such as 6 AWG, 1/0 or 10 mm2"
        case "count":
            return "a whole number"
        case "instrument":
            return "the id of an instrument"
        case kind:
            return f"a number in {unit_of(kind, system)}, or with its unit"


def _count(typed: str) -> int:
    if not typed.isascii() or not typed.isdigit() or not 1 <= int(typed) <= 100:
        raise Refused(f"{typed!r} is no count", "a whole number from 1 to 100")
    return int(typed)


def _used(field: Field, instruments: Mapping[str, Instrument], typed: str) -> Draft:
    role = field.id.rpartition(".")[2]
    if "|" in typed:
        return Draft("used", {"field": field.id, **_own_instrument(typed, role)})
    found = instruments.get(typed)
    if found is None or found.role != role:
        ids = [i.id for i in instruments.values() if i.role == role]
        raise Refused(
            f"{typed!r} is no {role} in the list",
            "one of: " + ", ".join(ids) + "; or NAME | ACCURACY, ACCURACY | YYYY-MM-DD for your own",
        )
    data: dict[str, Any] = {
        "field": field.id,
        "instrument": found.id,
        "name": found.name,
        "accuracy": list(found.accuracy),
    }
    if found.calibrated_until:
        data["calibrated_until"] = found.calibrated_until
    return Draft("used", data)


MEASURES = {
    "meter": "voltage",
    "clamp": "current",
    "manometer": "static_pressure",
    "thermometer": "temperature",
    "anemometer": "velocity",
}
"""What an instrument of each role has to measure."""


def _own_instrument(typed: str, role: str) -> dict[str, Any]:
    """`NAME | voltage 0.5 % + 2 x 0.1 V, resistance 1 % | 2027-03-01`; the last two may be empty."""
    name, accuracy, until = ([part.strip() for part in typed.split("|")] + ["", ""])[:3]
    lines = [line.strip() for line in accuracy.split(",") if line.strip()]
    kinds = set()
    for line in lines:
        try:
            kinds.add(parse_accuracy(line).kind)
        except AccuracyError as error:
            raise Refused(str(error), "an accuracy such as: voltage 0.5 % + 2 x 0.1 V") from None
    wanted = MEASURES[role]
    if lines and wanted not in kinds:
        raise Refused(
            f"no accuracy for {wanted.replace('_', ' ')}, which a {role} is used for",
            f"an accuracy such as: {wanted} 0.5 % + ..., or none where it is not known",
        )
    data: dict[str, Any] = {"instrument": some(name, "a name"), "name": name, "accuracy": lines}
    if until:
        if not (len(until) == 10 and until[4] == until[7] == "-" and until.replace("-", "").isdigit()):
            raise Refused(f"{until!r} is no date", "YYYY-MM-DD")
        data["calibrated_until"] = until
    return data
