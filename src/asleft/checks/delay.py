"""Is auxiliary heat held back long enough, and not so long that rooms go cold?"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from asleft.checks.case import Case, check
from asleft.checks.finding import Finding
from asleft.quantity import show


@check("TD-1")
def offered(case: Case) -> Iterator[Finding]:
    """The delay chosen is one that the unit offers."""
    topic = case.equipment.role("auxiliary-delay")
    if topic is None:
        yield case.not_applicable("The unit offers no such choice.")
        return
    choice = case.ledger.state.choices.get(topic.id)
    act = f"choose:{topic.id}"
    if choice is None:
        yield case.not_measured((act,), text=f"{topic.label} is not chosen yet.")
        return
    option = case.ledger.option(topic, choice.option)
    text = f"{option.label} is on offer." if option else f"{choice.option} is not on offer here."
    yield case.settled(
        option is not None, text, (act,), do="Choose a delay that is on offer.", rests_on=(choice.n,)
    )


@check("TD-2")
def droop(case: Case) -> Iterator[Finding]:
    """Room droop at design temperature while heat is held back, at most the owner's limit."""
    if case.ledger.situation.outdoor == "none" or (case.ledger.kit_known and case.ledger.kit is None):
        yield case.not_applicable("Without kit and heat pump together nothing is held back.")
        return
    if (missing := case.choice_missing("auxiliary-delay")) is not None:
        yield missing
        return
    topic, chosen = case.equipment.role("auxiliary-delay"), case.ledger.role_chosen("auxiliary-delay")
    assert topic is not None
    assert chosen is not None
    fields = (
        f"choose:{topic.id}",
        "heat.design_load",
        "heat.design_temperature",
        "identity.outdoor",
        "delay.floor_area",
        "delay.construction",
    )
    outlook = case.forecast.topics[topic.id].of(chosen.id)
    judged = outlook.judgement("TD-2") if outlook else None
    if outlook is None or judged is None:
        yield case.not_measured(fields[1:])
        return
    finding = case.foreseen(
        judged, f"With {outlook.label} the room falls", fields, do="Choose a shorter delay."
    )
    best = outlook.figures.get("best_case")
    if best is not None:
        whole = show(best.value, "temperature_difference")
        finding = replace(finding, text=f"{finding.text} Best case, the whole building answering: {whole}.")
    yield finding
