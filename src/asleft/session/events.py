"""An event read from the keys that a session file has of it, and written as them again."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any, TypeVar, assert_never

from asleft.session.acts import REVIEWS, Act, Enter, FindingName, NotAnAct, SwitchPower, parse
from asleft.session.fields import field_of
from asleft.session.parts import is_part
from asleft.session.payloads import (
    OUTCOMES,
    POWER_STATES,
    Acknowledged,
    Broke,
    Chose,
    CouldNot,
    Drilled,
    Entered,
    FoundSetting,
    Hinted,
    Mended,
    Noted,
    NotedDone,
    Payload,
    Powered,
    ReadSettingBack,
    Reported,
    Resumed,
    Retracted,
    Revealed,
    Reviewed,
    Sealed,
    Senseless,
    Signed,
    Used,
    Waived,
    WroteSetting,
)
from asleft.session.values import read_value, written_value

Keys = Mapping[str, Any]
W = TypeVar("W", bound=str)
_ZONE = re.compile(r"[+-](?:0[0-9]|1[0-4]):[0-5][0-9]")
_COMMON = frozenset({"n", "at", "by", "kind", "verdicts", "link"})
"""Keys that every kind of event can have."""


@dataclass(frozen=True, slots=True)
class Event:
    """One thing that happened: its number, time (UTC), who, what, and the verdicts that it changed."""

    n: int
    at: str
    by: str
    what: Payload
    verdicts: tuple[str, ...] = ()

    @property
    def kind(self) -> str:
        """The name that its kind has in the file."""
        return self.what.kind

    @classmethod
    def read(cls, keys: Keys) -> Event:
        """An event as it stands in a file; senseless where a value is nothing that its key could hold."""
        own = {k: v for k, v in keys.items() if k not in _COMMON}
        what = read_payload(keys["kind"], own)
        return cls(keys["n"], keys["at"], keys["by"], what, tuple(keys.get("verdicts", ())))

    def written(self) -> dict[str, Any]:
        """The keys that a file has of it, without verdicts and link."""
        return {"n": self.n, "at": self.at, "by": self.by, "kind": self.kind, **written_payload(self.what)}


class _Wrong(ValueError):
    """What about a stored value cannot be."""


def read_payload(kind: str, keys: Keys) -> Payload:
    """What happened, from the kind of an event and its own keys. Raises KeyError for an unknown kind."""
    try:
        return _READERS[kind](keys)
    except _Wrong as wrong:
        return Senseless(kind, keys, str(wrong))


def read_all(events: Iterable[Keys]) -> tuple[Event, ...]:
    """Every event of a file, in order."""
    return tuple(map(Event.read, events))


# ---- each kind


def _entered(keys: Keys) -> Entered:
    id, unit = keys["field"], keys.get("unit", "")
    field = field_of(id)
    if field is None:
        raise _Wrong(f"{id!r} is no field")
    if not keys["typed"].strip():
        raise _Wrong(f"nothing was typed for {id}")
    value = read_value(field, keys["value"], unit)
    if value is None:
        raise _Wrong(f"{keys['value']!r} {unit} is no {field.kind.replace('_', ' ')} for {id}")
    pm = keys.get("plus_minus")
    plus_minus = None if pm is None else _float(pm, "plus_minus")
    if plus_minus is not None and not field.spans(plus_minus):
        raise _Wrong(f"± {pm!r} is no uncertainty for {id}")
    readings = tuple(map(float, keys.get("readings", ())))
    if not all(map(math.isfinite, readings)):
        raise _Wrong(f"a reading of {id} is no finite number")
    return Entered(
        id,
        keys["typed"],
        value,
        readings,
        plus_minus,
        keys.get("instrument", ""),
        keys.get("read_at", ""),
    )


def _float(stored: object, key: str) -> float:
    if isinstance(stored, bool) or not isinstance(stored, int | float):
        raise _Wrong(f"{key} is {stored!r} and no number")
    return float(stored)


def _used(keys: Keys) -> Used:
    field = field_of(keys["field"])
    if field is None or field.kind != "instrument":
        raise _Wrong(f"{keys['field']!r} is no field for an instrument")
    accuracy, until = tuple(keys["accuracy"]), keys.get("calibrated_until", "")
    return Used(keys["field"], keys["instrument"], keys["name"], accuracy, until)


def _of_setting(
    made: type[FoundSetting] | type[WroteSetting] | type[ReadSettingBack],
) -> Callable[[Keys], Payload]:
    return lambda keys: made(keys["setting"], keys["address"], keys["shown"], keys.get("code", ""))


_NOTE_KEYS = ("mends", "refused", "broke", "reports", "hint")
"""What makes a note more than a remark; it is one of them at most."""


def _noted(keys: Keys) -> NotedDone:
    text = keys["text"]
    about = [key for key in _NOTE_KEYS if keys.get(key)]
    if len(about) > 1:
        raise _Wrong(f"a note is one thing, and this is {' and '.join(about)}")
    match about:
        case ["mends"]:
            finding, affects = FindingName.of_key(keys["mends"]), _acts(keys.get("affects", ()))
            return Mended(text, finding, affects, _part(keys.get("part", "")))
        case ["refused"]:
            return CouldNot(text, _refused(keys["refused"]))
        case ["broke"]:
            return Broke(text, keys["broke"])
        case ["reports"]:
            fault, _, place = keys["reports"].partition("@")
            return Reported(text, fault, place, _whole(keys.get("evidence", ())))
        case ["hint"]:
            return Hinted(text, keys["hint"])
        case _:
            return Noted(text)


def _part(stored: str) -> str:
    if stored and not is_part(stored):
        raise _Wrong(f"{stored!r} is no part of a unit")
    return stored


def _acts(texts: Iterable[str]) -> tuple[Act, ...]:
    try:
        return tuple(map(parse, texts))
    except NotAnAct as error:
        raise _Wrong(error.what) from error


def _refused(text: str) -> Enter | SwitchPower | FindingName:
    if text == str(SwitchPower()):
        return SwitchPower()
    return FindingName.of_key(text) if " " in text else Enter(text)


def _whole(numbers: Iterable[float]) -> tuple[int, ...]:
    if any(number != int(number) for number in numbers):
        raise _Wrong("evidence is the numbers of events")
    return tuple(map(int, numbers))


def _zone(stored: str) -> str:
    if stored and not _ZONE.fullmatch(stored):
        raise _Wrong(f"{stored!r} is no time ahead of UTC, such as -05:00")
    return stored


def _flag(keys: Keys, key: str) -> bool:
    stored = keys.get(key, False)
    if not isinstance(stored, bool):
        raise _Wrong(f"{key} is {stored!r}, neither true nor false")
    return stored


def _word(stored: str, words: tuple[W, ...], what: str) -> W:
    for word in words:
        if word == stored:
            return word
    raise _Wrong(f"{stored!r} is no {what}")


_READERS: Mapping[str, Callable[[Keys], Payload]] = {
    "entered": _entered,
    "used": _used,
    "chose": lambda keys: Chose(keys["topic"], keys["option"]),
    "found": _of_setting(FoundSetting),
    "wrote": _of_setting(WroteSetting),
    "read_back": _of_setting(ReadSettingBack),
    "powered": lambda keys: Powered(_word(keys["state"], POWER_STATES, "state of power")),
    "acknowledged": lambda keys: Acknowledged(keys["id"]),
    "waived": lambda keys: Waived(FindingName(keys["id"], keys["subject"]), keys["why"]),
    "noted": _noted,
    "retracted": lambda keys: Retracted(keys["of"], keys["why"]),
    "resumed": lambda keys: Resumed(_zone(keys.get("zone", "")), _flag(keys, "damaged")),
    "signed": lambda keys: Signed(_word(keys["outcome"], OUTCOMES, "outcome")),
    "sealed": lambda keys: Sealed(keys["of"], tuple(keys["signature"])),
    "reviewed": lambda keys: Reviewed(
        _word(keys["outcome"], REVIEWS, "outcome of a review"), keys["why"], keys.get("of_link", "")
    ),
    "drilled": lambda keys: Drilled(keys["hash"], keys.get("level")),
    "revealed": lambda keys: Revealed(tuple(keys["sheet"]), keys["salt"], keys.get("hints", 0)),
}


def written_payload(what: Payload) -> dict[str, Any]:
    """The keys of its own that a file has of what happened; those that say nothing are left out."""
    match what:
        case Entered():
            value, unit = written_value(what.value)
            return {"field": what.field, "typed": what.typed, "value": value} | _said(
                unit=unit,
                readings=list(what.readings),
                plus_minus=what.plus_minus,
                instrument=what.instrument,
                read_at=what.read_at,
            )
        case Used():
            own = {"field": what.field, "instrument": what.instrument, "name": what.name}
            return {**own, "accuracy": list(what.accuracy)} | _said(calibrated_until=what.calibrated_until)
        case Chose():
            return {"topic": what.topic, "option": what.option}
        case FoundSetting() | WroteSetting() | ReadSettingBack():
            own = {"setting": what.setting, "address": what.address, "shown": what.shown}
            return own | _said(code=what.code)
        case Powered():
            return {"state": what.state}
        case Acknowledged():
            return {"id": what.id}
        case Waived():
            return {"id": what.finding.id, "subject": what.finding.subject, "why": what.why}
        case Noted() | Mended() | CouldNot() | Broke() | Reported() | Hinted():
            return {"text": what.text, **_written_note(what)}
        case Retracted():
            return {"of": what.of, "why": what.why}
        case Resumed():
            return _said(zone=what.zone) | ({"damaged": True} if what.damaged else {})
        case Signed():
            return {"outcome": what.outcome}
        case Sealed():
            return {"of": what.of, "signature": list(what.signature)}
        case Reviewed():
            return {"outcome": what.outcome, "why": what.why} | _said(of_link=what.link)
        case Drilled():
            return {"hash": what.hash, **({} if what.level is None else {"level": what.level})}
        case Revealed():
            told = {"sheet": list(what.sheet), "salt": what.salt}
            return {**told, "hints": what.hints} if what.hints else told
        case Senseless():
            return dict(what.keys)
        case _:
            assert_never(what)


def _written_note(what: NotedDone) -> dict[str, Any]:
    match what:
        case Noted():
            return {}
        case Mended():
            own = {"mends": what.finding.key, "affects": [str(act) for act in what.affects]}
            return own | _said(part=what.part)
        case CouldNot():
            about = what.what
            return {"refused": about.key if isinstance(about, FindingName) else str(about)}
        case Broke():
            return {"broke": what.hold}
        case Reported():
            return {"reports": what.reports, "evidence": list(what.evidence)}
        case Hinted():
            return {"hint": what.n}
        case _:
            assert_never(what)


def _said(**keys: Any) -> dict[str, Any]:
    """The keys that hold something."""
    return {name: value for name, value in keys.items() if value not in ("", [], None)}
