"""What is typed into a field: a number with its unit, a word, or the instrument in hand."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from asleft.equipment.accuracy import AccuracyError, parse_accuracy
from asleft.quantity import KINDS, QuantityError, parse, parse_size, unit_of
from asleft.session.payloads import Entered, Used
from asleft.session.values import Amount, Count, Picked, Size, Words, YesNo
from asleft.visit.refusal import Refused
from asleft.visit.words import near, some, word, yes

if TYPE_CHECKING:
    from asleft.equipment.model import Instrument
    from asleft.session.fields import Field
    from asleft.visit.view import View


def entered(
    view: View, instruments: Mapping[str, Instrument], id: str, typed: str, system: str
) -> Entered | Used:
    """What was typed into a field, by its kind. Raises Refused."""
    field = view.ledger.fields.get(id)
    if field is None:
        raise Refused(
            f"{id!r} is no field of this unit as it stands",
            near(id, view.ledger.fields) or "see asleft fields",
        )
    if not typed:
        raise Refused("nothing was typed", f"{field.label}: {expected_of(field, system)}")
    match field.kind:
        case "instrument":
            return _used(field, instruments, typed)
        case "text":
            if not any(character.isalnum() for character in typed):
                raise Refused(
                    f"{typed!r} has no letter and no digit", f"{field.label}: {expected_of(field, system)}"
                )
            return Entered(id, typed, Words(typed))
        case "choice":
            return Entered(id, typed, Picked(word(typed, field.choices, field.label)))
        case "yes_no":
            return Entered(id, typed, YesNo.of(yes(typed, field.label)))
        case "count":
            return Entered(id, typed, _count(typed))
        case "conductor_size":
            try:
                return Entered(id, typed, Size(parse_size(typed)))
            except QuantityError as error:
                raise Refused(str(error), expected_of(field, system)) from None
        case _:
            return _amount(view, field, typed, system)


def _amount(view: View, field: Field, typed: str, system: str) -> Entered:
    """A number with its unit, its repeats and its ±, and the instrument in hand that read it."""
    bare = unit_of(field.kind, system)
    try:
        quantity = parse(typed, field.kind, bare_unit=bare, plausible=not field.range)
    except QuantityError as error:
        raise Refused(str(error), expected_of(field, system)) from None
    if field.range and field.plausible:
        low, high = field.plausible
        if not low <= quantity.value <= high:
            raise Refused(f"{typed!r} is not plausible here", f"from {field.range[0]} to {field.range[1]}")
    if quantity.plus_minus is not None and not (quantity.plus_minus and field.spans(quantity.plus_minus)):
        raise Refused(
            f"the ± of {typed!r} says nothing", "a ± above nothing, within what may be entered at all"
        )
    used = view.state.instrument(field.instrument) if field.instrument else None
    return Entered(
        field.id,
        typed,
        Amount(quantity.value, KINDS[field.kind].base_unit),
        quantity.readings if len(quantity.readings) > 1 else (),
        quantity.plus_minus,
        used.instrument if used else "",
    )


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


def _count(typed: str) -> Count:
    if not typed.isascii() or not typed.isdigit() or not 1 <= int(typed) <= 100:
        raise Refused(f"{typed!r} is no count", "a whole number from 1 to 100")
    return Count(int(typed))


def _used(field: Field, instruments: Mapping[str, Instrument], typed: str) -> Used:
    role = field.id.rpartition(".")[2]
    if "|" in typed:
        return _own_instrument(field, typed, role)
    found = instruments.get(typed)
    if found is None or found.role != role:
        ids = [i.id for i in instruments.values() if i.role == role]
        raise Refused(
            f"{typed!r} is no {role} in the list",
            "one of: " + ", ".join(ids) + "; or NAME | ACCURACY, ACCURACY | YYYY-MM-DD for your own",
        )
    return Used(field.id, found.id, found.name, tuple(found.accuracy), found.calibrated_until or "")


MEASURES = {
    "meter": "voltage",
    "clamp": "current",
    "manometer": "static_pressure",
    "thermometer": "temperature",
    "anemometer": "velocity",
}
"""What an instrument of each role has to measure."""


def _own_instrument(field: Field, typed: str, role: str) -> Used:
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
    if until and not (len(until) == 10 and until[4] == until[7] == "-" and until.replace("-", "").isdigit()):
        raise Refused(f"{until!r} is no date", "YYYY-MM-DD")
    return Used(field.id, some(name, "a name"), name, tuple(lines), until)
