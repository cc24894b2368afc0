"""What a person types, read into an event: the left side says which act, the right side what."""

from __future__ import annotations

import difflib
import unicodedata
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Any

from asleft.equipment.accuracy import AccuracyError, parse_accuracy
from asleft.quantity import KINDS, QuantityError, parse, parse_size, unit_of
from asleft.session.state import CANNOT_RETRACT
from asleft.visit.drafts import Draft, Refused
from asleft.visit.drill_acts import hinted, reported

if TYPE_CHECKING:
    from asleft.checks.finding import Finding
    from asleft.equipment.model import Instrument
    from asleft.session.fields import Field
    from asleft.visit.view import View

LONGEST = 400
YES, NO = ("yes", "y", "true", "1"), ("no", "n", "false", "0")


def read_act(view: View, instruments: Mapping[str, Instrument], left: str, typed: str, system: str) -> Draft:
    """The event that an act would be. Raises Refused with what was wrong and what would be right."""
    typed = _plain(typed)
    head, colon, rest = left.strip().partition(":")
    if not colon:
        match head:
            case "power":
                return Draft("powered", {"state": _word(typed, ("on", "off"), "power")})
            case "sign":
                return Draft(
                    "signed", {"outcome": _word(typed, ("commissioned", "not commissioned"), "sign")}
                )
            case "note":
                return Draft("noted", {"text": _some(typed, "a note")})
            case "report":
                return reported(view, typed)
            case _:
                return _entered(view, instruments, head, typed, system)
    match head:
        case "choose":
            return _chose(view, rest, typed)
        case "found" | "wrote" | "read_back":
            return _shown(view, head, rest, typed)
        case "acknowledge":
            if not _yes(typed, left):
                raise Refused(f"{rest} is not acknowledged by no", "type yes when it is done")
            return Draft("acknowledged", {"id": _acknowledgeable(view, rest)})
        case "waive":
            finding = _finding(view, rest)
            if finding.severity == "hold":
                raise Refused(
                    f"{finding.key} is a hold and nobody can waive it", "mend it, or leave the unit safe"
                )
            if finding.releases:
                raise Refused(f"{finding.key} has nothing to waive: {finding.verdict}")
            return Draft(
                "waived", {"id": finding.id, "subject": finding.subject, "why": _some(typed, "a reason")}
            )
        case "mended":
            finding = _finding(view, rest)
            if not finding.failed:
                raise Refused(f"{finding.key} has nothing to mend: {finding.verdict}")
            return Draft(
                "noted",
                {
                    "text": _some(typed, "what was mended"),
                    "mends": finding.key,
                    "affects": list(finding.fields),
                },
            )
        case "cannot":
            known = rest == "power" or rest in view.ledger.fields
            what = rest if known else _finding(view, rest).key
            return Draft("noted", {"text": _some(typed, "why not"), "refused": what})
        case "broke":
            return Draft("noted", {"text": _some(typed, "what was done"), "broke": rest})
        case "hint":
            return hinted(view, rest, typed)
        case "review":
            outcome = _word(rest, REVIEWS, "a review")
            return Draft("reviewed", {"outcome": outcome, "why": _some(typed, "why")})
        case "retract":
            return _retracted(view, rest, typed)
        case _:
            raise Refused(f"{head!r} is not an act", "acts: " + ", ".join(ACT_WORDS))


ACT_WORDS = (
    "FIELD",
    "choose:TOPIC",
    "found:SETTING@ADDRESS",
    "wrote:SETTING@ADDRESS",
    "read_back:SETTING@ADDRESS",
    "power",
    "acknowledge:ID",
    "mended:ID/SUBJECT",
    "cannot:FIELD",
    "cannot:power",
    "waive:ID/SUBJECT",
    "broke:ID",
    "note",
    "retract:N",
    "sign",
    "seal",
    "report",
    "hint:N",
    "finish",
    "review:OUTCOME",
)
REVIEWS = ("accepted", "sent back")
"""What a supervisor says of a session."""


def _plain(typed: str) -> str:
    text = typed.strip()
    if len(text) > LONGEST:
        raise Refused(f"{len(text)} characters are too long", f"at most {LONGEST}")
    for character in text:
        if unicodedata.category(character) in ("Cc", "Cf", "Cs", "Co", "Cn"):
            raise Refused(f"character U+{ord(character):04X} is not text", "printable characters only")
    return text


def _some(typed: str, what: str) -> str:
    if not typed:
        raise Refused("nothing was typed", f"type {what}")
    return typed


