"""Checks of the ducts: what was asked of them, and what the statics say of them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from asleft.calc import combine, friction_rate
from asleft.calc.air import CFM_PER_TON
from asleft.checks.about import NONE_SAID, About
from asleft.checks.blower import tier_settled
from asleft.checks.case import Case
from asleft.checks.listing import check
from asleft.installation.estimate import COOLING_STATICS, both_sides
from asleft.quantity import from_unit

if TYPE_CHECKING:
    from asleft.checks.finding import Finding

TON_W = from_unit(12000.0, "heat_rate", "Btu/h")
CFM = from_unit(1.0, "airflow", "cfm")

READY = ("filter_in", "panels_on", "registers_open")
OPEN_PORT, ZEROED_PA = "blower.open_port", from_unit(0.02, "static_pressure", "inH2O")
"""What a manometer may show with both ports open (common practice)."""
NEW, DESIGNED, DESIGN_STATIC = "blower.ducts.new", "blower.ducts.design", "blower.ducts.static"
LOSSES, EFFECTIVE_LENGTH = "blower.ducts.losses", "blower.ducts.effective_length"
LEAST_FRICTION, MOST_FRICTION = (
    from_unit(rate, "friction_rate", "in. w.c. per 100 ft") for rate in (0.06, 0.18)
)
"""What ducts are designed for (ACCA Manual D, from memory)."""
OVER_DESIGN = 0.25
OVER_DESIGN_PA = from_unit(0.10, "static_pressure", "inH2O")
"""A new duct system may ask for more than its design by the larger of these (ACCA 5 QI, from memory)."""


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


@check("BL-3")
def duct_friction(a: About) -> Finding:
    """Friction rate that the duct design leaves for the ducts."""
    if not a.fact_so(DESIGNED):
        return a.not_applicable("No duct design is at hand.")
    static, losses, length = a.numbers(DESIGN_STATIC, LOSSES, EFFECTIVE_LENGTH)
    rate = combine(
        lambda s, lost, m: friction_rate(s, [lost], m).friction_rate_pam,
        *(k.measured for k in (static, losses, length)),
    )
    working = (
        f"({a.show(static.value, 'static_pressure')} - {a.show(losses.value, 'static_pressure')}) over "
        f"{a.show(length.value, 'length')} = {a.show(rate.value, 'friction_rate')}"
    )
    return a.judge(
        "Friction rate of the duct design",
        rate,
        "friction_rate",
        LEAST_FRICTION,
        MOST_FRICTION,
        working=working,
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
        if equipment.role("blower-tier") is None:
            return a.not_measured(
                "Nothing in the equipment file says which of its tiers is in force; "
                "a topic of role blower-tier would."
            )
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


@check("BL-6")
def static_as_designed(a: About) -> Finding:
    """Total external static of a new duct system against what it was designed for."""
    if not a.fact_so(NEW):
        return a.not_applicable("The duct system is not new.")
    if not a.fact_so(DESIGNED):
        return a.not_applicable("The static that the ducts were designed for is not known.")
    design = a.fact_number(DESIGN_STATIC).value
    supply, back = a.numbers(*COOLING_STATICS)
    tier_settled(a)
    total = both_sides(supply, back)
    over = max(OVER_DESIGN * design, OVER_DESIGN_PA)
    working = (
        f"{a.show(design, 'static_pressure')} designed + {a.show(over, 'static_pressure')} = "
        f"{a.show(design + over, 'static_pressure')}"
    )
    return a.judge(
        "Total external static of the new ducts",
        total,
        "static_pressure",
        None,
        design + over,
        working=working,
    )


@check("BL-15")
def statics_ready(a: About) -> Finding:
    """What must be so before a static is read."""
    ready = tuple(f"blower.ready.{name}" for name in READY)
    (zero,) = a.numbers(OPEN_PORT)
    *_, coil = a.words(*ready, "blower.ready.coil")
    a.rest_on(*COOLING_STATICS)
    if wrong := a.not_so(*ready):
        return a.failed(f"Not so when statics were taken: {', '.join(wrong)}.")
    return a.judge(
        "Manometer with both ports open",
        zero,
        "static_pressure",
        -ZEROED_PA,
        ZEROED_PA,
        extra=f"Filter in, panels on, registers open; coil {coil}.",
    )
