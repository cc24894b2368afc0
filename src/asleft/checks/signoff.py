"""Checks of the record before it is signed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from asleft.checks.about import About
from asleft.checks.listing import check
from asleft.session.acts import entry_of
from asleft.session.values import YesNo

if TYPE_CHECKING:
    from asleft.checks.finding import Finding


@check("SO-1")
def stale(a: About) -> Finding:
    """Readings that something changed after they were taken."""
    again = [id for id, field in a.ledger.fields.items() if not field.closing and a.ledger.stale(id)]
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


@check("SO-3")
def left_safe(a: About) -> Finding:
    """A unit left not commissioned is safe, tagged, and somebody was told."""
    if a.case.with_verdict("SO-2"):
        return a.not_applicable("Nothing forbids signing as commissioned.")
    told, safe, tagged = (a.ledger.current(f"signoff.{f}") for f in ("told", "made_safe", "tagged"))
    a.rest(*(p.n for p in a.ledger.state.powered[-1:]))
    off = a.ledger.state.power == "off"
    now = a.ledger.role_in_force("auxiliary-heat")
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
