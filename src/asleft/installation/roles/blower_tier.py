"""Which blower tier comes nearest to the design airflow."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import TYPE_CHECKING

from asleft.installation.estimate import table_of
from asleft.installation.heating_air import heating_judged, leaving
from asleft.installation.outlook import Figure, Judged, Outlook, TopicOutlook
from asleft.installation.reckoning import Reckoning, finish

if TYPE_CHECKING:
    from asleft.equipment.model import Option, Tier, Topic

DESIGN_TOLERANCE = 0.15
"""Predicted airflow against design (ACCA 5 QI, from memory)."""
NEAR_NEAREST = 0.05
"""Tiers this near the nearest compete by fan power, as a fraction of the nearest one's airflow."""

_MUST_PASS = frozenset({"BL-1", "BL-5", "BL-11", "HS-5"})


def blower_tier(reckoning: Reckoning, topic: Topic) -> TopicOutlook:
    """Of the tiers that pass as predicted, the nearest to design; near ones compete by fan power."""
    missing = reckoning.missing(
        "identity.orientation",
        "identity.kit",
        "blower.design_airflow",
        "blower.static.supply",
        "blower.static.return",
    )
    outlooks = reckoning.outlooks(topic, lambda option: _outlook(reckoning, topic, option))
    design = reckoning.design_m3s
    if missing or design is None:
        return finish(topic, outlooks, None, "", missing)
    if _means_no_option(reckoning, topic):
        first = min(outlooks, key=lambda o: _from_design(reckoning, topic, o, design), default=None)
        why = (
            "What the control shows means no option here, so nobody knows which fan table holds. Set the one"
            " that at the static measured would move the nearest to design, then take the statics again."
        )
        return finish(topic, outlooks, first.option if first else None, why)
    moving = [o for o in outlooks if "airflow" in o.figures]
    by_distance = sorted(moving, key=lambda o: abs(_airflow(o) - design))
    usable = [o for o in by_distance if all(j.passes for j in o.judged if j.check in _MUST_PASS)]
    if not usable:
        why = "No tier passes: look at the ducts, the filter and the design airflow before choosing."
        return finish(topic, outlooks, by_distance[0].option if by_distance else None, why)
    nearest = usable[0]
    moved = _airflow(nearest)
    close = [o for o in usable if abs(_airflow(o) - moved) <= NEAR_NEAREST * moved]
    best = min(close, key=lambda o: (_power(o), _writes(reckoning, topic, o), outlooks.index(o)))
    asked = reckoning.ledger.show(design, "airflow")
    why = f"{best.label} would move {_shown(reckoning, best)} against {asked} asked"
    runner = next((o for o in usable if o is not best), None)
    if runner is not None:
        why += f"; next best {runner.label}, {_shown(reckoning, runner)}"
    if best is not nearest:
        why += ", but for less fan power"
    return finish(topic, outlooks, best.option, why + ".")


def _means_no_option(reckoning: Reckoning, topic: Topic) -> bool:
    """Whether all settings of the topic were seen, and hold what no option on offer here would."""
    ledger = reckoning.ledger
    if ledger.in_force(topic) is not None or reckoning.estimate.duct_coefficient is not None:
        return False
    ids = dict.fromkeys(id for option in ledger.options(topic) for id in option.set)
    settings = [s for id in ids if (s := ledger.equipment.setting_of(id)) is not None]
    return bool(settings) and all(ledger.shown(s.id, address) for s in settings for address in s.address)


def _from_design(reckoning: Reckoning, topic: Topic, outlook: Outlook, design_m3s: float) -> float:
    """How far a tier is from design at the static measured now; infinitely where its table ends before."""
    option, total = reckoning.ledger.option(topic, outlook.option), reckoning.estimate.total_static_pa
    tier = reckoning.equipment.tier(str(option.value)) if option else None
    if tier is None or total is None:
        return math.inf
    table = table_of(reckoning.ledger, tier, "cooling", reckoning.estimate.pressure_ratio)
    airflow_m3s = table.airflow_at(total.value)
    return math.inf if airflow_m3s is None else abs(airflow_m3s - design_m3s)


def lone_tier(reckoning: Reckoning, tier: Tier) -> TopicOutlook:
    """The only tier of a blower without a choice, reckoned as if it were the one option."""
    figures = _figures(reckoning, tier)
    outlook = Outlook("", tier.id, tier.label, figures, _judged(reckoning, tier, figures), True)
    return TopicOutlook("", "blower-tier", (outlook,), tier.id, "", ())


def _outlook(reckoning: Reckoning, topic: Topic, option: Option) -> Outlook:
    tier = reckoning.equipment.tier(str(option.value))
    if tier is None:
        return Outlook(topic.id, option.id, option.label)
    figures = _figures(reckoning, tier)
    return Outlook(topic.id, option.id, option.label, figures, _judged(reckoning, tier, figures))


def _figures(reckoning: Reckoning, tier: Tier) -> dict[str, Figure]:
    p = reckoning.predicted(tier)
    figures: dict[str, Figure] = {}
    if p.cooling and p.static_pa:
        figures["airflow"] = Figure("airflow", *p.cooling)
        figures["static"] = Figure("static_pressure", *p.static_pa)
    if p.power_w is not None:
        figures["power"] = Figure("electric_power", p.power_w)
    if p.heating:
        figures["heating_airflow"] = Figure("airflow", *p.heating)
    if (heat := leaving(reckoning, p.heating, 1.0)) is not None and reckoning.ledger.kit is not None:
        figures["rise"], figures["leaving_air"] = heat
    return figures


def _judged(reckoning: Reckoning, tier: Tier, figures: Mapping[str, Figure]) -> tuple[Judged, ...]:
    blower, design, kit = reckoning.equipment.blower, reckoning.design_m3s, reckoning.ledger.kit
    judged: list[Judged] = []
    if "airflow" in figures:
        airflow = figures["airflow"]
        if blower.lowest_airflow or blower.highest_airflow:
            judged.append(Judged.of("BL-1", airflow, blower.lowest_airflow, blower.highest_airflow))
        if design is not None:
            low, high = design * (1 - DESIGN_TOLERANCE), design * (1 + DESIGN_TOLERANCE)
            judged.append(Judged.of("BL-7", airflow, low, high))
        tops = [s for s in (tier.highest_static, blower.highest_static) if s is not None]
        if tops:
            judged.append(Judged.of("BL-5", figures["static"], None, min(tops)))
    if kit is not None and "heating_airflow" in figures:
        judged += heating_judged(reckoning, kit, figures["heating_airflow"], figures.get("leaving_air"))
    return tuple(judged)


def _airflow(outlook: Outlook) -> float:
    return outlook.figures["airflow"].value


def _shown(reckoning: Reckoning, outlook: Outlook) -> str:
    return reckoning.ledger.show(_airflow(outlook), "airflow")


def _power(outlook: Outlook) -> float:
    power = outlook.figures.get("power")
    return power.value if power else float("inf")


def _writes(reckoning: Reckoning, topic: Topic, outlook: Outlook) -> int:
    option = reckoning.ledger.option(topic, outlook.option)
    return reckoning.writes(option) if option else 0
