"""What a person types, read into an event: the left side says which act, the right side what."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from asleft.session.state import CANNOT_RETRACT
from asleft.visit.drafts import Draft, Refused
from asleft.visit.drill_acts import hinted, reported
from asleft.visit.entered import entered
from asleft.visit.words import near, plain, some, word, yes

if TYPE_CHECKING:
    from asleft.checks.finding import Finding
    from asleft.equipment.model import Instrument
    from asleft.visit.view import View


def read_act(view: View, instruments: Mapping[str, Instrument], left: str, typed: str, system: str) -> Draft:
    """The event that an act would be. Raises Refused with what was wrong and what would be right."""
    typed = plain(typed)
    head, colon, rest = left.strip().partition(":")
    if not colon:
        match head:
            case "power":
                return Draft("powered", {"state": word(typed, ("on", "off"), "power")})
            case "sign":
                return Draft("signed", {"outcome": word(typed, ("commissioned", "not commissioned"), "sign")})
            case "note":
                return Draft("noted", {"text": some(typed, "a note")})
            case "report":
                return reported(view, typed)
            case _:
                return entered(view, instruments, head, typed, system)
    match head:
        case "choose":
            return _chose(view, rest, typed)
        case "found" | "wrote" | "read_back":
            return _shown(view, head, rest, typed)
        case "acknowledge":
            if not yes(typed, left):
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
                "waived", {"id": finding.id, "subject": finding.subject, "why": some(typed, "a reason")}
            )
        case "mended":
            finding = _finding(view, rest)
            if not finding.failed:
                raise Refused(f"{finding.key} has nothing to mend: {finding.verdict}")
            return Draft(
                "noted",
                {
                    "text": some(typed, "what was mended"),
                    "mends": finding.key,
                    "affects": list(finding.fields),
                },
            )
        case "cannot":
            known = rest == "power" or rest in view.ledger.fields
            what = rest if known else _finding(view, rest).key
            return Draft("noted", {"text": some(typed, "why not"), "refused": what})
        case "broke":
            return Draft("noted", {"text": some(typed, "what was done"), "broke": rest})
        case "hint":
            return hinted(view, rest, typed)
        case "review":
            outcome = word(rest, REVIEWS, "a review")
            return Draft("reviewed", {"outcome": outcome, "why": some(typed, "why")})
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


def _chose(view: View, topic_id: str, typed: str) -> Draft:
    topic = view.equipment.topic_of(topic_id)
    if topic is None:
        topics = [t.id for t in view.equipment.topic]
        raise Refused(
            f"{topic_id!r} is no topic of this unit",
            near(topic_id, topics) or "one of: " + ", ".join(topics),
        )
    options = view.ledger.options(topic)
    named = next((o.id for o in options if o.label.casefold() == typed.casefold()), typed)
    ids = dict.fromkeys(o.id for o in options)
    return Draft("chose", {"topic": topic.id, "option": word(named, ids, topic.label)})


def _shown(view: View, kind: str, place: str, typed: str) -> Draft:
    setting_id, _, address = place.partition("@")
    setting = view.equipment.setting_of(setting_id)
    places = [f"{s.id}@{a}" for s, a in view.equipment.places()]
    if setting is None or (address and address not in setting.address):
        raise Refused(f"{place!r} is no setting of this unit", near(place, places) or "SETTING@ADDRESS")
    if not address and len(setting.address) > 1:
        raise Refused(f"{setting_id} lives at several addresses", "one of: " + ", ".join(setting.address))
    address = address or setting.address[0]
    shown = some(typed, "what the control shows")
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
    raise Refused(f"{place!r} is no finding", near(place, keys) or "ID/SUBJECT as asleft check prints them")


def _retracted(view: View, n: str, typed: str) -> Draft:
    event = next((e for e in view.state.history if str(e.n) == n), None)
    if event is None:
        raise Refused(f"there is no event {n!r}", f"a number from 1 to {view.state.last_n}")
    if event.kind in CANNOT_RETRACT:
        raise Refused(f"event {n} is {event.kind} and cannot be retracted")
    if event.n in view.state.retracted:
        raise Refused(f"event {n} is retracted already", "retract the retraction to bring it back")
    return Draft("retracted", {"of": event.n, "why": some(typed, "why")})
