"""What has to come before a piece of work: an acknowledgement, or power switched."""

from __future__ import annotations

from typing import TYPE_CHECKING

from asleft.guide.thing import Next, Work, holds_on
from asleft.sequence.guards import POWER_ON
from asleft.session.acts import Acknowledge, SwitchPower

if TYPE_CHECKING:
    from asleft.checks.finding import Finding
    from asleft.session.ledger import Ledger


def with_power(ledger: Ledger, findings: tuple[Finding, ...], work: Work) -> Next:
    """The work itself, or what has to come first: an acknowledgement, or power switched."""
    power = ledger.state.power
    if work.power == "off" and power == "on":
        return switch("off", f"Then: {work.next.text}")
    if work.power == "on" and power == "off":
        held = holds_on(findings, (POWER_ON,))
        return (
            acknowledge(held[0], "before power comes on again")
            if held
            else switch("on", f"Then: {work.next.text}")
        )
    held = holds_on(findings, work.acts)
    if held:
        return acknowledge(held[0], f"before: {work.next.text}")
    return work.next


def acknowledge(finding: Finding, why: str) -> Next:
    """An acknowledgement asked for, and what for."""
    return Next(
        "acknowledge",
        finding.do or finding.text,
        f"Needed {why.rstrip('.')}.",
        "electrical",
        Acknowledge(finding.id),
        finding=finding.key,
    )


def switch(state: str, why: str, finding: str = "") -> Next:
    """Power switched at the unit, and why; `finding` where it is for the sake of one."""
    text = f"Switch power {state} at the unit."
    return Next("power", text, why, "electrical", SwitchPower(), state=state, finding=finding)
