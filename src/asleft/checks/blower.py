"""Checks of airflow: what was asked, what the ducts ask, what the tier gives."""

from __future__ import annotations

from typing import TYPE_CHECKING

from asleft.calc import Measured
from asleft.calc.air import CFM_PER_TON
from asleft.checks.about import NONE_SAID, About, Settled
from asleft.checks.case import Case
from asleft.checks.listing import check
from asleft.installation.estimate import COOLING_STATICS, HEATING_STATICS
from asleft.installation.forecast import DESIGN_TOLERANCE
from asleft.installation.operating import predict
from asleft.quantity import from_unit

if TYPE_CHECKING:
    from asleft.checks.finding import Finding
    from asleft.equipment.model import Heater, Option
    from asleft.installation.outlook import Judged

TON_W = from_unit(12000.0, "heat_rate", "Btu/h")
CFM = from_unit(1.0, "airflow", "cfm")

READY = ("zeroed", "filter_in", "panels_on", "registers_open")


@check("BL-1")
def design_in_range(a: About) -> Finding:
    """Design airflow inside the unit's range."""
    blower = a.ledger.equipment.blower
    if blower.lowest_airflow is None and blower.highest_airflow is None:
        return a.not_applicable(NONE_SAID)
    (design,) = a.numbers("blower.design_airflow")
    return a.judge("Design airflow", design, "airflow", blower.lowest_airflow, blower.highest_airflow)


@check("BL-2")
def per_ton(a: About) -> Finding:
    """Design airflow for each ton of cooling."""
    watts = a.ledger.equipment.unit.cooling_capacity
    if "identity.outdoor_capacity" in a.ledger.fields:
        watts = a.fact_number("identity.outdoor_capacity").value
    watts = a.figure(watts)
    if watts <= 0.0:
        return a.not_applicable("No cooling.")
    (design,) = a.numbers("blower.design_airflow")
    tons = watts / TON_W
    low, high = (limit * CFM * tons for limit in CFM_PER_TON)
    each = design.value / CFM / tons
    working = f"{design.value / CFM:.0f} cfm / {tons:.2f} tons = {each:.0f} cfm per ton"
    return a.judge(
        "Design airflow",
        design,
        "airflow",
        low,
        high,
        working=working,
        extra=f"It is {a.show(design.value / tons, 'airflow')} per ton.",
    )


@check("BL-4")
def signs(a: About) -> Finding:
    """Supply at or above nothing, return at or below, each within its uncertainty."""
    supply, back = a.numbers(*COOLING_STATICS)
    shown = (
        f"Supply {a.show(supply.value, 'static_pressure')}, return {a.show(back.value, 'static_pressure')}"
    )
    total = a.show(supply.value - back.value, "static_pressure")
    supply_wrong, return_wrong = supply.value < -supply.expanded, back.value > back.expanded
    if supply_wrong and return_wrong:
        return a.failed(
            f"{shown}: the hoses are swapped.", do="Put the hoses on the right ports and read again."
        )
    if return_wrong:
        return a.failed(
            f"{shown}: a return side above the room. Was the minus sign left off?",
            do="Type the return static with its minus sign; if it had one, look at the hose and the tap.",
        )
    if supply_wrong:
        return a.failed(
            f"{shown}: a supply side below the room.",
            do="See that the supply tap is downstream of the unit and its tip faces the flow; read again.",
        )
    return a.passed(f"{shown}: right signs, {total} together.")


def tier_in_force(case: Case) -> tuple[str, ...]:
    """The tier in force, else the unit."""
    tier = case.estimate.tier
    return (f"tier.{tier}.measured" if tier else "unit.measured",)


@check("BL-5", tier_in_force)
def total_static(a: About) -> Finding:
    """Total external static against the highest of tier and unit."""
    equipment = a.ledger.equipment
    tier, blower = equipment.tier(a.estimate.tier), equipment.blower
    if tier is None:
        a.rest_on(*COOLING_STATICS)
        return a.not_measured("Which tier is in force is not known yet.")
    tops = [s for s in (tier.highest_static, blower.highest_static) if s is not None]
    if not tops:
        return a.not_applicable(NONE_SAID)
    supply, back = a.numbers(*COOLING_STATICS)
    total = a.estimate.total_static_pa
    if total is None:
        return a.not_measured("The total is not known yet.")
    working = (
        f"{a.show(supply.value, 'static_pressure')} + |{a.show(back.value, 'static_pressure')}| = "
        f"{a.show(total.value, 'static_pressure')}"
    )
    return a.judge(
        f"Total external static, tier {tier.id}", total, "static_pressure", None, min(tops), working=working
    )


# ---- the tier chosen


