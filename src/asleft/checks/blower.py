"""Does the blower move what the house was designed for, against the ducts as they were built?"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from asleft.calc import conformity
from asleft.checks.case import NOT_SAID, Case, check
from asleft.checks.finding import Finding
from asleft.installation.estimate import COOLING_STATICS, HEATING_STATICS
from asleft.installation.forecast import DESIGN_TOLERANCE
from asleft.installation.outlook import Outlook
from asleft.quantity import show

W_PER_TON = 3516.8528420667
CFM_M3S = 0.00047194745
LOWEST_PER_TON, HIGHEST_PER_TON = 350.0, 450.0
"""Airflow a ton of cooling, cfm (common practice)."""
READY = tuple(f"blower.ready.{name}" for name in ("zeroed", "filter_in", "panels_on", "registers_open"))


def chosen_tier(case: Case) -> Outlook | None:
    """Outlook of the tier chosen, else of the one in force."""
    topic = case.equipment.role("blower-tier")
    outlook = case.forecast.topics.get(topic.id) if topic else None
    if topic is None or outlook is None:
        return None
    option = case.ledger.chosen(topic) or case.ledger.in_force(topic)
    return outlook.of(option.id) if option else None


def tier_settled(case: Case) -> bool:
    """Whether the tier chosen is the one in force, or the unit has but one."""
    topic = case.equipment.role("blower-tier")
    if topic is None:
        return True
    chosen, in_force = case.ledger.chosen(topic), case.ledger.in_force(topic)
    return chosen is not None and in_force is not None and chosen.id == in_force.id


@check("BL-1")
def design(case: Case) -> Iterator[Finding]:
    """Design airflow inside the unit's range."""
    blower = case.equipment.blower
    if blower.lowest_airflow is None and blower.highest_airflow is None:
        yield case.not_applicable(NOT_SAID)
        return
    asked = case.number("blower.design_airflow")
    if asked is None:
        yield case.not_measured(("blower.design_airflow",))
        return
    yield case.reading(
        asked,
        blower.lowest_airflow,
        blower.highest_airflow,
        do="Check the design: this unit cannot move that airflow.",
    )


@check("BL-2")
def per_ton(case: Case) -> Iterator[Finding]:
    """350 to 450 cfm a ton of cooling."""
    capacity, asked = case.equipment.unit.cooling_capacity, case.number("blower.design_airflow")
    if capacity is None:
        yield case.not_applicable(NOT_SAID)
        return
    if asked is None:
        yield case.not_measured(("blower.design_airflow",))
        return
    tons = capacity / W_PER_TON
    cfm = asked.value / CFM_M3S
    per = cfm / tons
    found = conformity(per, asked.expanded / CFM_M3S / tons, LOWEST_PER_TON, HIGHEST_PER_TON)
    text = f"{per:.0f} cfm a ton of cooling, usually {LOWEST_PER_TON:.0f} to {HIGHEST_PER_TON:.0f}."
    finding = case.settled(
        found.verdict in ("pass", "conditional pass"),
        text,
        ("blower.design_airflow",),
        do="Ask the designer whether the airflow is meant.",
        working=f"{cfm:.0f} cfm / {tons:.2f} ton = {per:.0f} cfm a ton",
    )
    yield replace(
        finding,
        kind="airflow",
        value=asked.value,
        uncertainty=asked.expanded,
        lower=LOWEST_PER_TON * tons * CFM_M3S,
        upper=HIGHEST_PER_TON * tons * CFM_M3S,
    )


