"""Asking a rig in place of a person's hands and eyes: what each act asks, and what the answer is typed as."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Any, Protocol, assert_never

from asleft.drill.again import acts, coded, keyed, looked, mended, written
from asleft.drill.answers import RigError, checked
from asleft.drill.command import Command
from asleft.session.acts import Enter, Hint, Look, Mend, ReadBack, SwitchPower, Write
from asleft.session.parts import NotAPart, part_and_text, parts_of
from asleft.session.payloads import Entered, Mended, Used
from asleft.session.timed import after_s

if TYPE_CHECKING:
    from asleft.session.acts import Act
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


Askable = Enter | SwitchPower | Look | Write | ReadBack | Mend | Hint
"""What a rig may do; all else is for a person to say."""


@dataclass(frozen=True, slots=True)
class Answer:
    """What to type for an act, or why the rig would not do it; when it was read, by the rig's own clock."""

    typed: str = ""
    refused: str = ""
    read_at: str = ""


def ask(rig: Rig, view: View, act: Act, held: Mapping[str, str] | None = None, typed: str = "") -> Answer:
    """Ask a rig to do an act. Raises RigError.

    In a drill, `held` is how the instrument of a reading stands in somebody's hands. `typed` is what stands
    typed for the act: of a repair it may name the part.
    """
    asked = _askable(act)
    part = _part(view, typed) if isinstance(asked, Mend) else ""
    for request in requests_of(view, asked, part):
        if held is not None and isinstance(asked, Enter):
            request = {**request, "with": dict(held)}
        answer = checked(request, rig.ask(request))
        if "refused" in answer:
            return Answer(refused=answer["refused"])
        if view.equipment.error_of(answer.get("shown", "")) is not None:
            # A control that answers with an error takes no further part of a code.
            return Answer(answer["shown"])
    match asked:
        case Enter():
            return Answer(answer["typed"], read_at=_read_at(view, asked.field, answer.get("after_s")))
        case SwitchPower():
            return Answer(_other_power(view))
        case Mend():
            finding = view.finding(asked.finding.key)
            text = finding.do if finding and finding.do else "mended"
            # Who mended it knows best which part it was.
            part = _answered_part(view, answer) or part
            return Answer(Mended(text, asked.finding, part=part).said)
        case Look() | Write() | ReadBack() | Hint():
            return Answer(answer["shown"])
        case _:
            assert_never(asked)


def _read_at(view: View, id: str, after: float | None) -> str:
    """When a reading of a timed series was taken, by the clock of the rig; empty where no clock tells.

    All heat was called as long before the first reading of the series as that one is due after it.
    """
    series, first = view.ledger.series, view.ledger.current(view.ledger.series.first)
    if after is None or first is None or id == series.first or after_s(view.ledger.fields[id]) is None:
        return ""
    at = datetime.fromisoformat(first.taken_at) + timedelta(seconds=after - series.first_s)
    return f"{at:%Y-%m-%dT%H:%M:%SZ}"


def _askable(act: Act) -> Askable:
    """An act, if a rig may be asked to do it. Raises RigError."""
    if isinstance(act, Askable):
        return act
    raise RigError(f"A rig cannot answer {str(act)!r}; that is for a person to say.")


def _part(view: View, typed: str) -> str:
    """The part that a text names. Raises RigError for one that the unit has not."""
    try:
        return part_and_text(typed, parts_of(view.ledger.fields))[0]
    except NotAPart as error:
        raise RigError(f"A rig cannot mend it: {error}; there are {', '.join(error.right)}.") from error


def _answered_part(view: View, answer: Mapping[str, Any]) -> str:
    """The part that a rig says it mended; empty where it does not say. Raises RigError where it is none."""
    said = str(answer.get("part", ""))
    if said and not (named := _part(view, f"{said}:")):
        right = ", ".join(parts_of(view.ledger.fields))
        raise RigError(f"The rig mended {said!a}, which is no part of this unit; there are {right}.")
    return named if said else ""


def requests_of(view: View, act: Act, part: str = "") -> tuple[dict[str, Any], ...]:
    """The requests that an act is to a rig: one, or as many as a code has parts. A repair may name its part.

    Raises RigError for an act that only a person can do.
    """
    asked = _askable(act)
    match asked:
        case Enter():
            return (_read(view, asked.field),)
        case SwitchPower():
            return ({"do": "power", "state": _other_power(view)},)
        case Look() | Write() | ReadBack():
            return _setting(view, asked)
        case Mend():
            return (mended(asked.finding, part),)
        case Hint():
            return ({"do": "hint", "n": asked.n},)
        case _:
            assert_never(asked)


def resume(rig: Rig, view: View) -> None:
    """Tell a rig how the unit was left, if the session has events. Raises RigError, also where it refuses."""
    history = view.state.history
    if not history:
        return
    reads: dict[str, int] = {}
    for event in history:
        if isinstance(event.what, Entered | Used):
            reads[event.what.field] = reads.get(event.what.field, 0) + 1
    first, last = (datetime.fromisoformat(e.at) for e in (history[0], history[-1]))
    request = {
        "do": "resume",
        "reads": reads,
        "settings": _last_shown(view),
        "power": view.state.power,
        "elapsed_s": max(0, round((last - first).total_seconds())),
    }
    if view.state.drilled:
        request["acts"] = acts(view.equipment, history)
    answer = checked(request, rig.ask(request))
    if "refused" in answer:
        raise RigError(f"The rig would not go on with this session: {answer['refused']}.")


def _last_shown(view: View) -> dict[str, str]:
    """What every setting was last seen to show; of one that a later write reset, what it shows since."""
    shown = {(a.setting, a.address): a.shown for a in view.state.acts}
    for place, (_, value) in view.ledger.doubts.put_back.items():
        code = view.equipment.code_of(place[0], value)
        shown[place] = code.shown if code else value
    return {f"{setting}@{address}": found for (setting, address), found in shown.items()}


def _other_power(view: View) -> str:
    """What power is switched to: what is next says it, else it is the other state."""
    state = view.next.state if view.next.do == "power" else ""
    return state or ("off" if view.state.power == "on" else "on")


def _read(view: View, id: str) -> dict[str, Any]:
    field = view.ledger.fields.get(id)
    if field is None:
        raise RigError(f"A rig cannot answer {id!r}, which is no field of this unit as it stands.")
    used = view.state.instrument(field.instrument) if field.instrument else None
    return {"do": "read", "field": id, "kind": field.kind, "instrument": used.instrument if used else ""}


def _setting(view: View, act: Look | Write | ReadBack) -> tuple[dict[str, Any], ...]:
    setting = view.equipment.setting_of(act.setting)
    if setting is None or (act.address and act.address not in setting.address):
        raise RigError(f"A rig cannot answer {act.place!r}, which is no setting of this unit.")
    address = act.address or setting.address[0]
    match act:
        case Look() | ReadBack():
            query = view.equipment.queried(setting.id)
            return (keyed(address, query),) if query else (looked(setting.id, address),)
        case Write():
            value = view.ledger.planned().get((setting.id, address))
            if value is None:
                raise RigError(f"Nothing is planned for {act.place}; choose the options that set it first.")
            code = view.equipment.code_of(setting.id, value)
            return coded(code, address) if code else (written(setting.id, address, value),)
        case _:
            assert_never(act)
