"""Fan tables of all tiers, the ducts as they were measured, and where each tier meets them."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, NamedTuple

from asleft.calc import system_curve
from asleft.charts.chart import (
    Amount,
    Axis,
    Cell,
    Chart,
    Curve,
    Dash,
    Mark,
    Plot,
    Point,
    Points,
    Span,
    Table,
)
from asleft.charts.words import amount, and_words, labels, standing, verdicts
from asleft.installation.estimate import COOLING_STATICS, table_of
from asleft.installation.forecast import DESIGN_TOLERANCE
from asleft.installation.operating import predict
from asleft.quantity import show
from asleft.session.readings import known

if TYPE_CHECKING:
    from asleft.calc import Measured
    from asleft.equipment.model import Blower, Equipment, Tier, Use
    from asleft.installation.outlook import Outlook
    from asleft.visit import View

DUCTS = "S"
"""The letter of the ducts' curve; no tier has it."""
_LETTERS = "ABCDEFGHIJKLMNOPQRTUVWXYZ"
_DASHES: tuple[Dash, ...] = ("solid", "dash-dot")
_CHECKS = {
    "cooling": ("BL-1", "BL-5", "BL-7", "BL-11", "HS-5"),
    "heating": ("BL-11", "HS-5"),
    "fan": (),
}
"""The checks that judge an operating point at a use; cooling has room for all."""
_STEPS = 48
_X, _Y = Axis("airflow", "airflow"), Axis("static_pressure", "total external static")
_ROLE = "blower-tier"
HEADS = ("", "tier", "", "airflow", "static", "power", "heating airflow", "highest static", "checks")


class _Met(NamedTuple):
    """Where a tier would run: as the forecast has it, else as the same reckoning gives it."""

    airflow: Amount | None
    static: Amount | None
    power: Amount | None


def cooling_fans(view: View) -> Chart:
    """Every tier at its cooling speed."""
    return _chart(view, "cooling")


def heating_fans(view: View) -> Chart | None:
    """Every tier at its heating speed; None where no tier has one of its own."""
    tiers = view.equipment.blower.tier
    return _chart(view, "heating") if any(t.at("heating") is not t.at("cooling") for t in tiers) else None


def fans_on_paper(equipment: Equipment, system: str) -> Plot:
    """Every tier at its cooling speed as the equipment file has it, without a site."""
    curves = tuple(
        _curve(
            equipment.blower,
            tier,
            mark,
            n,
            tuple(
                None if row.airflow_m3s is None else (row.airflow_m3s, row.static_pa)
                for row in tier.at("cooling").rows
            ),
        )
        for n, (mark, tier) in enumerate(_marked(equipment))
    )
    curves = tuple(
        replace(curve, name=_on_paper(tier, curve.highest, system))
        for curve, tier in zip(curves, equipment.blower.tier, strict=True)
    )
    return Plot(_X, _Y, curves)


def _on_paper(tier: Tier, top: float | None, system: str) -> str:
    """A tier's name with its id and how far it may go."""
    return f"{tier.label} ({tier.id})" + (f", to {show(top, 'static_pressure', system)}" if top else "")


def highest_static(blower: Blower, tier: Tier) -> float | None:
    """The highest static that a tier may work against, Pa; None where the maker gives none."""
    tops = [s for s in (tier.highest_static, blower.highest_static) if s is not None]
    return min(tops) if tops else None


def _marked(equipment: Equipment) -> list[tuple[str, Tier]]:
    return [(_LETTERS[n % len(_LETTERS)], tier) for n, tier in enumerate(equipment.blower.tier)]


def _curve(blower: Blower, tier: Tier, mark: str, n: int, points: Points) -> Curve:
    return Curve(tier.label, mark, points, _DASHES[n % len(_DASHES)], highest_static(blower, tier))


