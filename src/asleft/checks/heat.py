"""Checks of auxiliary heat as chosen: whether and when it may run, and how much it gives."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from asleft.calc import Measured
from asleft.checks.about import About
from asleft.checks.blower import rest_on_volts
from asleft.checks.finding import FAILS
from asleft.checks.listing import check
from asleft.installation.forecast import OVERSIZE, shortfall_w
from asleft.installation.line_fields import LOADED, kit_fields

if TYPE_CHECKING:
    from asleft.checks.finding import Finding
    from asleft.equipment.model import Heater


@check("HS-1")
def heat_if_kit(a: About) -> Finding:
    """Heat enabled if and only if a kit is fitted."""
    option = a.choice("auxiliary-heat")
    if not a.ledger.kit_known:
        a.have("identity.kit")
    a.rest_on("identity.kit", shown=False)
    kit = a.ledger.kit
    if kit is not None and not option.value:
        return a.failed(f"{kit.label} is fitted and heat is chosen off.")
    if kit is None and option.value:
        return a.failed("Heat is chosen and no kit is fitted.")
    return a.passed(f"{kit.label}: heat is enabled." if kit else "No kit: heat is off.")


def rest_on_house(a: About) -> None:
    """Rest on what gives the house's load at any outdoor temperature."""
    for field in ("heat.design_load", "heat.design_temperature"):
        a.fact_number(field)
    a.rest_on("heat.zero_load_temperature", shown=False)


@check("HS-2")
def lockout(a: About) -> Finding:
    """The outdoor lockout chosen against the balance point."""
    a.kit()
    a.pairing()
    topic = a.topic("outdoor-lockout")
    option = a.choice("outdoor-lockout")
    rest_on_house(a)
    judged = a.outlook("outdoor-lockout", option.id).judgement("HS-2")
    if judged is None or judged.lower is None or judged.upper is None:
        return a.not_applicable(
            "Heat pump and house meet at no outdoor temperature: there is no balance point."
        )
    point, value = judged.lower, float(option.value)
    offered = sorted(float(o.value) for o in a.ledger.options(topic))
    least = next((v for v in offered if v >= point), offered[-1])
    working = (
        f"balance point {a.show(point, 'temperature')}; lowest offered at or above it "
        f"{a.show(least, 'temperature')}; chosen {a.show(value, 'temperature')}"
    )
    against = a.as_foretold(judged, "Outdoor lockout")
    if value < point:
        return a.say(against, working=working, extra="Between the two the house would go cold.")
    if value > judged.upper:
        return a.say(
            against,
            working=working,
            severity="advise",
            extra="Auxiliary heat may run while the heat pump can carry the house.",
        )
    if value > least:
        return a.failed(
            f"Outdoor lockout {a.show(value, 'temperature')}: {a.show(least, 'temperature')} is offered and "
            f"still above the balance point, {a.show(point, 'temperature')}.",
            severity="advise",
            against=against,
            working=working,
        )
    return a.say(against, working=working)


@check("HS-3")
def covers_shortfall(a: About) -> Finding:
    """The stages chosen, at the voltage read with heat on, against what the heat pump leaves at design."""
    kit = a.kit()
    option = a.choice("auxiliary-heat")
    if "identity.outdoor" in a.ledger.fields:
        a.fact("identity.outdoor")
    rest_on_house(a)
    short = shortfall_w(a.ledger, a.estimate)
    if short is None:
        return a.not_measured("What the heat pump leaves at design cannot be reckoned yet.")
    rated = sum(s.power for s in kit.stage if s.id in option.value)
    if rated > 0.0:
        a.numbers(*kit_fields(a.ledger, LOADED))
    given = _heat_of(a, kit, option.value)
    if given is None:
        return a.not_measured("What the kit gives is not known yet.")
    rest_on_volts(a)
    working = (
        f"{a.show(rated, 'electric_power')} rated at {kit.voltage:g} V gives "
        f"{a.show(given.value, 'electric_power')} here; shortfall at design {a.show(short, 'electric_power')}"
    )
    return a.judge("Auxiliary heat at design", given, "electric_power", short, None, working=working)


