"""What a rig was asked in a session, act by act, so that a unit can be brought to where it was left."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

from asleft.session.fields import field_of
from asleft.session.ledger import Ledger
from asleft.session.state import Event, State, fold, fold_all

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
        yield event, tuple(_requests(equipment, state, event))
        state = fold_all((*state.history, event)) if event.kind == "retracted" else fold(state, event)


def acts(equipment: Equipment, history: Sequence[Event]) -> list[Request]:
    """All that was done to the unit, in order."""
    return [request for _, many in asked(equipment, history) for request in many if request["do"] in ACTS]


def _requests(equipment: Equipment, state: State, event: Event) -> Iterator[Request]:
    data = event.data
    match event.kind:
        case "powered":
            yield {"do": "power", "state": data["state"]}
        case "entered" | "used":
            field = field_of(data["field"])
            used = state.instrument(field.instrument) if field and field.instrument else None
            kind = field.kind if field else ""
            instrument = used.instrument if used else ""
            yield {"do": "read", "field": data["field"], "kind": kind, "instrument": instrument}
        case "found" | "read_back":
            if query := equipment.queried(data["setting"]):
                yield keyed(data["address"], query)
            else:
                yield {"do": "look", "setting": data["setting"], "address": data["address"]}
        case "wrote":
            yield from _written(equipment, state, data["setting"], data["address"], data["shown"])
        case "noted" if "mends" in data:
            id, _, subject = str(data["mends"]).partition(" ")
            yield {"do": "mend", "finding": id, "subject": subject}


def _written(equipment: Equipment, state: State, id: str, address: str, shown: str) -> Iterator[Request]:
    meant = Ledger(equipment, state).planned().get((id, address)) or equipment.value_of(id, shown)
    if code := equipment.code_of(id, meant):
        yield from coded(code, address)
    else:
        yield {"do": "write", "setting": id, "address": address, "value": meant}


def coded(code: Code, address: str) -> tuple[Request, ...]:
    """The requests by which a code is keyed: one, or as many as it has parts."""
    return tuple(keyed(at, part) for at, part in code.keyed(address))


def keyed(address: str, characters: str) -> Request:
    """Characters keyed at an address."""
    return {"do": "code", "code": characters, "address": address}