def _chart(view: View, use: Use) -> Chart:
    ledger, equipment, k = view.ledger, view.equipment, view.estimate.duct_coefficient
    marked = _marked(equipment)
    met = {tier.id: _met(view, tier, use) for _, tier in marked}
    curves = [
        _curve(equipment.blower, tier, mark, n, _site_points(view, tier, use))
        for n, (mark, tier) in enumerate(marked)
    ]
    if k is not None and k.value > 0.0:
        reach = max((p[0] for c in curves for p in c.points if p is not None), default=0.0)
        curves.append(_ducts(k, reach))
    design = known(ledger, "blower.design_airflow")
    low, high = (
        (design.value * (1 + part) for part in (-DESIGN_TOLERANCE, DESIGN_TOLERANCE)) if design else (0, 0)
    )
    spans = (
        (Span("x", low, high, f"design ± {DESIGN_TOLERANCE * 100:.0f} %"),)
        if design and use == "cooling"
        else ()
    )
    plot = Plot(_X, _Y, tuple(curves), _points(view, marked, met), _marks(view, marked, use), spans)
    missing = (
        labels(ledger, ("blower.design_airflow", *COOLING_STATICS)) if k is None or design is None else ()
    )
    return Chart(
        f"fans-{use}",
        f"Fan tables, {use}, and the ducts as measured" if k is not None else f"Fan tables, {use}",
        plot,
        _note(view, met, use),
        _table(view, marked, met, use),
        missing,
        ledger.system,
    )


def _site_points(view: View, tier: Tier, use: Use) -> Points:
    """A fan table at this site's air pressure with the kit fitted; a blank cell is a gap."""
    table = table_of(view.ledger, tier, use, view.estimate.pressure_ratio)
    rows = zip(table.airflow_m3s, table.static_pa, strict=True)
    points: list[tuple[float, float] | None] = []
    for row in tier.at(use).rows:
        if row.airflow_m3s is None:
            points.append(None)
        else:
            airflow, static = next(rows)
            points.append((airflow * table.volume, static * table.ratio))
    return tuple(points)


def _ducts(k: Measured, reach: float) -> Curve:
    """Static that the ducts ask at every airflow, and between what they surely ask it."""
    flows = [reach * n / _STEPS for n in range(_STEPS + 1)]

    def line(coefficient: float) -> Points:
        return tuple((q, system_curve(1.0, max(0.0, coefficient), q)) for q in flows)

    band = (line(k.value - k.expanded), line(k.value + k.expanded)) if k.expanded > 0.0 else None
    return Curve("ducts as measured", DUCTS, line(k.value), "dashed", band=band, scales=False)


def _options(view: View, tier: Tier) -> tuple[str, ...]:
    """The options on offer that mean this tier."""
    topic = view.equipment.role(_ROLE)
    return tuple(o.id for o in view.ledger.options(topic) if o.value == tier.id) if topic else ()


def _outlook(view: View, tier: Tier) -> Outlook | None:
    """The forecast of the first option on offer that means this tier."""
    topics = view.forecast.role(_ROLE)
    options = _options(view, tier)
    return topics.of(options[0]) if topics and options else None


def _standing(view: View, tier: Tier) -> str:
    """What a tier is here: in force, chosen, recommended, or none of these."""
    return standing(view, _ROLE, *_options(view, tier))


def _met(view: View, tier: Tier, use: Use) -> _Met:
    outlook = _outlook(view, tier)
    figures = outlook.figures if outlook else {}
    found = predict(view.ledger, view.estimate, tier)
    if use == "heating":
        airflow, static = found.heating, found.heating_static_pa
        forecast = amount(figures.get("heating_airflow"))
        return _Met(
            forecast or (Amount(airflow.value, "airflow", airflow.expanded) if airflow else None),
            Amount(static.value, "static_pressure", static.expanded) if static else None,
            None,
        )
    if "airflow" in figures:
        return _Met(*(amount(figures.get(name)) for name in ("airflow", "static", "power")))
    if found.cooling is None or found.static_pa is None:
        return _Met(None, None, None)
    return _Met(
        Amount(found.cooling.value, "airflow", found.cooling.expanded),
        Amount(found.static_pa.value, "static_pressure", found.static_pa.expanded),
        None if found.power_w is None else Amount(found.power_w, "electric_power"),
    )


def _said(view: View, met: _Met) -> str:
    show = view.ledger.show
    if met.airflow is None or met.static is None:
        return "off its table"
    return f"{show(met.airflow.value, 'airflow')}, {show(met.static.value, 'static_pressure')}"


def _points(view: View, marked: list[tuple[str, Tier]], met: dict[str, _Met]) -> tuple[Point, ...]:
    """The operating point of each tier that has one."""
    points: list[Point] = []
    for mark, tier in marked:
        airflow, static = met[tier.id].airflow, met[tier.id].static
        if airflow is None or static is None:
            continue
        words = _standing(view, tier)
        at = (airflow.value, static.value, airflow.expanded, static.expanded)
        points.append(Point(and_words(_said(view, met[tier.id]), words), mark, *at, matters=bool(words)))
    return tuple(points)