def rest_on_volts(a: About) -> None:
    """Rest on the volts, and the amps where they were read, that the kit's heat is reckoned from."""
    a.rest_on(*a.estimate.rests.get("heat", ()), shown=False)


def rest_on_airflow(a: About, what: str, statics: tuple[str, str], method: str) -> None:
    """Rest on what an airflow comes from: statics, or the rise and the volts behind it, and the altitude.

    A rise stands in for statics that lie outside the table or were never taken, not for stale ones: what
    made those stale moved the air.
    """
    if method == "rise" and (old := [f for f in statics if a.ledger.stale(f)]):
        a.have(*old)
    a.rest_on(*(a.estimate.rests.get(what, ()) if method else statics) or statics)
    a.rest_on("identity.altitude", shown=False)
    if method == "rise":
        rest_on_volts(a)


def predicting(a: About) -> None:
    """Rest on what the prediction rests on, and settle as not measured while it does not stand."""
    rest_on_airflow(a, "airflow", COOLING_STATICS, a.estimate.airflow_method)
    if a.estimate.airflow_m3s is None:
        a.have(*COOLING_STATICS)
        raise Settled(a.not_measured("The statics lie outside the fan table: airflow is not known."))


def chosen_tier(a: About) -> tuple[Option, bool]:
    """The tier chosen and whether it is the recommended one."""
    option = a.choice("blower-tier")
    outlook = a.case.forecast.role("blower-tier")
    return option, outlook is not None and outlook.recommended == option.id


def _physical(a: About, judged: Judged, recommended: bool) -> None:
    """Where the best choice fails, choosing anew cannot help: ducts or blower have to be mended."""
    if recommended and not judged.passes:
        a.fields[:] = [f for f in a.fields if not f.startswith("choose:")]


@check("BL-7")
def design_predicted(a: About) -> Finding:
    """Airflow predicted for the tier chosen against design."""
    a.topic("blower-tier")
    option, recommended = chosen_tier(a)
    a.fact_number("blower.design_airflow")
    predicting(a)
    judged = a.outlook("blower-tier", option.id).judgement("BL-7")
    if judged is None:
        return a.not_measured(f"The ducts as built lie outside the fan table of {option.label}.")
    _physical(a, judged, recommended)
    return a.foretold(judged, f"Airflow predicted for {option.label}")


@check("BL-8")
def best_tier(a: About) -> Finding:
    """Whether the tier chosen is the one recommended."""
    option, recommended = chosen_tier(a)
    predicting(a)
    outlook = a.case.forecast.role("blower-tier")
    if outlook is None or outlook.recommended is None:
        a.have(*(outlook.missing if outlook else ()))
        return a.not_measured("No tier can be recommended yet.")
    shown = ", ".join(
        f"{o.label} {a.show(o.figures['airflow'].value, 'airflow')}"
        for o in outlook.outlooks
        if "airflow" in o.figures
    )
    if recommended:
        return a.passed(f"{option.label} is the tier recommended. Predicted: {shown}.")
    best = outlook.of(outlook.recommended)
    label = best.label if best else outlook.recommended
    return a.failed(f"{label} is recommended, not {option.label}: {outlook.why} Predicted: {shown}.")


def tier_settled(a: About) -> None:
    """Settle as not measured until the tier chosen is the tier in force."""
    topic = a.ledger.equipment.role("blower-tier")
    if topic is None:
        return
    chosen = a.ledger.chosen(topic)
    if chosen is None:
        a.fields.insert(0, f"choose:{topic.id}")
        raise Settled(a.not_measured(f"Not chosen yet: {topic.label}."))
    a.rest(a.ledger.state.choices[topic.id].n)
    now = a.ledger.in_force(topic)
    if now is None or now.id != chosen.id:
        raise Settled(a.not_measured(f"{chosen.label} was chosen and is not in force yet."))


@check("BL-9")
def airflow_as_left(a: About) -> Finding:
    """Airflow as left against design and the unit's range."""
    airflow, method = a.estimate.airflow_m3s, a.estimate.airflow_method
    rest_on_airflow(a, "airflow", COOLING_STATICS, method)
    design = a.fact_number("blower.design_airflow").value
    tier_settled(a)
    if airflow is None:
        a.have(*COOLING_STATICS)
        return a.not_measured("The statics lie outside the fan table of the tier in force.")
    blower = a.ledger.equipment.blower
    low = max(design * (1 - DESIGN_TOLERANCE), blower.lowest_airflow or 0.0)
    high = min(design * (1 + DESIGN_TOLERANCE), blower.highest_airflow or float("inf"))
    working = f"{a.measured(airflow, 'airflow')} by {method}, design {a.show(design, 'airflow')} ± 15 %"
    if low > high:
        return a.failed(
            f"Design airflow {a.show(design, 'airflow')} lies outside what the unit may move.",
            working=working,
        )
    return a.judge(f"Airflow by {method}", airflow, "airflow", low, high, working=working)


