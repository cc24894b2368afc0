"""Checks of the record before it is signed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from asleft.checks.about import About
from asleft.checks.listing import check
from asleft.sequence.steps import taken_back
from asleft.session.acts import Look, ReadBack, SwitchPower, entry_of
from asleft.session.values import YesNo

if TYPE_CHECKING:
    from asleft.checks.finding import Finding


@check("SO-1")
def stale(a: About) -> Finding:
    """Readings that something changed after they were taken."""
    again = [
        id
        for id, field in a.ledger.fields.items()
        if not field.closing and a.ledger.stale(id) and not a.ledger.too_soon_s(id)
    ]
    a.need(*map(entry_of, again))
    if not again:
        return a.finding("pass", "No reading is older than what changed it.", mendable=False)
    for id in again:
        a.rest(*(a.ledger.changes(id)[-1:]))
    names = [f"“{a.case.label(f)}”" for f in again[:3]] + (["…"] if len(again) > 3 else [])
    return a.finding("not measured", f"To be taken again: {', '.join(names)}.", mendable=False)


@check("SO-2")
def commissioned(a: About) -> Finding:
    """No hold open, and every correct passed or waived."""
    blocking = [f for f in a.case.earlier if f.open]
    if not blocking:
        return a.finding(
            "pass", "Every hold has passed, every correct has passed or is waived.", mendable=False
        )
    first = next((f for f in blocking if f.failed), blocking[0])
    more = f" and {len(blocking) - 1} more" if len(blocking) > 1 else ""
    verdict = "fail" if first.failed else "not measured"
    return a.finding(
        "fail" if verdict == "fail" else "not measured",
        f"Open: {first.key} {first.verdict}{more}.",
        mendable=False,
    )


GIVEN_ANEW = ("EL-1", "EL-18", "EL-19", "EL-25")
"""Words and proofs that are given for work at the unit, and mean nothing of how it is left."""


@check("SO-3")
def left_safe(a: About) -> Finding:
    """A unit left not commissioned is safe, tagged, and somebody was told."""
    if a.case.with_verdict("SO-2"):
        return a.not_applicable("Nothing forbids signing as commissioned.")
    told, safe, tagged = (a.ledger.current(f"signoff.{f}") for f in ("told", "made_safe", "tagged"))
    a.rest(*(p.n for p in a.ledger.state.powered[-1:]))
    off = a.ledger.state.power == "off"
    topic = a.ledger.equipment.role("auxiliary-heat")
    now = a.ledger.surely_in_force(topic) if topic else None
    if told is None or safe is None or tagged is None:
        a.rest_on("signoff.told", "signoff.made_safe", "signoff.tagged")
        return a.finding(
            "not measured", "Not entered yet: who was told, how it was left, the tag.", mendable=False
        )
    if not off and (now is None or now.value):
        return a.finding(
            "fail",
            "Power is on, and the record does not show heat off.",
            mendable=False,
            do="Switch power off at the unit.",
        )
    if not off and (live := _live_hazard(a)):
        return a.finding(
            "fail",
            f"{live.key} is open: heat that is off at the control leaves its wires live.",
            mendable=False,
            do="Switch power off at the unit, and lock it.",
        )
    a.rest_on("signoff.made_safe")
    if not off and str(safe.value) == "isolated":
        return a.finding(
            "fail",
            "It was entered as isolated, and power is on.",
            mendable=False,
            do="Switch power off at the unit, or enter how it is left.",
        )
    a.rest_on("signoff.told", "signoff.tagged")
    if tagged.value is not YesNo.YES:
        return a.finding("fail", "The unit has no tag.", mendable=False, do="Hang the tag and enter it.")
    how = "isolated" if off else "with heat off"
    return a.finding("pass", f"Left {how} and tagged; {told.value} was told.", mendable=False)


def _live_hazard(a: About) -> Finding | None:
    """An electrical hold that is open; a word that is only to be given anew is none."""
    holds = (f for f in a.case.earlier if f.id.startswith("EL-") and f.severity == "hold" and f.open)
    return next((f for f in holds if f.id not in GIVEN_ANEW), None)


@check("SO-6")
def left_running(a: About) -> Finding:
    """Commissioned means running: power on, every write in force and looked at again, nothing forced."""
    ledger, state = a.ledger, a.ledger.state
    if state.signature is not None and state.signature.outcome != "commissioned":
        return a.not_applicable("It was left not commissioned.")
    a.rest(*(p.n for p in state.powered[-1:]))
    cleared = state.latest("signoff.cleared")
    if cleared is not None and cleared.value is YesNo.NO:
        a.rest_on("signoff.cleared")
        if ledger.stale("signoff.cleared"):
            return a.not_measured(
                "Something was forced when it was last asked, and nobody has said since that it is gone.",
                do="Take away what is forced, and say so.",
            )
        return a.failed("A forced call, a jumper or a test mode still stands.", mendable=False)
    for setting, address in ledger.equipment.places():
        if taken_back(ledger, (setting, address)):
            a.need(Look(setting.id, address))
            return a.not_measured(
                f"That “{setting.label}” was written was taken back, and nobody has looked since.",
                do="Look at what it holds.",
            )
    if state.power == "off":
        a.need(SwitchPower())
        return a.not_measured("Power is off.", do="Switch power on.")
    wrote, looked = [act for act in ledger.acts if act.kind == "wrote"], _last_looked(a)
    if not looked:
        return a.not_measured("Nothing was read or looked at yet.")
    a.rest(*(act.n for act in wrote[-1:]))
    waiting = next((act for act in wrote if _waits(a, act.setting) and ledger.cycled(act.n) is None), None)
    if waiting is not None:
        a.need(SwitchPower())
        return a.not_measured(
            f"“{_label(a, waiting.setting)}” waits for power to be off and on again.",
            do="Switch power off and on again, and read it back.",
        )
    if wrote and looked < wrote[-1].n:
        last = wrote[-1]
        a.need(ReadBack(last.setting, last.address))
        return a.not_measured(
            f"“{_label(a, last.setting)}” was written last, and nothing was read since.", do="Read it back."
        )
    return a.passed("Power is on, every setting is in force, and nothing is forced.", mendable=False)


def _waits(a: About, setting: str) -> bool:
    found = a.ledger.equipment.setting_of(setting)
    return found is not None and found.waits


def _label(a: About, setting: str) -> str:
    found = a.ledger.equipment.setting_of(setting)
    return found.label if found else setting


def _last_looked(a: About) -> int:
    """The last event in which the unit was looked at or read, 0 where there is none."""
    looked = [act.n for act in a.ledger.acts if act.kind != "wrote"]
    entries = a.ledger.state.entries
    read = (entries[id][-1].n for id, field in a.ledger.fields.items() if field.measured and entries.get(id))
    return max([*looked, *read], default=0)
