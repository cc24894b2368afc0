"""Checks of how long auxiliary heat is held back."""

from __future__ import annotations

from typing import TYPE_CHECKING

from asleft.calc import delay_droop
from asleft.checks.about import About
from asleft.checks.listing import check
from asleft.installation.forecast import SHORT_CAPACITY, SHORT_DELAY_S, shortfall_w

if TYPE_CHECKING:
    from asleft.checks.finding import Finding


@check("TD-1")
def offered(a: About) -> Finding:
    """The delay chosen is one on offer."""
    topic = a.topic("auxiliary-delay")
    a.kit()
    choice = a.ledger.state.choices.get(topic.id)
    if choice is not None and a.ledger.chosen(topic) is None:
        a.fields.insert(0, f"choose:{topic.id}")
        a.rest(choice.n)
        return a.failed(f"The delay {choice.option} is not offered here.")
    option = a.choice("auxiliary-delay")
    return a.passed(f"{option.label} is offered.")


@check("TD-2")
def droop(a: About) -> Finding:
    """How far the room falls at design while heat is held back."""
    a.kit()
    a.pairing()
    option = a.choice("auxiliary-delay")
    a.rest_on("delay.droop_limit", "heat.zero_load_temperature", shown=False)
    for field in ("heat.design_load", "heat.design_temperature", "delay.floor_area"):
        a.fact_number(field)
    a.fact("delay.construction")
    found = a.outlook("auxiliary-delay", option.id)
    judged = found.judgement("TD-2")
    if judged is None:
        return a.not_measured("The room's fall cannot be reckoned from the house as entered.")
    best = found.figures.get("best_case")
    extra = f"At best {a.show(best.value, 'temperature_difference')}." if best else ""
    working = _working(a, float(option.value), judged.figure.value)
    return a.foretold(judged, f"Fall of the room, {option.label}", extra=extra, working=working)


def _working(a: About, delay_s: float, fall_k: float) -> str:
    """The fall as a person can repeat it: the quarter of the capacity that answers first, else the whole."""
    short = shortfall_w(a.ledger, a.estimate)
    ua, whole = a.estimate.heat_loss_coefficient_wk, a.estimate.thermal_capacity_jk
    if short is None or not ua or not whole:
        return ""
    held, answers = min(delay_s, SHORT_DELAY_S), SHORT_CAPACITY * whole
    if delay_s > SHORT_DELAY_S and delay_droop(short, ua, whole, delay_s).droop_k >= fall_k:
        held, answers = delay_s, whole
    return (
        f"D/UA (1 - exp(-t UA/C)) = {short:.0f} W / {ua:.1f} W/K x (1 - exp(-{held:.0f} s x {ua:.1f} W/K / "
        f"{answers / 1e6:.2f} MJ/K)) = {fall_k:.2f} K = {a.show(fall_k, 'temperature_difference')}"
    )
