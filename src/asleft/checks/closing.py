"""Checks of what is done last: nothing temporary left, the record complete, the owner shown."""

from __future__ import annotations

from typing import TYPE_CHECKING

from asleft.checks.about import About
from asleft.checks.listing import check
from asleft.session.acts import Look, ReadBack, entry_of

if TYPE_CHECKING:
    from asleft.checks.finding import Finding

CLEARED = ("signoff.cleared", "signoff.holes_plugged")
SHOWN = ("signoff.owner_shown", "signoff.directory")


def _all_said(a: About, fields: tuple[str, ...], yes: str) -> Finding:
    """Pass where each was answered with yes."""
    if lacking := a.not_so(*fields):
        return a.failed(f"Not so: {', '.join(lacking)}.")
    return a.passed(yes)


@check("SQ-5")
def cleared(a: About) -> Finding:
    """What was put in for the visit is taken out."""
    return _all_said(a, CLEARED, "Nothing temporary is left, and test holes are plugged.")


@check("SO-4")
def complete(a: About) -> Finding:
    """What somebody else needs to repeat or to judge the visit is on record."""
    ledger = a.ledger
    missing: list[str] = []
    seen = {(s.id, at): ledger.acts_on(s.id, at) for s, at in ledger.equipment.places()}
    lacking: tuple[tuple[str, list[Look] | list[ReadBack]], ...] = (
        ("as found", [Look(*p) for p, acts in seen.items() if not any(a.kind == "found" for a in acts)]),
        ("as left", [ReadBack(*p) for p, acts in seen.items() if acts and acts[-1].kind == "wrote"]),
    )
    for what, places in lacking:
        if places:
            named = [act.place for act in places]
            a.need(*places)
            missing.append(f"{what}, " + ", ".join(named[:3]) + (" and others" if len(named) > 3 else ""))
    a.rest_on("identity.code", shown=False)
    if "identity.code" in ledger.fields and ledger.current("identity.code") is None:
        a.need(entry_of("identity.code"))
        missing.append("the code edition")
    if not a.estimate.airflow_method:
        missing.append("a method of airflow")
    used = {
        entry.instrument for field in ledger.fields if (entry := ledger.current(field)) and entry.instrument
    }
    dateless = sorted(u.name for u in ledger.state.used if u.instrument in used and not u.calibrated_until)
    a.rest(*(u.n for u in ledger.state.used if u.instrument in used))
    if missing:
        return a.not_measured(f"Not on record: {'; '.join(missing)}.")
    if dateless:
        return a.failed(f"No calibration date on record: {', '.join(dateless)}.")
    waived = [f.key for f in a.case.earlier if f.waived]
    open_ = f" Waived: {'; '.join(waived)}." if waived else ""
    return a.passed(
        f"Every address, {len(used)} instruments, airflow by {a.estimate.airflow_method}, "
        f"{a.fact('identity.code')}.{open_}",
        mendable=False,
    )


@check("SO-5")
def handed_over(a: About) -> Finding:
    """The people who live with it know how to."""
    return _all_said(a, SHOWN, "The owner was shown, and the circuits are labelled.")
