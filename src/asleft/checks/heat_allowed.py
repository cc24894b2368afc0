"""Checks of when the control lets heat come on: defrost, a lost link, the lockouts, a recovery."""

from __future__ import annotations

from typing import TYPE_CHECKING

from asleft.calc import Measured
from asleft.checks.about import About, Settled
from asleft.checks.against import WORST_FIRST
from asleft.checks.finding import FAILS
from asleft.checks.heat import rest_on_house
from asleft.checks.listing import check
from asleft.installation.estimate import COOLING_STATICS
from asleft.session.values import YesNo

if TYPE_CHECKING:
    from asleft.checks.finding import Finding
    from asleft.equipment.model import Option

ORDINARY = ("heat.ordinary.compressor", "heat.ordinary.auxiliary")
"""What came on by the control's own decision, where somebody waited to see."""


@check("HS-7")
def defrost_known(a: About) -> Finding:
    """What the rooms feel in a defrost without heat, shown beside the choice."""
    a.kit()
    a.pairing()
    topic = a.topic("heat-in-defrost")
    option = a.choice("heat-in-defrost")
    pump = a.ledger.equipment.heat_pump
    a.figure(pump.defrost_heat if pump else None)
    cold = _air_in_defrost(a, next((o for o in a.ledger.options(topic) if not o.value), option))
    back = a.estimate.return_air_c
    lasts = pump.defrost_duration if pump else None
    for_long = f" for {a.show(lasts, 'time')}" if lasts else ""
    felt = f"Without heat air leaves at {a.measured(cold, 'temperature')}{for_long} in every defrost"
    lost = a.show(back.value - cold.value, "temperature_difference")
    working = f"return {a.show(back.value, 'temperature')} - {lost} = {a.show(cold.value, 'temperature')}"
    if option.value:
        warm = _air_in_defrost(a, option)
        return a.passed(f"{felt}; with it at {a.measured(warm, 'temperature')}.", working=working)
    against = a.hold_against("Air in a defrost without heat", cold, "temperature", back.value, None)
    return a.say(against, working=working, extra=f"{felt}.")


def _air_in_defrost(a: About, option: Option) -> Measured:
    """Air that leaves in a defrost with an option, as the forecast has it; not measured without one."""
    figure = a.outlook("heat-in-defrost", option.id).figures.get("leaving_air")
    a.rest_on(*COOLING_STATICS, *a.estimate.rests.get("heating airflow", ()), shown=False)
    if figure is None:
        a.have(*COOLING_STATICS)
        raise Settled(a.not_measured("Heating airflow is not known: nobody can say how cold a defrost is."))
    return Measured(figure.value, figure.expanded)


@check("HS-8")
def proved_for_lost_link(a: About) -> Finding:
    """Where heat may run without the control, what would starve or cook it was proved before."""
    a.kit()
    option = a.choice("heat-on-lost-communication")
    if not option.value:
        return a.not_applicable("No heat on lost communication is chosen.")
    earlier = [f for f in a.case.earlier if f.id in ("BL-9", "HS-5")]
    for finding in earlier:
        a.rest(*finding.rests_on)
        a.need(*finding.needs)
    asked = [f for f in earlier if f.verdict != "not applicable"]
    worst = min(asked, key=lambda f: WORST_FIRST.index(f.verdict), default=None)
    if worst is None:
        return a.not_applicable("Neither airflow nor leaving air is judged here.")
    if worst.verdict in FAILS:
        return a.finding(
            worst.verdict, f"Heat could come on by itself, and {worst.id} is not passed: {worst.text}"
        )
    if worst.verdict == "not measured":
        return a.not_measured(f"Heat could come on by itself, and {worst.id} is not proved yet: {worst.text}")
    return a.finding(worst.verdict, "Airflow and leaving air were proved: heat may come on by itself.")


@check("HS-11")
def never_without_heat(a: About) -> Finding:
    """Compressor and auxiliary heat are at no outdoor temperature locked out together."""
    a.kit()
    a.pairing()
    topic = a.topic("outdoor-lockout")
    option = a.choice("outdoor-lockout")
    pump = a.ledger.equipment.heat_pump
    a.figure(pump.cut_out if pump else None)
    a.numbers("heat.outdoor.cut_out")
    a.rest_on(*ORDINARY, shown=False)
    seen = [entry.value for f in ORDINARY if (entry := a.ledger.current(f)) is not None]
    if seen == [YesNo.NO, YesNo.NO]:
        a.rest_on(*ORDINARY)
        return a.failed("Heat was called for longer than the delay, and neither compressor nor kit came on.")
    found = a.outlook("outdoor-lockout", option.id)
    judged = found.judgement("HS-11")
    if judged is None or pump is None:
        return a.not_measured("Where the compressor stops is not known yet.")
    lets_go, starts = found.figures["lets_go"].value, found.figures["compressor_starts"].value
    working = (
        f"auxiliary heat lets go at {a.show(float(option.value), 'temperature')} - "
        f"{a.show(topic.differential or 0.0, 'temperature_difference')} = {a.show(lets_go, 'temperature')}; "
        f"the compressor starts again at {a.show(starts, 'temperature')}, "
        f"{a.show(pump.cut_out_differential or 0.0, 'temperature_difference')} above its cut-out"
    )
    extra = ""
    if lets_go < starts:
        gap = f"{a.show(lets_go, 'temperature')} and {a.show(starts, 'temperature')}"
        extra = f"Between {gap} both may be locked out."
    return a.foretold(judged, "Overlap of compressor and auxiliary heat", working=working, extra=extra)


@check("HS-18")
def recovery_without_help(a: About) -> Finding:
    """A recovery at the lockout that the heat pump carries ends before auxiliary heat may come on."""
    a.kit()
    a.pairing()
    a.topic("outdoor-lockout")
    option = a.choice("auxiliary-delay")
    lockout = a.choice("outdoor-lockout")
    rest_on_house(a)
    a.fact_number("delay.floor_area")
    a.fact("delay.construction")
    found = a.outlook("auxiliary-delay", option.id)
    warmest = a.show(float(lockout.value), "temperature")
    where = f"at {warmest} outside, the warmest at which auxiliary heat may run"
    alone = found.figures.get("alone")
    if alone is None:
        return a.passed(f"The heat pump does not end a recovery alone {where}: help is right there.")
    judged = found.judgement("HS-18")
    took = f"The heat pump ends a recovery alone in {a.show(alone.value, 'time')} {where}"
    if judged is None:
        return a.passed(f"{took}: too long to wait for, and help is right there.")
    return a.foretold(judged, f"Auxiliary heat held back, {option.label}", working=took, extra=f"{took}.")
