"""What to do next: one thing, why, and where. Safe first, fewest power cuts, nothing asked twice."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import chain
from typing import TYPE_CHECKING

from asleft.guide.ending import ending, signed
from asleft.guide.first import switch, with_power
from asleft.guide.thing import open_holds
from asleft.guide.work import everything_open, locked
from asleft.session.acts import Look, ReadBack, Write

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
    holds = open_holds(findings)
    danger = next((f for f in findings if f.urgent), None)
    if danger is not None and ledger.state.power == "on" and not ledger.power_refused:
        return switch("off", danger.text, danger.key)
    open_work = (
        w
        for w in everything_open(ledger, findings, plan, forecast)
        if not locked(holds, w.acts)
        and _reachable(ledger, w)
        and not (danger and w.power == "on" and not _cools(ledger, w))
    )
    work = _pick(ledger, open_work)
    return with_power(ledger, findings, work) if work else ending(ledger, findings)


def _reachable(ledger: Ledger, work: Work) -> bool:
    """Whether work can be done as power now is, where somebody noted that it cannot be switched."""
    if not ledger.power_refused:
        return True
    return work.next.do != "power" and work.power in ("", ledger.state.power)


def _cools(ledger: Ledger, work: Work) -> bool:
    """Whether work switches heat off at the control, where power cannot be switched."""
    topic = ledger.equipment.role("auxiliary-heat")
    chosen = ledger.chosen(topic) if topic is not None else None
    if not ledger.power_refused or chosen is None or chosen.value:
        return False
    act = work.next.act
    return isinstance(act, Look | Write | ReadBack) and act.setting in chosen.set


def _pick(ledger: Ledger, work: Iterator[Work]) -> Work | None:
    """The first piece of work in the present power state; before the first isolation, the first of all."""
    first = next(work, None)
    if first is None or first.power == "" or first.first:
        return first
    fitting = ("", ledger.state.power) if ledger.state.powered else ("off",)
    return next((w for w in chain((first,), work) if w.power in fitting or w.first), first)
