"""Is auxiliary heat large enough, allowed only where it is fitted, and never starved of air?"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from asleft.calc import Measured, combine, heater_power, rise_from_airflow
from asleft.checks.blower import _as, chosen_tier, tier_settled
from asleft.checks.case import Case, check
from asleft.checks.finding import Finding
from asleft.installation.estimate import COOLING_STATICS, HEATING_STATICS
from asleft.installation.forecast import pump_rise, shortfall_w
from asleft.quantity import show
from asleft.session.readings import Known

ABOVE_BALANCE_K = 5.0 / 1.8
PATHS = ("normal", "defrost", "emergency", "lost_communication")


@check("HS-1")
def enabled(case: Case) -> Iterator[Finding]:
    """Heat enabled if and only if a kit is fitted."""
    if not case.ledger.kit_known:
        yield case.not_measured(("identity.kit",))
        return
    if (missing := case.choice_missing("auxiliary-heat")) is not None:
        yield missing
        return
    chosen, kit = case.ledger.role_chosen("auxiliary-heat"), case.ledger.kit
    assert chosen is not None
    fields = (case.choose("auxiliary-heat"), "identity.kit")
    on = bool(chosen.value)
    if on == (kit is not None):
        text = f"{kit.label} is fitted and heat is enabled." if kit else "No kit is fitted and heat is off."
    else:
        text = (
            f"{kit.label} is fitted and heat is kept off." if kit else "Heat is enabled and no kit is fitted."
        )
    yield case.settled(
        on == (kit is not None),
        text,
        fields,
        do="Choose again; heat kept off on purpose is waived with a reason.",
    )


@check("HS-2")
def lockout(case: Case) -> Iterator[Finding]:
    """Outdoor lockout at or above the balance point, and no more than 5 °F above it."""
    if case.ledger.situation.outdoor == "none":
        yield case.not_applicable("There is no heat pump.")
        return
    if (missing := case.choice_missing("outdoor-lockout")) is not None:
        yield missing
        return
    topic, chosen = case.equipment.role("outdoor-lockout"), case.ledger.role_chosen("outdoor-lockout")
    assert topic is not None
    assert chosen is not None
    fields = (
        case.choose("outdoor-lockout"),
        "heat.design_load",
        "heat.design_temperature",
        "identity.outdoor",
    )
    outlook = case.forecast.topics[topic.id].of(chosen.id)
    balance = outlook.figures.get("balance_point") if outlook else None
    if balance is None:
        yield case.not_measured(fields[1:])
        return
    value = float(chosen.value)
    offered = sorted({float(o.value) for o in case.ledger.options(topic)})
    lowest = next((t for t in offered if t >= balance.value), offered[-1])
    finding = case.judged(
        value,
        0.0,
        min(lowest, balance.value),
        max(balance.value + ABOVE_BALANCE_K, lowest),
        "temperature",
        "Outdoor lockout",
        fields,
        severity="advise" if value > balance.value else "correct",
        do=f"Choose {show(lowest, 'temperature')}, the lowest offered at or above the balance point.",
        working=f"balance {show(balance.value, 'temperature')}, lowest offered {show(lowest, 'temperature')}",
    )
    if value < balance.value:
        below = f"Below {show(balance.value, 'temperature')} the heat pump falls short and nothing helps it."
        finding = replace(finding, verdict="fail", text=f"{finding.text} {below}")
    yield finding


@check("HS-3")
def covers(case: Case) -> Iterator[Finding]:
    """The kit at the voltage measured with heat on covers the shortfall at design."""
    if (missing := case.kit_missing()) is not None:
        yield missing
        return
    fields = ("heat.design_load", "heat.design_temperature", "identity.outdoor", "electrical.loaded.l1_l2")
    short, heater = shortfall_w(case.ledger, case.estimate), case.estimate.heater_power_w
    if short is None or heater is None or case.number("electrical.loaded.l1_l2") is None:
        yield case.not_measured(fields)
        return
    yield case.judged(
        heater.value,
        heater.expanded,
        short,
        None,
        "electric_power",
        "Heat that the kit gives",
        fields,
        do="The house will not hold its temperature at design: a larger kit is needed.",
        working=(
            f"load - heat pump at design = {short / 1000:.2f} kW; "
            f"P = rated x (V / rated V)^2 = {heater.value / 1000:.2f} kW"
        ),
    )


@check("HS-4")
def stands_alone(case: Case) -> Iterator[Finding]:
    """Where heat on lost communication is chosen, the kit covers 85 % of design load."""
    if (missing := case.kit_missing()) is not None:
        yield missing
        return
    if (missing := case.choice_missing("heat-on-lost-communication")) is not None:
        yield missing
        return
    topic, chosen = (
        case.equipment.role("heat-on-lost-communication"),
        case.ledger.role_chosen("heat-on-lost-communication"),
    )
    assert topic is not None
    assert chosen is not None
    if not chosen.value:
        yield case.not_applicable("Heat on lost communication is off.")
        return
    fields = (f"choose:{topic.id}", "heat.design_load", "identity.kit")
    outlook = case.forecast.topics[topic.id].of(chosen.id)
    judged = outlook.judgement("HS-4") if outlook else None
    if judged is None:
        yield case.not_measured(fields[1:])
    else:
        yield case.foreseen(judged, "The kit alone covers a share of the load of", fields, do="Choose off.")


@check("HS-5")
def leaving_air(case: Case) -> Iterator[Finding]:
    """Leaving air of every stage, heat pump running, at most the unit's limit: predicted and measured."""
    missing = case.kit_missing()
    if missing is not None:
        for subject in ("unit.predicted", "unit.measured"):
            yield _as(case, missing, subject)
        return
    highest, kit = case.equipment.limits.leaving_air, case.ledger.kit
    assert kit is not None
    do = "Do not run the heat: leaving air would be too hot. More airflow or a smaller kit is needed."
    if highest is None:
        for subject in ("unit.predicted", "unit.measured"):
            yield case.not_measured(("identity.kit",), subject, "The maker gives no highest leaving air.")
        return
    outlook = chosen_tier(case)
    judged = outlook.judgement("HS-5") if outlook else None
    fields = (*COOLING_STATICS, "identity.kit", "identity.supply")
    if judged is None:
        yield case.not_measured(fields, "unit.predicted", do=do)
    else:
        yield case.foreseen(
            judged, "Leaving air, all heat and heat pump, predicted", fields, "unit.predicted", do=do
        )
    for n, _ in enumerate(kit.stage, 1):
        yield _stage_leaving(case, n, highest, do)