# ---- the least airflow of the kit


def _least(a: About, kit: Heater) -> float:
    """The least airflow of the kit here; not measured where the maker gives none."""
    if a.ledger.equipment.unit.orientations:
        a.fact("identity.orientation")
    least = kit.least(a.ledger.situation.orientation)
    if least is None:
        raise Settled(
            a.not_measured(
                f"The maker gives no least airflow for kit {kit.id}.",
                do="Ask the maker for the kit's least airflow and put it in the equipment file.",
            )
        )
    return least


def option_ahead(a: About) -> str:
    """The tier chosen, else the one in force; not measured where neither is known."""
    topic = a.topic("blower-tier")
    chosen = a.ledger.chosen(topic)
    if chosen is not None:
        outlook = a.case.forecast.topics.get(topic.id)
        a.rest(a.ledger.state.choices[topic.id].n)
        if outlook is None or outlook.recommended != chosen.id:
            a.fields.insert(0, f"choose:{topic.id}")
        return chosen.id
    now = a.ledger.in_force(topic)
    if now is None:
        a.fields.insert(0, f"choose:{topic.id}")
        raise Settled(a.not_measured(f"Neither chosen nor found yet: {topic.label}."))
    return now.id


@check("BL-11", "unit.predicted")
def heating_airflow_predicted(a: About) -> Finding:
    """Airflow with heat on, predicted, as standard air, against the kit's least."""
    kit = a.kit()
    _least(a, kit)
    if a.ledger.equipment.role("blower-tier") is None:
        return _against_least(a, kit, heating_ahead(a), "Heating airflow predicted")
    option = option_ahead(a)
    predicting(a)
    found = a.outlook("blower-tier", option)
    judged = found.judgement("BL-11")
    if judged is None:
        return a.not_measured(f"The ducts as built lie outside the fan table of {found.label}.")
    ratio = a.estimate.pressure_ratio
    return a.foretold(
        judged,
        f"Heating airflow predicted for {found.label}, as standard air",
        working=f"{a.show(judged.figure.value / ratio, 'airflow')} x {ratio:.3f} = "
        f"{a.show(judged.figure.value, 'airflow')}",
    )


def heating_ahead(a: About) -> Measured:
    """Airflow that a blower without a choice of tiers will move with heat on, from the ducts as measured."""
    predicting(a)
    tier = a.ledger.equipment.tier(a.estimate.tier)
    heating = predict(a.ledger, a.estimate, tier).heating if tier else None
    if heating is None:
        raise Settled(a.not_measured("The ducts as built lie outside the fan table."))
    return heating


@check("BL-11", "unit.measured")
def heating_airflow_measured(a: About) -> Finding:
    """Airflow with heat on, measured with the tier chosen, as standard air, against the kit's least."""
    kit = a.kit()
    a.heat_on()
    _least(a, kit)
    tier_settled(a)
    return _heating_airflow(a, kit)


def _heating_airflow(a: About, kit: Heater) -> Finding:
    airflow = a.estimate.heating_airflow_m3s
    rest_on_airflow(a, "heating airflow", HEATING_STATICS, a.estimate.heating_airflow_method)
    if airflow is None:
        a.have(*HEATING_STATICS)
        return a.not_measured("The statics lie outside the fan table: heating airflow is not known.")
    return _against_least(a, kit, airflow, f"Heating airflow by {a.estimate.heating_airflow_method}")


def _against_least(a: About, kit: Heater, airflow: Measured, what: str) -> Finding:
    ratio = a.estimate.pressure_ratio
    standard = Measured(airflow.value * ratio, airflow.expanded * ratio)
    return a.judge(
        f"{what}, as standard air",
        standard,
        "airflow",
        _least(a, kit),
        None,
        working=f"{a.show(airflow.value, 'airflow')} x {ratio:.3f} = {a.show(standard.value, 'airflow')}",
    )


@check("BL-15")
def statics_ready(a: About) -> Finding:
    """What must be so before a static is read."""
    fields = tuple(f"blower.ready.{name}" for name in READY)
    answers = a.words(*fields, "blower.ready.coil")
    a.rest_on(*COOLING_STATICS)
    wrong = [a.case.label(f) for f, yes in zip(fields, answers, strict=False) if yes != "True"]
    if wrong:
        return a.failed(f"Not so when statics were taken: {', '.join(wrong)}.")
    return a.passed(f"Manometer zeroed, filter in, panels on, registers open; coil {answers[-1]}.")
