"""What holds forbid, and the power that an act wants: for every face, and in every order."""

from __future__ import annotations

from typing import TYPE_CHECKING

from asleft.guide import holds_on
from asleft.sequence.guards import (
    COMMISSIONED,
    ENABLING,
    HANDS,
    NOT_COMMISSIONED,
    POWER_ON,
    acts_of_field,
    acts_of_write,
    power_of_field,
)
from asleft.visit.drafts import Draft, Refused

if TYPE_CHECKING:
    from asleft.checks.finding import Finding
    from asleft.visit.view import View


def guard(view: View, draft: Draft) -> None:
    """Let an act pass. Raises Refused where a hold, the power or the order forbids it."""
    ledger, unit = view.ledger, view.equipment
    acts: tuple[str, ...] = ()
    power = ""
    what = draft.kind
    match draft.kind:
        case "entered" if field := ledger.fields.get(draft.data["field"]):
            acts, power, what = acts_of_field(field), power_of_field(field), field.label
        case "found" | "wrote" | "read_back" if setting := unit.setting_of(draft.data["setting"]):
            power, what = setting.power, setting.label
            if draft.kind == "wrote":
                value = unit.value_of(setting.id, draft.data["shown"])
                acts = acts_of_write(ledger, setting.id, value)
                if ledger.shown(setting.id, draft.data["address"]) == value:
                    # A write that did not take enables nothing that was not enabled before.
                    acts = tuple(act for act in acts if act != ENABLING)
                if not ledger.acts_on(setting.id, draft.data["address"]):
                    raise Refused(
                        f"{setting.label} has no as-found value on record",
                        f"found:{setting.id}@{draft.data['address']} first",
                    )
            elif setting.power == "off":
                acts = (HANDS,)
        case "powered" if draft.data["state"] == "on":
            acts, what = (POWER_ON,), "power on"
        case "signed":
            commissioned = draft.data["outcome"] == "commissioned"
            acts = (COMMISSIONED,) if commissioned else (NOT_COMMISSIONED,)
            what = f"signing as {draft.data['outcome']}"
    if power and power != view.state.power:
        raise Refused(
            f"{what} is taken with power {power}, and power is {view.state.power}", f"power={power} first"
        )
    holds = holds_on(view.findings, acts)
    if holds:
        reasons = "; ".join(f"{f.id}, {f.text.rstrip('.')}" for f in holds[:3])
        raise Refused(f"{what} is locked by {reasons}", _way_out(view, draft, holds), holds)


def _way_out(view: View, draft: Draft, holds: tuple[Finding, ...]) -> str:
    """What would open a lock; where a hold rests on what the same field reads now, taking that back."""
    do = holds[0].do
    entry = view.state.latest(str(draft.data.get("field", "")))
    if entry is not None and any(entry.n in hold.rests_on for hold in holds):
        return f"if event {entry.n}, {entry.typed}, was mistyped, take it back; else {do}"
    return do


def forbidden(view: View, left: str) -> Refused | None:
    """Why an act may not be begun now, before anybody does it; None where it may."""
    head, colon, rest = left.partition(":")
    try:
        if not colon:
            state = "off" if view.state.power == "on" else "on"
            guard(
                view,
                Draft("powered", {"state": state}) if head == "power" else Draft("entered", {"field": head}),
            )
        elif head in ("found", "wrote", "read_back"):
            id, _, address = rest.partition("@")
            shown = view.ledger.planned().get((id, address), "")
            guard(view, Draft(head, {"setting": id, "address": address, "shown": shown}))
    except Refused as refused:
        return refused
    return None