def _stage_leaving(case: Case, n: int, highest: float, do: str) -> Finding:
    subject = f"stage.{n}.measured"
    fields = (f"heat.stage.{n}.leaving_air", f"heat.stage.{n}.return_air", *HEATING_STATICS)
    leaving, heating = case.number(fields[0]), case.estimate.heating_airflow_m3s
    if leaving is None or heating is None or not tier_settled(case):
        return case.not_measured(fields, subject, do=do)
    pump = pump_rise(case.ledger, case.estimate, heating)
    finding = case.judged(
        leaving.value + pump.value,
        math.hypot(leaving.expanded, pump.expanded),
        None,
        highest,
        "temperature",
        f"Leaving air with stages to {n}",
        fields,
        subject,
        unknown=leaving.unknown_accuracy,
        do=do,
        working=(
            f"measured {show(leaving.value, 'temperature')} + "
            f"heat pump {show(pump.value, 'temperature_difference')}"
        ),
    )
    if pump.value > 0.0:
        added = show(pump.value, "temperature_difference")
        said = f" Measured with the heat pump off; {added} computed for it is added."
        finding = replace(finding, text=finding.text + said)
    return finding


@check("HS-6")
def rise(case: Case) -> Iterator[Finding]:
    """Measured and predicted rise agree within their combined U, and the rise is in the unit's range."""
    if (missing := case.kit_missing()) is not None:
        yield missing
        return
    kit = case.ledger.kit
    assert kit is not None
    n = len(kit.stage)
    air = (f"heat.stage.{n}.return_air", f"heat.stage.{n}.leaving_air")
    fields = (*air, f"electrical.stage.{n}.voltage", *HEATING_STATICS)
    back, leaving, volts = (case.number(f) for f in fields[:3])
    heating, e = case.estimate.heating_airflow_m3s, case.estimate
    if (
        back is None
        or leaving is None
        or volts is None
        or heating is None
        or e.heating_airflow_method != "fan table"
    ):
        yield case.not_measured(fields)
        return
    watts = e.fan_power_w or 0.0
    power = combine(
        lambda v: heater_power(kit.power, kit.voltage, v, kit.phases).power_w,
        Measured(volts.value, volts.expanded),
    )
    predicted = combine(lambda p, q: rise_from_airflow(p, q, watts, e.altitude_m), power, heating)
    measured = Measured(leaving.value - back.value, math.hypot(leaving.expanded, back.expanded))
    yield _agreement(case, measured, predicted, fields, _any_unknown(back, leaving, volts))


def _any_unknown(*read: Known) -> bool:
    return any(k.unknown_accuracy for k in read)


def _agreement(
    case: Case, measured: Measured, predicted: Measured, fields: tuple[str, ...], unknown: bool
) -> Finding:
    limits = case.equipment.limits
    apart, room = measured.value - predicted.value, math.hypot(measured.expanded, predicted.expanded)
    agrees = abs(apart) <= room
    kind = "temperature_difference"
    finding = case.judged(
        measured.value,
        measured.expanded,
        limits.lowest_rise,
        limits.highest_rise,
        kind,
        "Rise of all stages",
        fields,
        unknown=unknown,
        do="Look at airflow, filter and elements: the rise is outside the unit's range.",
        working=f"{measured.value:.2f} K measured, {predicted.value:.2f} K predicted, U of both {room:.2f} K",
    )
    told = f" Predicted {show(predicted.value, kind)}; they differ by {show(abs(apart), kind)}"
    if agrees:
        return replace(finding, text=f"{finding.text}{told}, within {show(room, kind)}.")
    do = "Airflow by static and by rise disagree: look at probe, elements and statics, and measure again."
    return replace(
        finding, verdict="fail", text=f"{finding.text}{told}, more than {show(room, kind)}.", do=do
    )


@check("HS-10")
def blower_proved(case: Case) -> Iterator[Finding]:
    """The blower runs on every heat path."""
    if (missing := case.kit_missing()) is not None:
        yield missing
        return
    fields = tuple(f for p in PATHS if (f := f"heat.path.{p}") in case.ledger.fields)
    entries = {f: case.entry(f) for f in fields}
    dead = [case.label(f) for f, e in entries.items() if e is not None and not e.value]
    do = "Keep heat off: heat without the blower burns. Find why it does not run."
    if dead:
        yield case.settled(False, f"The blower did not run: {'; '.join(dead)}.", fields, do=do)
    elif any(e is None for e in entries.values()):
        yield case.not_measured(fields, do=do)
    else:
        yield case.settled(True, "The blower runs on every heat path.", fields)
