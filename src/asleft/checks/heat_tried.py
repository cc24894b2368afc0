"""Checks of heat called on purpose: what came on, what went off, and whether the blower ran with it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from asleft.checks.about import About
from asleft.checks.listing import check

if TYPE_CHECKING:
    from asleft.checks.finding import Finding


@check("HS-10")
def blower_proved(a: About) -> Finding:
    """The blower runs on every path that brings heat on."""
    a.kit()
    a.heat_on()
    fields = tuple(f for f in a.ledger.fields if f.startswith("heat.path."))
    answers = a.words(*fields)
    wrong = [a.case.label(f) for f, yes in zip(fields, answers, strict=True) if yes != "True"]
    if wrong:
        return a.failed(f"Heat without the blower: {'; '.join(wrong)}.")
    return a.passed("The blower ran with the heat on every path tried.")