def _heat_of(a: About, kit: Heater, stages: Sequence[str]) -> Measured | None:
    """Heat of some stages: as measured where they are the first ones, else their share of the whole."""
    heats, ids = a.estimate.heat_to_stage_w, [s.id for s in kit.stage]
    if not heats:
        return None
    if not stages:
        return Measured(0.0, 0.0)
    if set(stages) == set(ids[: len(stages)]):
        return heats[len(stages) - 1]
    share = sum(s.power for s in kit.stage if s.id in stages) / kit.power
    return Measured(heats[-1].value * share, heats[-1].expanded * share)


@check("HS-4")
def lost_communication(a: About) -> Finding:
    """Where heat without communication is chosen, the kit alone covers most of the load."""
    kit = a.kit()
    option = a.choice("heat-on-lost-communication")
    if not option.value:
        return a.not_applicable("No heat on lost communication is chosen.")
    load = a.fact_number("heat.design_load")
    rest_on_volts(a)
    judged = a.outlook("heat-on-lost-communication", option.id).judgement("HS-4")
    if judged is None:
        return a.not_measured("What the kit gives is not known yet.")
    heater = a.estimate.heater_power_w
    given = a.show(heater.value, "electric_power") if heater else kit.label
    return a.foretold(
        judged,
        "Part of the design load that the kit covers alone",
        working=f"{given} / {a.show(load.value, 'electric_power')} = {judged.figure.value:.2f}",
    )


@check("HS-9")
def stages_set(a: About) -> Finding:
    """The stages set at the control are those of the kit fitted."""
    kit = a.kit()
    option = a.choice("auxiliary-heat")
    if not option.value:
        return a.not_applicable("Heat is chosen off: no stage is set.")
    own = [s.id for s in kit.stage]
    foreign = [id for id in option.value if id not in own]
    left_out = [id for id in own if id not in option.value]
    if foreign:
        return a.failed(f"Stage {', '.join(foreign)} is set, and {kit.label} has none of that name.")
    if left_out:
        return a.failed(f"Stage {', '.join(left_out)} of {kit.label} is not set: it would never come on.")
    now = a.ledger.role_in_force("auxiliary-heat")
    if now is None or set(now.value) != set(own):
        return a.not_measured(f"The control does not show the stages of {kit.label} yet.")
    return a.passed(f"Stages set: all {len(own)} of {kit.label}.")


@check("HS-17")
def not_oversized(a: About) -> Finding:
    """The kit, at the voltage read with heat on, against what the heat pump leaves at design."""
    kit = a.kit()
    if "identity.outdoor" in a.ledger.fields:
        a.fact("identity.outdoor")
    rest_on_house(a)
    short = shortfall_w(a.ledger, a.estimate)
    if short is None:
        return a.not_measured("What the heat pump leaves at design cannot be reckoned yet.")
    a.numbers(*kit_fields(a.ledger, LOADED))
    given = a.estimate.heater_power_w
    if given is None:
        return a.not_measured("What the kit gives is not known yet.")
    rest_on_volts(a)
    most = OVERSIZE * short
    working = (
        f"{OVERSIZE:g} x {a.show(short, 'electric_power')} = {a.show(most, 'electric_power')}; "
        f"the kit gives {a.show(given.value, 'electric_power')}"
    )
    against = a.hold_against("Heat of the kit", given, "electric_power", None, most)
    smaller = min((k for k in _offered(a) if k.power < kit.power), key=lambda k: k.power, default=None)
    if smaller is None and against.verdict in FAILS:
        return a.passed(
            f"{kit.label} gives {a.show(given.value, 'electric_power')}, more than {OVERSIZE:g} times the "
            "shortfall, and is the smallest offered here.",
            against=against,
            working=working,
        )
    return a.say(against, working=working)


def _offered(a: About) -> tuple[Heater, ...]:
    """The kits that the maker lists for this supply and orientation."""
    supply, way = a.supply(), a.ledger.situation.orientation
    return tuple(
        k
        for k in a.ledger.equipment.heater
        if k.phases <= supply.phases
        and (not k.supplies or supply.id in k.supplies)
        and (not k.orientations or way in k.orientations)
    )