@check("BL-4")
def signs(case: Case) -> Iterator[Finding]:
    """Supply at or above the room, return at or below it."""
    supply, back = (case.number(f) for f in COOLING_STATICS)
    if supply is None or back is None:
        yield case.not_measured(COOLING_STATICS)
        return
    low_supply = supply.value < -supply.expanded
    high_return = back.value > back.expanded
    total = supply.value - back.value
    if low_supply and high_return:
        text, do = (
            "Supply below the room and return above it: the hoses are swapped.",
            "Swap the hoses and measure again.",
        )
    elif high_return:
        text = f"Return reads {show(back.value, 'static_pressure')} above the room."
        do = "Was the minus sign left off? Else look at where the return tap is."
    elif low_supply:
        text = f"Supply reads {show(supply.value, 'static_pressure')}, below the room."
        do = "Look at where the supply tap is, and at the zero of the manometer."
    else:
        text, do = f"Signs are right; the total is {show(total, 'static_pressure')}.", ""
    working = f"{supply.value:.1f} Pa - ({back.value:.1f} Pa) = {total:.1f} Pa"
    yield case.settled(not low_supply and not high_return, text, COOLING_STATICS, do=do, working=working)


@check("BL-5")
def static(case: Case) -> Iterator[Finding]:
    """Total external static at most the tier's and the unit's highest."""
    tier, total = case.equipment.tier(case.estimate.tier), case.estimate.total_static_pa
    if tier is None:
        topic = case.equipment.role("blower-tier")
        acts = tuple(
            f"found:{s.id}@{a}" for s, a in case.equipment.places() if topic and s.id in topic.option[0].set
        )
        yield case.not_measured(acts, text="The tier in force is not known yet.")
        return
    tops = [s for s in (tier.highest_static, case.equipment.blower.highest_static) if s is not None]
    subject = f"tier.{tier.id}.measured"
    if not tops:
        yield case.not_applicable(NOT_SAID, subject)
    elif total is None:
        yield case.not_measured(COOLING_STATICS, subject)
    else:
        yield case.judged(
            total.value,
            total.expanded,
            None,
            min(tops),
            "static_pressure",
            f"Total external static on {tier.label}",
            COOLING_STATICS,
            subject,
            unknown=_unknown(case, COOLING_STATICS),
            do="Look for a closed damper, a loaded filter or ducts too small for this airflow.",
            working=f"supply + |return| = {total.value:.1f} Pa",
        )


def _unknown(case: Case, fields: tuple[str, ...]) -> bool:
    return any(k.unknown_accuracy for f in fields if (k := case.number(f)) is not None)


def _predicted_fields(case: Case) -> tuple[str, ...]:
    return (case.choose("blower-tier"), "blower.design_airflow", *COOLING_STATICS)


@check("BL-7")
def predicted(case: Case) -> Iterator[Finding]:
    """Airflow predicted for the chosen tier within 15 % of design."""
    if (missing := case.choice_missing("blower-tier")) is not None:
        yield missing
        return
    outlook = chosen_tier(case)
    judged = outlook.judgement("BL-7") if outlook else None
    fields = _predicted_fields(case)
    if outlook is None or judged is None:
        yield case.not_measured(fields[1:])
        return
    subject = f"tier.{outlook.option}.predicted"
    do = "Choose the tier nearest the design airflow; if none is near, the ducts need work."
    yield case.foreseen(judged, f"{outlook.label} is predicted to move", fields, subject, do=do)


@check("BL-8")
def nearest(case: Case) -> Iterator[Finding]:
    """The chosen tier is the one the rule picks."""
    if (missing := case.choice_missing("blower-tier")) is not None:
        yield missing
        return
    topic = case.equipment.role("blower-tier")
    chosen = case.ledger.role_chosen("blower-tier")
    assert topic is not None
    assert chosen is not None
    outlook = case.forecast.topics[topic.id]
    fields = _predicted_fields(case)
    if outlook.recommended is None:
        yield case.not_measured(fields[1:])
        return
    every = "; ".join(
        f"{o.label} {show(o.figures['airflow'].value, 'airflow')}"
        for o in outlook.outlooks
        if "airflow" in o.figures
    )
    right = chosen.id == outlook.recommended
    text = f"{outlook.why} Predicted: {every}."
    yield case.settled(right, text, fields, f"tier.{chosen.id}.predicted", do="Choose the recommended tier.")


