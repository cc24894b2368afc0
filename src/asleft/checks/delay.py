"""Checks of how long auxiliary heat is held back."""

from __future__ import annotations

from typing import TYPE_CHECKING

from asleft.checks.case import About, check
from asleft.quantity import show

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
    extra = f"At best {show(best.value, 'temperature_difference')}." if best else ""
    ua, capacity = a.estimate.heat_loss_coefficient_wk, a.estimate.thermal_capacity_jk
    working = (
        f"{show(float(option.value), 'time')} held back, loss {show(ua or 0.0, 'heat_loss_coefficient')}, "
        f"a quarter of {show(capacity or 0.0, 'thermal_capacity')}: falls "
        f"{show(judged.figure.value, 'temperature_difference')}"
    )
    return a.foretold(judged, f"Fall of the room, {option.label}", extra=extra, working=working)
