"""Checks of how long auxiliary heat is held back."""

from __future__ import annotations

from typing import TYPE_CHECKING

from asleft.calc import delay_droop
from asleft.checks.about import About
from asleft.checks.listing import check
from asleft.installation.forecast import SHORT_CAPACITY, SHORT_DELAY_S, shortfall_w
from asleft.installation.roles.auxiliary_delay import stage_gaps_s
from asleft.session.acts import Choose

if TYPE_CHECKING:
    from asleft.checks.finding import Finding
    from asleft.installation.outlook import Outlook


@check("TD-1")
def offered(a: About) -> Finding:
    """The delay chosen is one on offer."""
    topic = a.topic("auxiliary-delay")
    a.kit()
    choice = a.ledger.state.choices.get(topic.id)
    if choice is not None and a.ledger.chosen(topic) is None:
        a.need_first(Choose(topic.id))
        a.rest(choice.n)
        return a.failed(f"The delay {choice.option} is not offered here.")
    option = a.choice("auxiliary-delay")
    return a.passed(f"{option.label} is offered.")


def _chosen(a: About) -> Outlook:
    """What the delay chosen would do in this house, all that the house is known by rested on."""
    a.kit()
    a.pairing()
    option = a.choice("auxiliary-delay")
    a.rest_on("delay.droop_limit", "heat.zero_load_temperature", shown=False)
    for field in ("heat.design_load", "heat.design_temperature", "delay.floor_area"):
        a.fact_number(field)
    a.fact("delay.construction")
    return a.outlook("auxiliary-delay", option.id)


@check("TD-2")
def droop(a: About) -> Finding:
    """How far the room falls at design while heat is held back."""
    found = _chosen(a)
    judged = found.judgement("TD-2")
    if judged is None:
        return a.not_measured("The room's fall cannot be reckoned from the house as entered.")
    best = found.figures.get("best_case")
    extra = f"At best {a.show(best.value, 'temperature_difference')}." if best else ""
    working = _working(a, found.figures["delay"].value, judged.figure.value)
    return a.foretold(judged, f"Fall of the room, {found.label}", extra=extra, working=working)


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


@check("TD-3")
def compared(a: About) -> Finding:
    """What each delay on offer would do: told, and nothing more."""
    chosen = _chosen(a)
    topic = a.case.forecast.topics[a.topic("auxiliary-delay").id]
    each = "; ".join(_in_short(a, outlook) for outlook in topic.outlooks)
    energy = chosen.figures.get("energy")
    others = [
        (other.figures["energy"].value, other)
        for other in topic.outlooks
        if "energy" in other.figures and other.keeps("TD-2", "TD-4")
    ]
    least, best = min(others, key=lambda pair: pair[0], default=(0.0, chosen))
    if energy is None or energy.value <= least or not others:
        return a.passed(f"Fall at design, auxiliary energy of a morning: {each}.", mendable=False)
    more = a.show(energy.value - least, "energy")
    return a.passed(
        f"{chosen.label} takes {more} more of a morning than {best.label}. Of each: {each}.", mendable=False
    )


def _in_short(a: About, outlook: Outlook) -> str:
    """One delay in a few words."""
    fall, energy = outlook.figures.get("droop"), outlook.figures.get("energy")
    words = [a.show(fall.value, "temperature_difference")] if fall else []
    words += [a.show(energy.value, "energy")] if energy else []
    return f"{outlook.label} {', '.join(words) or 'not known'}"


@check("TD-4")
def longer_than_rest(a: About) -> Finding:
    """The compressor comes back before auxiliary heat is let in."""
    a.kit()
    a.pairing()
    pump = a.ledger.equipment.heat_pump
    a.figure(pump.least_off_time if pump else None)
    option = a.choice("auxiliary-delay")
    judged = a.outlook("auxiliary-delay", option.id).judgement("TD-4")
    if judged is None:
        return a.not_measured("The delay cannot be held against the compressor's rest.")
    return a.foretold(judged, f"Delay of auxiliary heat, {option.label}")


@check("TD-5")
def run_on(a: About) -> Finding:
    """The blower carries off what the elements still hold."""
    a.kit()
    a.figure(a.ledger.equipment.blower.least_run_on)
    option = a.choice("blower-run-on")
    judged = a.outlook("blower-run-on", option.id).judgement("TD-5")
    if judged is None:
        return a.not_measured("The run-on cannot be held against the unit's least.")
    return a.foretold(judged, f"Blower after heat, {option.label}")


@check("TD-6")
def droop_in_all(a: About) -> Finding:
    """The fall counted from the set point to the last stage."""
    found = _chosen(a)
    a.fact_number("delay.differential")
    gap = a.choice("stage-delay") if a.ledger.equipment.role("stage-delay") else None
    judged = found.judgement("TD-6")
    if judged is None:
        return a.not_measured("The room's fall cannot be reckoned from the house as entered.")
    gaps_s = stage_gaps_s(a.ledger, gap)
    held = f"{found.label} and {a.show(gaps_s, 'time')} between stages" if gaps_s else found.label
    return a.foretold(judged, f"Fall of the room below the set point, {held}")
