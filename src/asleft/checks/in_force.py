"""Whether a setting does what it says: its effect seen, not only its value stored."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from asleft.calc import Measured, heater_current
from asleft.checks.about import About
from asleft.checks.case import Case
from asleft.checks.listing import check
from asleft.checks.sequence import place_of
from asleft.installation.estimate import both_sides, ducts_by_table, table_of
from asleft.installation.operating import predict_in
from asleft.session.acts import entry_of
from asleft.session.readings import of_entry

if TYPE_CHECKING:
    from asleft.checks.finding import Finding
    from asleft.equipment.model import Option, Setting, Topic, Use


class _Foretold(NamedTuple):
    """What the effect would read with the old value still in force, and with the new one."""

    old: Measured
    new: Measured


def shown_places(case: Case) -> tuple[str, ...]:
    """A subject for each place that was written and whose effect is a field here, else the unit."""
    ledger = case.ledger
    found = tuple(
        f"setting.{setting.id}@{address}"
        for setting, address in ledger.equipment.places()
        if setting.effect in ledger.fields and ledger.acts_on(setting.id, address, "wrote")
    )
    return found or ("unit",)


@check("SQ-6", shown_places)
def seen(a: About) -> Finding:
    """What a written setting is to do was seen since it is in force."""
    if a.subject == "unit":
        written = any(act.kind == "wrote" for act in a.ledger.acts)
        return a.not_applicable(
            "The maker names nothing that would show it." if written else "Nothing has been written yet."
        )
    setting, address = place_of(a)
    topic = next((t for t in a.ledger.equipment.topic if t.sets(setting.id)), None)
    chosen = a.ledger.chosen(topic) if topic else None
    if topic is None or chosen is None or setting.id not in chosen.set:
        return a.not_applicable(f"Nothing chosen hangs on “{setting.label}”.")
    a.rest(a.ledger.acts_on(setting.id, address, "wrote")[-1].n)
    field = str(setting.effect)
    a.need(entry_of(field))
    if a.ledger.fields[field].kind == "yes_no":
        return _comes_on(a, setting, chosen, field)
    first = min(act.n for act in a.ledger.acts if act.kind == "wrote")
    old = a.ledger.in_force(topic, before=first)
    if old is None or old.id == chosen.id:
        return a.not_applicable(f"“{setting.label}” holds what it held, or nobody knows what it was.")
    foretold = _foretold(a, topic, old, chosen, field)
    if foretold is None:
        return a.not_applicable(f"Nothing foretells what “{a.case.label(field)}” does there.")
    return _nearer(a, setting, field, foretold)


def _comes_on(a: About, setting: Setting, chosen: Option, field: str) -> Finding:
    if not chosen.value:
        return a.not_applicable(f"“{chosen.label}” lets nothing come on that could be seen.")
    (said,) = a.answers(field)
    if not said:
        return a.failed(f"“{setting.label}” is stored, and it was not seen to act: {a.case.label(field)}.")
    return a.passed(f"“{setting.label}” was seen to act: {a.case.label(field)}.")


def _nearer(a: About, setting: Setting, field: str, foretold: _Foretold) -> Finding:
    """Nearer to what the new value does than to what the old one did."""
    old, new, kind = foretold.old, foretold.new, a.ledger.fields[field].kind
    # One instrument reads before and after, so what it is off by counts in full.
    between = Measured((old.value + new.value) / 2.0, (old.expanded + new.expanded) / 2.0)
    (now,) = a.numbers(field)
    if abs(new.value - old.value) / 2.0 <= now.expanded + between.expanded:
        return a.not_applicable(
            f"“{setting.label}” moves “{a.case.label(field)}” by less than can be told here."
        )
    value = Measured(now.value, now.expanded + between.expanded)
    rises = new.value > old.value
    lower, upper = (between.value, None) if rises else (None, between.value)
    was, will = a.show(old.value, kind), a.show(new.value, kind)
    return a.judge(
        f"{a.case.label(field)}, {was} before and {will} foretold", value, kind, lower=lower, upper=upper
    )


def _foretold(a: About, topic: Topic, old: Option, new: Option, field: str) -> _Foretold | None:
    """What the field would read under each of two options; None where nothing says."""
    pane, _, what = field.partition(".")
    if topic.role == "blower-tier" and what.startswith("static."):
        return _statics(a, old, new, "heating" if pane == "heat" else "cooling", field)
    if topic.role == "auxiliary-heat" and field.endswith(".current"):
        return _currents(a, old, new, int(field.split(".")[2]))
    return None


def _statics(a: About, old: Option, new: Option, use: Use, field: str) -> _Foretold | None:
    """One side's static at two tiers, along the ducts as they were found with the tier of that time."""
    ledger = a.ledger
    tiers = [ledger.equipment.tier(str(option.value)) for option in (old, new)]
    sides = [_before(a, f"blower.static.{side}") for side in ("supply", "return")]
    if tiers[0] is None or tiers[1] is None or sides[0] is None or sides[1] is None:
        return None
    total = both_sides(sides[0], sides[1])
    ducts = ducts_by_table(table_of(ledger, tiers[0], "cooling", a.estimate.pressure_ratio), total)
    if ducts is None or total.value <= 0.0:
        return None
    predicted = [predict_in(ledger, a.estimate, ducts, tier) for tier in tiers if tier is not None]
    there = [p.static_pa if use == "cooling" else p.heating_static_pa for p in predicted]
    if there[0] is None or there[1] is None:
        return None
    share = (sides[0] if field.endswith("supply") else sides[1]).value / total.value
    return _Foretold(*(Measured(p.value * share, p.expanded * abs(share)) for p in there if p is not None))


def _before(a: About, field: str) -> Measured | None:
    """A reading as found, if only settings changed it since."""
    entry = a.ledger.as_found(field)
    if entry is None or any(n > entry.n for n in a.ledger.mended(field)):
        return None
    a.rest(entry.n)
    found = of_entry(a.ledger, entry)
    return found.measured if found else None


def _currents(a: About, old: Option, new: Option, stage: int) -> _Foretold | None:
    """A stage's current with and without it."""
    kit = a.ledger.kit
    if kit is None or stage > len(kit.stage):
        return None
    of_stage = kit.stage[stage - 1]
    full = heater_current(of_stage.power, kit.voltage, kit.phases)
    found = [Measured(full if of_stage.id in (o.value or ()) else 0.0, 0.0) for o in (old, new)]
    return _Foretold(*found)
