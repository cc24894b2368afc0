"""Asking a rig in place of a person's hands and eyes: what each act asks, and what the answer is typed as."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Any, Protocol

from asleft.drill.again import acts, coded, keyed
from asleft.drill.answers import RigError, checked
from asleft.drill.command import Command

if TYPE_CHECKING:
    from asleft.visit import View

__all__ = ["Answer", "BuiltIn", "Command", "Rig", "RigError", "ask", "requests_of", "resume"]


class Rig(Protocol):
    """Anything that answers requests. Raises RigError and nothing else."""

    def ask(self, request: Mapping[str, Any]) -> dict[str, Any]:
        """The answer to one request."""
        ...

    def close(self) -> None:
        """Let go of it."""
        ...


class Answers(Protocol):
    """A unit in this process that answers one request."""

    def answer(self, request: dict[str, Any]) -> dict[str, Any]:
        """The answer to one request."""
        ...


class BuiltIn:
    """A virtual unit in this process as a rig, its answers held to the same rules as a stranger's."""

    def __init__(self, virtual: Answers) -> None:
        self._virtual = virtual

    def ask(self, request: Mapping[str, Any]) -> dict[str, Any]:
        """The virtual unit's answer. Raises RigError for nonsense."""
        return checked(request, self._virtual.answer(dict(request)))

    def close(self) -> None:
        """Nothing to let go of."""


@dataclass(frozen=True, slots=True)
class Answer:
    """What to type for an act, or why the rig would not do it."""

    typed: str = ""
    refused: str = ""


def ask(rig: Rig, view: View, left: str, held: Mapping[str, str] | None = None) -> Answer:
    """Ask a rig to do the act that stands on the left of ``asleft enter``. Raises RigError.

    In a drill, `held` is how the instrument of a reading stands in somebody's hands.
    """
    for request in requests_of(view, left):
        if held is not None and request["do"] == "read":
            request = {**request, "with": dict(held)}
        answer = checked(request, rig.ask(request))
        if "refused" in answer:
            return Answer(refused=answer["refused"])
    match request["do"]:
        case "read":
            return Answer(answer["typed"])
        case "power":
            return Answer(str(request["state"]))
        case "mend":
            finding = view.finding(f"{request['finding']} {request['subject']}")
            return Answer(finding.do if finding and finding.do else "mended")
        case _:
            return Answer(answer["shown"])


def requests_of(view: View, left: str) -> tuple[dict[str, Any], ...]:
    """The requests that an act is to a rig: one, or as many as a code has parts.

    Raises RigError for an act that only a person can do.
    """
    head, colon, rest = left.strip().partition(":")
    if not colon:
        return (_power(view) if head == "power" else _read(view, head),)
    match head:
        case "found" | "read_back" | "wrote":
            return _setting(view, head, rest)
        case "hint" if rest.isascii() and rest.isdigit():
            return ({"do": "hint", "n": int(rest)},)
        case "mended":
            id, _, subject = rest.partition("/")
            return ({"do": "mend", "finding": id, "subject": subject},)
        case _:
            raise RigError(f"A rig cannot answer {left!r}; that is for a person to say.")


def resume(rig: Rig, view: View) -> None:
    """Tell a rig how the unit was left, if the session has events. Raises RigError, also where it refuses."""
    history = view.state.history
    if not history:
        return
    reads: dict[str, int] = {}
    for event in history:
        if event.kind in ("entered", "used"):
            field = str(event.data["field"])
            reads[field] = reads.get(field, 0) + 1
    first, last = (datetime.fromisoformat(e.at) for e in (history[0], history[-1]))
    request = {
        "do": "resume",
        "reads": reads,
        "settings": {f"{a.setting}@{a.address}": a.shown for a in view.state.acts},
        "power": view.state.power,
        "elapsed_s": max(0, round((last - first).total_seconds())),
    }
    if view.state.drilled:
        request["acts"] = acts(view.equipment, history)
    answer = checked(request, rig.ask(request))
    if "refused" in answer:
        raise RigError(f"The rig would not go on with this session: {answer['refused']}.")


def _power(view: View) -> dict[str, Any]:
    state = view.next.state if view.next.do == "power" else ""
    return {"do": "power", "state": state or ("off" if view.state.power == "on" else "on")}


def _read(view: View, id: str) -> dict[str, Any]:
    field = view.ledger.fields.get(id)
    if field is None:
        raise RigError(f"A rig cannot answer {id!r}, which is no field of this unit as it stands.")
    used = view.state.instrument(field.instrument) if field.instrument else None
    return {"do": "read", "field": id, "kind": field.kind, "instrument": used.instrument if used else ""}


def _setting(view: View, act: str, place: str) -> tuple[dict[str, Any], ...]:
    id, _, address = place.partition("@")
    setting = view.equipment.setting_of(id)
    if setting is None or (address and address not in setting.address):
        raise RigError(f"A rig cannot answer {place!r}, which is no setting of this unit.")
    address = address or setting.address[0]
    if act != "wrote":
        if query := view.equipment.queried(id):
            return (keyed(address, query),)
        return ({"do": "look", "setting": id, "address": address},)
    value = view.ledger.planned().get((id, address))
    if value is None:
        raise RigError(f"Nothing is planned for {place}; choose the options that set it first.")
    code = view.equipment.code_of(id, value)
    if code:
        return coded(code, address)
    return ({"do": "write", "setting": id, "address": address, "value": value},)