def _marks(view: View, marked: list[tuple[str, Tier]], use: Use) -> tuple[Mark, ...]:
    ledger, blower = view.ledger, view.equipment.blower
    marks = []
    design = known(ledger, "blower.design_airflow")
    if design is not None and use == "cooling":
        marks.append(Mark("x", design.value, f"design {ledger.show(design.value, 'airflow')}"))
    least = ledger.kit.least(ledger.situation.orientation) if ledger.kit else None
    if least is not None and use == "heating":
        actual = least / view.estimate.pressure_ratio
        marks.append(Mark("x", actual, f"least with the kit {ledger.show(actual, 'airflow')}"))
    tops = {highest_static(blower, tier) for _, tier in marked}
    of_interest = _of_interest(view)
    whose = next((f" of {mark}" for mark, tier in marked if tier is of_interest and len(tops) > 1), "")
    top = highest_static(blower, of_interest) if of_interest else tops.pop() if len(tops) == 1 else None
    if top is not None:
        marks.append(Mark("y", top, f"highest static{whose} {ledger.show(top, 'static_pressure')}"))
    return tuple(marks)


def _note(view: View, met: dict[str, _Met], use: Use) -> str:
    """Where the tier that matters meets the ducts, and what is asked of it."""
    ledger, k = view.ledger, view.estimate.duct_coefficient
    if k is None and any(map(ledger.stale, COOLING_STATICS)):
        return "A setting changed the air since the ducts were measured: these are the tables alone."
    if k is None:
        return "The ducts are not measured yet: these are the tables alone."
    tier = _of_interest(view)
    if tier is None:
        return "No tier is in force, chosen or recommended yet."
    found, word = met[tier.id], " in heating" if use == "heating" else ""
    if found.airflow is None or found.static is None:
        return f"{tier.label} leaves its fan table before it meets the ducts{word}."
    note = f"{tier.label} meets the ducts at {_said(view, found)}{word}"
    design = known(ledger, "blower.design_airflow")
    if design is None or design.value <= 0.0 or use == "heating":
        return note + ("." if not note.endswith(".") else "")
    part = round(100.0 * (found.airflow.value / design.value - 1.0))
    by = f"{abs(part)} % {'over' if part > 0 else 'under'}" if part else "just"
    return f"{note}: {by} the {ledger.show(design.value, 'airflow')} asked."


def _of_interest(view: View) -> Tier | None:
    """The tier chosen, else in force, else recommended, else the only one."""
    topic, ledger, equipment = view.equipment.role(_ROLE), view.ledger, view.equipment
    if topic is None:
        return equipment.tier(view.estimate.tier)
    recommended = view.forecast.topics[topic.id].recommended
    option = ledger.chosen(topic) or ledger.in_force(topic)
    option = option or (ledger.option(topic, recommended) if recommended else None)
    return equipment.tier(str(option.value)) if option else None


def _table(view: View, marked: list[tuple[str, Tier]], met: dict[str, _Met], use: Use) -> Table:
    ledger, estimate = view.ledger, view.estimate
    rows: list[tuple[Cell, ...]] = []
    for mark, tier in marked:
        outlook, found = _outlook(view, tier), met[tier.id]
        heating = amount(outlook.figures.get("heating_airflow")) if outlook and use == "cooling" else None
        words = _standing(view, tier)
        checks = verdicts([j for j in outlook.judged if j.check in _CHECKS[use]]) if outlook else ""
        if view.equipment.role(_ROLE) is not None and outlook is None:
            words = and_words("not on offer here", words)
        highest = highest_static(view.equipment.blower, tier)
        top = None if highest is None else Amount(highest, "static_pressure")
        air = (found.airflow, found.static, found.power)
        rows.append((mark, tier.label, words, *air, heating, top, checks))
    facts: list[tuple[str, Cell]] = []
    design = known(ledger, "blower.design_airflow")
    if design is not None:
        facts.append(("Design airflow", Amount(design.value, "airflow")))
    if estimate.total_static_pa is not None:
        total = estimate.total_static_pa
        facts.append(
            ("Total external static measured", Amount(total.value, "static_pressure", total.expanded))
        )
    if estimate.airflow_m3s is not None:
        moved = estimate.airflow_m3s
        facts.append(
            (f"Airflow by {estimate.airflow_method}", Amount(moved.value, "airflow", moved.expanded))
        )
    return Table(HEADS, tuple(rows), tuple(facts))
