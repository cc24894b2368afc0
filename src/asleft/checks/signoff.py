"""May it be signed, and as what?"""

from __future__ import annotations

from collections.abc import Iterator

from asleft.checks.case import Case, check
from asleft.checks.finding import Finding

LAPSING = frozenset({"EL-1", "EL-18", "EL-19"})
"""Acknowledgements that end by themselves; they guard their acts, not the signature."""
ENDING = ("signoff.told", "signoff.made_safe", "signoff.tagged")


@check("SO-1")
def taken_again(case: Case) -> Iterator[Finding]:
    """A reading that a later write made stale is taken again as left."""
    stale = tuple(f for f in case.ledger.fields if case.ledger.stale(f))
    if stale:
        text = "To be taken again: " + ", ".join(case.label(f) for f in stale) + "."
        yield case.not_measured(stale, text=text, mendable=False)
    else:
        yield case.settled(True, "No reading is older than the settings it depends on.", mendable=False)


@check("SO-2")
def nothing_open(case: Case) -> Iterator[Finding]:
    """No hold open and every correct passed or waived."""
    open_ = [f for f in case.earlier if f.open and f.id not in LAPSING]
    if not open_:
        yield case.settled(True, "No hold is open and every correct has passed or is waived.", mendable=False)
        return
    holds = sum(f.severity == "hold" for f in open_)
    text = f"Open: {holds} hold and {len(open_) - holds} correct, first {open_[0].key}: {open_[0].text}"
    fields = tuple(dict.fromkeys(field for f in open_ for field in f.fields))
    yield case.settled(False, text, fields, do=open_[0].do or open_[0].text, mendable=False)


@check("SO-3")
def left_safe(case: Case) -> Iterator[Finding]:
    """A visit that ends with something open: made safe, tagged, the person told is named."""
    if all(f.releases for f in case.finding("SO-2")):
        yield case.not_applicable("Nothing is open.")
        return
    heat = case.ledger.role_in_force("auxiliary-heat")
    safe = case.ledger.state.power == "off" or (heat is not None and not heat.value)
    tagged = case.entry("signoff.tagged")
    if not safe:
        text = "Power is on and heat is not off."
        yield case.not_measured(
            ("power",), text=text, do="Switch power off and lock it, or set heat off.", mendable=False
        )
    elif any(case.ledger.state.latest(f) is None for f in ENDING):
        yield case.not_measured(
            ENDING, do="Say who was told, how the unit was left, and tag it.", mendable=False
        )
    elif tagged is not None and not tagged.value:
        yield case.settled(
            False, "The unit is not tagged.", ENDING, do="Tag it: what is wrong, who to call.", mendable=False
        )
    else:
        text = "Left {}, tagged; {} was told.".format(*(case.ledger.state.text(f) for f in ENDING[1::-1]))
        yield case.settled(True, text, ENDING, mendable=False)
