"""What to do next: one thing, why, and where. Safe first, fewest power cuts, nothing asked twice."""

from __future__ import annotations

from typing import TYPE_CHECKING

from asleft.guide.ending import ending, signed
from asleft.guide.first import with_power
from asleft.guide.work import everything_open, locked

if TYPE_CHECKING:
    from asleft.checks.finding import Finding
    from asleft.guide.thing import Next, Work
    from asleft.installation.outlook import Forecast
    from asleft.sequence.steps import Step
    from asleft.session.ledger import Ledger


def next_thing(
    ledger: Ledger, findings: tuple[Finding, ...], plan: tuple[Step, ...], forecast: Forecast
) -> Next:
    """The next thing of a visit. It always has one answer, and ends in a signature."""
    if ledger.state.signature:
        return signed(ledger, ledger.state.signature.outcome, findings)
    open_work = [
        w
        for w in everything_open(ledger, findings, plan, forecast)
        if not locked(findings, w.acts) and _reachable(ledger, w)
    ]
    if open_work:
        return with_power(ledger, findings, _pick(ledger, open_work))
    return ending(ledger, findings)


def _reachable(ledger: Ledger, work: Work) -> bool:
    """Whether work can be done as power now is, where somebody noted that it cannot be switched."""
    if not ledger.power_refused:
        return True
    return work.next.do != "power" and work.power in ("", ledger.state.power)


def _pick(ledger: Ledger, work: list[Work]) -> Work:
    """The first piece of work in the present power state; before the first isolation, the first of all."""
    power = ledger.state.power
    if not ledger.state.powered:
        first = work[0]
        off = next((w for w in work if w.power == "off"), None)
        return first if first.power == "" else off or first
    return next((w for w in work if w.power in ("", power)), work[0])
