"""What holds forbid, and the power that an act wants: for every face, and in every order."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, assert_never

from asleft.guide import holds_on
from asleft.sequence.guards import (
    COMMISSIONED,
    ENABLING,
    HANDS,
    HEAT_ROLES,
    ISOLATED,
    NOT_COMMISSIONED,
    POWER_ON,
    acts_of_field,
    acts_of_write,
    power_of_field,
)
from asleft.session.acts import (
    Acknowledge,
    Break,
    Cannot,
    Choose,
    Enter,
    Finish,
    Hint,
    Look,
    Mend,
    Note,
    ReadBack,
    Report,
    Retract,
    Review,
    Seal,
    Sign,
    SwitchPower,
    Waive,
    Write,
)
from asleft.session.events import Event
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
from asleft.session.state import fold
from asleft.visit.refusal import Refused
from asleft.visit.view import View, look

if TYPE_CHECKING:
    from asleft.checks.finding import Finding
    from asleft.session.acts import Act
    from asleft.session.payloads import Payload, PowerState, SettingDone


@dataclass(frozen=True, slots=True)
class _Wants:
    """What an act wants before it is done: the holds on its guarded acts passed, and power as it must be."""

    what: str = ""
    guarded: tuple[str, ...] = ()
    power: str = ""
    field: str = ""


_NOTHING = _Wants()


def guard(view: View, what: Payload) -> None:
    """Let an act pass. Raises Refused where a hold, the power or the order forbids it."""
    _pass(view, _wants(view, what))
    if isinstance(what, Retracted):
        _guard_what_is_left(view, what)


def _guard_what_is_left(view: View, what: Retracted) -> None:
    """Let a retraction pass as far as the unit that the record then tells of may be so. Raises Refused.

    What it brings back is guarded as if it were done now, and so are power that is on and heat that is
    allowed only by it: bookkeeping opens no guard.
    """
    state = view.state
    event = Event(state.last_n + 1, state.history[-1].at, state.history[-1].by, what)
    after = look(view.equipment, fold(state, event), view.ledger.system)
    back = state.retracted - after.state.retracted
    guarded = [act for e in state.history if e.n in back for act in _brought_back(view, e.what)]
    if after.state.power == "on" and state.power == "off":
        guarded.append(POWER_ON)
    if _heat_allowed(after) - _heat_allowed(view):
        guarded.append(ENABLING)
    _pass(after, _Wants(f"taking event {what.of} back", tuple(guarded)))


def _brought_back(view: View, what: Payload) -> tuple[str, ...]:
    """The guarded acts that an event is which stands again: what was read was read, what was done acts on."""
    if isinstance(what, WroteSetting | Powered):
        return _wants(view, what).guarded
    return ()


def _heat_allowed(view: View) -> set[str]:
    """The topics by which heat may come on, as the control is known to be set."""
    topics = (t for t in view.equipment.topic if t.role in HEAT_ROLES)
    return {t.id for t in topics if (now := view.ledger.in_force(t)) is not None and now.value}


def forbidden(view: View, act: Act) -> Refused | None:
    """Why an act may not be begun now, before anybody does it; None where it may."""
    try:
        _pass(view, _begun(view, act))
    except Refused as refused:
        return refused
    return None


def _wants(view: View, what: Payload) -> _Wants:
    """What an act wants, by what it would be as an event. Raises Refused where something else comes first."""
    match what:
        case Entered():
            return _entering(view, what.field)
        case FoundSetting() | WroteSetting() | ReadSettingBack():
            return _setting(view, what)
        case Powered():
            return _switching(what.state)
        case Signed():
            commissioned = what.outcome == "commissioned"
            guarded = COMMISSIONED if commissioned else NOT_COMMISSIONED
            return _Wants(f"signing as {what.outcome}", (guarded,))
        case Acknowledged(id):
            return _Wants("recording isolation", (ISOLATED,), "off") if id == "EL-1" else _NOTHING
        case (
            Used()
            | Chose()
            | Waived()
            | Noted()
            | Mended()
            | CouldNot()
            | Broke()
            | Reported()
            | Hinted()
            | Retracted()
            | Resumed()
            | Sealed()
            | Reviewed()
            | Drilled()
            | Revealed()
            | Senseless()
        ):
            return _NOTHING
        case _:
            assert_never(what)


def _begun(view: View, act: Act) -> _Wants:
    """What an act wants before its outcome is known: a field not read yet, a setting not yet written."""
    match act:
        case Enter():
            return _entering(view, act.field)
        case SwitchPower():
            return _switching("off" if view.state.power == "on" else "on")
        case Look():
            return _setting(view, FoundSetting(act.setting, act.address, ""))
        case ReadBack():
            return _setting(view, ReadSettingBack(act.setting, act.address, ""))
        case Write():
            meant = view.ledger.planned().get((act.setting, act.address), "")
            return _setting(view, WroteSetting(act.setting, act.address, meant))
        case Acknowledge(id):
            return _wants(view, Acknowledged(id))
        case (
            Choose()
            | Waive()
            | Mend()
            | Cannot()
            | Note()
            | Retract()
            | Sign()
            | Seal()
            | Review()
            | Break()
            | Report()
            | Hint()
            | Finish()
        ):
            return _NOTHING
        case _:
            assert_never(act)


def _entering(view: View, id: str) -> _Wants:
    field = view.ledger.fields.get(id)
    if field is None:
        return _NOTHING
    return _Wants(field.label, acts_of_field(field), power_of_field(field), id)


def _switching(state: PowerState) -> _Wants:
    return _Wants("power on", (POWER_ON,)) if state == "on" else _NOTHING


def _setting(view: View, what: SettingDone) -> _Wants:
    ledger, setting = view.ledger, view.equipment.setting_of(what.setting)
    if setting is None:
        return _NOTHING
    if not isinstance(what, WroteSetting):
        return _Wants(setting.label, (HANDS,) if setting.power == "off" else (), setting.power)
    value = view.equipment.value_of(setting.id, what.shown)
    if value not in setting.values:
        # The control said nothing of the value: what was keyed is what the plan has there.
        value = ledger.planned().get((setting.id, what.address), "")
    guarded = acts_of_write(ledger, setting.id, value)
    if ledger.shown(setting.id, what.address) == value and not setting.resets:
        # A write that did not take enables nothing that was not enabled before.
        guarded = tuple(act for act in guarded if act != ENABLING)
    if not ledger.acts_on(setting.id, what.address):
        first = Look(setting.id, what.address)
        raise Refused(f"{setting.label} has no as-found value on record", f"{first} first")
    return _Wants(setting.label, guarded, setting.power)


def _pass(view: View, wants: _Wants) -> None:
    if wants.power and wants.power != view.state.power:
        raise Refused(
            f"{wants.what} is taken with power {wants.power}, and power is {view.state.power}",
            f"power={wants.power} first",
        )
    holds = holds_on(view.findings, wants.guarded)
    if holds:
        reasons = "; ".join(f"{f.id}, {f.text.rstrip('.')}" for f in holds[:3])
        raise Refused(f"{wants.what} is locked by {reasons}", _way_out(view, wants, holds), holds)


def _way_out(view: View, wants: _Wants, holds: tuple[Finding, ...]) -> str:
    """What would open a lock; where a hold rests on what the same field reads now, taking that back."""
    do = holds[0].do
    entry = view.state.latest(wants.field)
    if entry is not None and any(entry.n in hold.rests_on for hold in holds):
        return f"if event {entry.n}, {entry.typed}, was mistyped, take it back; else {do}"
    return do