@check("BL-9")
def as_left(case: Case) -> Iterator[Finding]:
    """Airflow as left within 15 % of design and inside the unit's range."""
    fields = ("blower.design_airflow", *COOLING_STATICS)
    asked, airflow = case.number("blower.design_airflow"), case.estimate.airflow_m3s
    if asked is None or airflow is None or not tier_settled(case):
        text = "" if tier_settled(case) else "The tier chosen is not in force yet."
        yield case.not_measured(fields, text=text)
        return
    blower = case.equipment.blower
    low = max(asked.value * (1.0 - DESIGN_TOLERANCE), blower.lowest_airflow or 0.0)
    high = min(asked.value * (1.0 + DESIGN_TOLERANCE), blower.highest_airflow or float("inf"))
    if low > high:
        text = "No airflow is both within 15 % of design and inside the unit's range."
        yield case.settled(False, text, fields, do="Have the design airflow looked at, see BL-1.")
        return
    yield case.judged(
        airflow.value,
        airflow.expanded,
        low,
        high,
        "airflow",
        f"Airflow by {case.estimate.airflow_method}",
        fields,
        unknown=_unknown(case, COOLING_STATICS),
        do="Choose another tier, or have the ducts put right, and measure again.",
    )


@check("BL-11")
def least_for_heat(case: Case) -> Iterator[Finding]:
    """Airflow in heating, as standard air, at least what the kit needs: predicted and measured."""
    if (missing := case.kit_missing()) is not None:
        for subject in ("unit.predicted", "unit.measured"):
            yield _as(case, missing, subject)
        return
    kit = case.ledger.kit
    assert kit is not None
    least = kit.least(case.ledger.situation.orientation)
    do = "Do not enable heat: the kit would be starved of air. Choose a higher tier or open the ducts."
    if least is None:
        for subject in ("unit.predicted", "unit.measured"):
            yield case.not_measured(
                ("identity.kit",), subject, "The maker does not say how much air the kit needs."
            )
        return
    outlook = chosen_tier(case)
    judged = outlook.judgement("BL-11") if outlook else None
    fields = (*COOLING_STATICS, "identity.kit", "identity.orientation", "identity.altitude")
    if judged is None:
        yield case.not_measured(fields, "unit.predicted", do=do)
    else:
        yield case.foreseen(
            judged, "Heating airflow, as standard air, predicted", fields, "unit.predicted", do=do
        )
    measured, e = (*HEATING_STATICS, "identity.kit", "identity.orientation"), case.estimate
    if e.heating_airflow_m3s is None or not tier_settled(case):
        yield case.not_measured(measured, "unit.measured", do=do)
        return
    yield case.judged(
        e.heating_airflow_m3s.value * e.pressure_ratio,
        e.heating_airflow_m3s.expanded * e.pressure_ratio,
        least,
        None,
        "airflow",
        f"Heating airflow, as standard air, by {e.heating_airflow_method}",
        measured,
        "unit.measured",
        unknown=_unknown(case, HEATING_STATICS),
        do=do,
        working=f"{e.heating_airflow_m3s.value:.4f} m3/s x p/p0 {e.pressure_ratio:.4f}",
    )


def _as(case: Case, finding: Finding, subject: str) -> Finding:
    """The same said of another subject, guards as that subject has them."""
    if finding.verdict == "not applicable":
        return case.not_applicable(finding.text, subject)
    return case.not_measured(finding.fields, subject, finding.text)


@check("BL-15")
def conditions(case: Case) -> Iterator[Finding]:
    """Statics taken zeroed, filter in, panels on, registers open, coil noted."""
    fields = (*READY, "blower.ready.coil")
    if any(case.entry(f) is None for f in fields):
        yield case.not_measured(fields)
        return
    wrong = [case.label(f).lower() for f in READY if not case.entry(f).value]  # type: ignore[union-attr]
    coil = case.word("blower.ready.coil")
    text = f"Statics taken as they should be, coil {coil}." if not wrong else f"Not so: {', '.join(wrong)}."
    yield case.settled(
        not wrong, text, (*fields, *COOLING_STATICS), do="Put that right, say so, and take the statics again."
    )