def _word(typed: str, words: Iterable[str], left: str) -> str:
    words = tuple(words)
    lowered = typed.casefold()
    exact = [w for w in words if w.casefold() == lowered]
    starts = [w for w in words if lowered and w.casefold().startswith(lowered)]
    if exact or len(starts) == 1:
        return (exact or starts)[0]
    if not lowered:
        raise Refused("nothing was typed", "one of: " + ", ".join(words))
    raise Refused(f"{typed!r} is none of the choices of {left}", "one of: " + ", ".join(words))


def _yes(typed: str, what: str) -> bool:
    lowered = typed.casefold()
    if not lowered:
        raise Refused("nothing was typed", "yes or no")
    if lowered not in (*YES, *NO):
        raise Refused(f"{typed!r} is neither yes nor no for {what}", "yes or no")
    return lowered in YES


def _near(name: str, names: Iterable[str]) -> str:
    close = difflib.get_close_matches(name, list(names), 1)
    return f"did you mean {close[0]}?" if close else ""


def _entered(view: View, instruments: Mapping[str, Instrument], id: str, typed: str, system: str) -> Draft:
    field = view.ledger.fields.get(id)
    if field is None:
        raise Refused(
            f"{id!r} is no field of this unit as it stands",
            _near(id, view.ledger.fields) or "see asleft fields",
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
        return Draft("entered", {**data, "value": _word(typed, field.choices, field.label)})
    if field.kind == "yes_no":
        return Draft("entered", {**data, "value": _yes(typed, field.label)})
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
    data: dict[str, Any] = {"instrument": _some(name, "a name"), "name": name, "accuracy": lines}
    if until:
        if not (len(until) == 10 and until[4] == until[7] == "-" and until.replace("-", "").isdigit()):
            raise Refused(f"{until!r} is no date", "YYYY-MM-DD")
        data["calibrated_until"] = until
    return data


def _chose(view: View, topic_id: str, typed: str) -> Draft:
    topic = view.equipment.topic_of(topic_id)
    if topic is None:
        topics = [t.id for t in view.equipment.topic]
        raise Refused(
            f"{topic_id!r} is no topic of this unit",
            _near(topic_id, topics) or "one of: " + ", ".join(topics),
        )
    options = view.ledger.options(topic)
    named = next((o.id for o in options if o.label.casefold() == typed.casefold()), typed)
    ids = dict.fromkeys(o.id for o in options)
    return Draft("chose", {"topic": topic.id, "option": _word(named, ids, topic.label)})


def _shown(view: View, kind: str, place: str, typed: str) -> Draft:
    setting_id, _, address = place.partition("@")
    setting = view.equipment.setting_of(setting_id)
    places = [f"{s.id}@{a}" for s, a in view.equipment.places()]
    if setting is None or (address and address not in setting.address):
        raise Refused(f"{place!r} is no setting of this unit", _near(place, places) or "SETTING@ADDRESS")
    if not address and len(setting.address) > 1:
        raise Refused(f"{setting_id} lives at several addresses", "one of: " + ", ".join(setting.address))
    address = address or setting.address[0]
    shown = _some(typed, "what the control shows")
    data = {"setting": setting.id, "address": address, "shown": shown}
    if kind == "wrote":
        value = view.equipment.value_of(setting.id, shown)
        if value not in setting.values:
            raise Refused(f"{setting.label} cannot hold {shown!r}", "one of: " + ", ".join(setting.values))
        if code := view.equipment.code_of(setting.id, value):
            data["code"] = code.keys
    elif kind == "read_back" and (query := view.equipment.queried(setting.id)):
        data["code"] = query
    return Draft(kind, data)


def _acknowledgeable(view: View, id: str) -> str:
    ids = [f.id for f in view.findings if any(field == f"acknowledge:{f.id}" for field in f.fields)]
    if id not in ids:
        now = next((f.text for f in view.findings if f.id == id), "")
        raise Refused(f"{id!r} is nothing to acknowledge now. {now}".rstrip(), "one of: " + ", ".join(ids))
    return id


def _finding(view: View, place: str) -> Finding:
    id, _, subject = place.partition("/")
    for finding in view.findings:
        if finding.id == id and (finding.subject == subject or not subject):
            return finding
    keys = [f"{f.id}/{f.subject}" for f in view.findings]
    raise Refused(f"{place!r} is no finding", _near(place, keys) or "ID/SUBJECT as asleft check prints them")


def _retracted(view: View, n: str, typed: str) -> Draft:
    event = next((e for e in view.state.history if str(e.n) == n), None)
    if event is None:
        raise Refused(f"there is no event {n!r}", f"a number from 1 to {view.state.last_n}")
    if event.kind in CANNOT_RETRACT:
        raise Refused(f"event {n} is {event.kind} and cannot be retracted")
    if event.n in view.state.retracted:
        raise Refused(f"event {n} is retracted already", "retract the retraction to bring it back")
    return Draft("retracted", {"of": event.n, "why": _some(typed, "why")})
