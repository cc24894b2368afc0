"""The check that nothing live is left where hands go in."""

from __future__ import annotations

from typing import TYPE_CHECKING

from asleft.checks.about import About
from asleft.checks.finding import FAILS
from asleft.checks.landed import LIVE_V
from asleft.checks.listing import check

if TYPE_CHECKING:
    from asleft.checks.finding import Finding

ABSENT_V = 3.0
"""Volts up to which a tester shows nothing live: coupling and its own last digits (from memory)."""
POWER_IS_ON = "Power is on: nobody's hands are inside."
AT = "electrical.dead."
FUNCTION, BEFORE, AFTER = f"{AT}function", f"{AT}tester_before", f"{AT}tester_after"
WAITED, BUS = f"{AT}waited", f"{AT}bus"
FIT = ("two-pole tester", "low-impedance ac volts")
"""What shows neither coupled volts nor none where there are some."""


@check("EL-25")
def absence_of_voltage(a: About) -> Finding:
    """Every pair and leg of every circuit, and the drive, dead by a tester tried before and after."""
    if a.ledger.state.power == "on":
        return a.not_applicable(POWER_IS_ON)
    asked = [f for f in a.ledger.fields.values() if f.passing and f.id not in (WAITED, BUS)]
    read = [f.id for f in asked if f.measured]
    a.rest_on(FUNCTION, BEFORE, *read)
    volts = a.ledger.current(BUS)
    drive = [] if WAITED not in a.ledger.fields else [BUS if volts is not None else WAITED]
    a.have(FUNCTION, BEFORE, *read, *drive, AFTER, do=a.rule.measure)
    (function,) = a.words(FUNCTION)
    if function not in FIT:
        return a.failed(
            f"“{function}” proves nothing dead: it hides volts or shows some that are not there.",
            do=f"Take a {FIT[0]}, or {FIT[1]}, and read every point again.",
        )
    if untried := a.not_so(BEFORE, AFTER):
        return a.failed(f"{untried[0]}: it did not show a source that is live.", do=a.rule.measure)
    judged = [
        a.hold_against(a.case.label(f), k, "voltage", None, ABSENT_V)
        for f, k in zip(read, a.numbers(*read), strict=True)
    ]
    against = a.worst(judged)
    if against.verdict in FAILS:
        return a.say(against, extra="Something still feeds it, or couples into it.")
    if drive == [BUS]:
        (bus,) = a.numbers(BUS)
        charge = a.hold_against(a.case.label(BUS), bus, "voltage", None, LIVE_V)
        if charge.verdict in FAILS:
            return a.say(charge, do="Keep your hands out, wait, and read the bus again.")
    elif drive and a.not_so(WAITED):
        return a.failed(
            "The drive may still hold its charge.",
            do="Wait as long as the drive's plate says, or read its dc bus.",
        )
    return a.say(against, extra="Dead at every point, by a tester tried before and after.")
