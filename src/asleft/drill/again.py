"""What a rig was asked in a session, act by act, so that a unit can be brought to where it was left."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any, assert_never

from asleft.session.acts import FindingName
from asleft.session.events import Event
from asleft.session.fields import field_of
from asleft.session.ledger import Ledger
from asleft.session.payloads import (
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
from asleft.session.state import State, fold

if TYPE_CHECKING:
    from asleft.equipment.model import Code, Equipment

Request = dict[str, Any]
ACTS = frozenset({"power", "write", "code", "mend"})
"""What is done to a unit; all else only looks at it."""


def asked(equipment: Equipment, history: Sequence[Event]) -> Iterator[tuple[Event, tuple[Request, ...]]]:
    """Every event with the requests that it was to a rig, none where it was none.

    What was taken back was done all the same. What a write was meant to be is what was planned then: what the
    control showed afterwards may be something else.
    """
    state = State()
    for event in history:
        yield event, tuple(_requests(equipment, state, event.what))
        state = fold(state, event)


def acts(equipment: Equipment, history: Sequence[Event]) -> list[Request]:
    """All that was done to the unit, in order."""
    return [request for _, many in asked(equipment, history) for request in many if request["do"] in ACTS]


def _requests(equipment: Equipment, state: State, what: Payload) -> Iterator[Request]:
    match what:
        case Powered():
            yield {"do": "power", "state": what.state}
        case Entered() | Used():
            yield _read(state, what.field)
        case FoundSetting() | ReadSettingBack():
            if query := equipment.queried(what.setting):
                yield keyed(what.address, query)
            else:
                yield looked(what.setting, what.address)
        case WroteSetting():
            yield from _written(equipment, state, what)
        case Mended():
            yield mended(what.finding, what.part)
        case (
            Chose()
            | Acknowledged()
            | Waived()
            | Noted()
            | CouldNot()
            | Broke()
            | Reported()
            | Hinted()
            | Retracted()
            | Resumed()
            | Signed()
            | Sealed()
            | Reviewed()
            | Drilled()
            | Revealed()
            | Senseless()
        ):
            return
        case _:
            assert_never(what)


def _read(state: State, id: str) -> Request:
    field = field_of(id)
    used = state.instrument(field.instrument) if field and field.instrument else None
    kind, instrument = field.kind if field else "", used.instrument if used else ""
    return {"do": "read", "field": id, "kind": kind, "instrument": instrument}


def _written(equipment: Equipment, state: State, what: WroteSetting) -> Iterator[Request]:
    meant = Ledger(equipment, state).planned().get((what.setting, what.address))
    meant = meant or equipment.value_of(what.setting, what.shown)
    if code := equipment.code_of(what.setting, meant):
        yield from coded(code, what.address)
    else:
        yield written(what.setting, what.address, meant)


def looked(setting: str, address: str) -> Request:
    """A setting looked at."""
    return {"do": "look", "setting": setting, "address": address}


def written(setting: str, address: str, value: str) -> Request:
    """A setting given a value."""
    return {"do": "write", "setting": setting, "address": address, "value": value}


def mended(finding: FindingName, part: str = "") -> Request:
    """What a finding shows, set right; of which part, if that was named."""
    named = {"part": part} if part else {}
    return {"do": "mend", "finding": finding.id, "subject": finding.subject, **named}


def coded(code: Code, address: str) -> tuple[Request, ...]:
    """The requests by which a code is keyed: one, or as many as it has parts."""
    return tuple(keyed(at, part) for at, part in code.keyed(address))


def keyed(address: str, characters: str) -> Request:
    """Characters keyed at an address."""
    return {"do": "code", "code": characters, "address": address}
