"""Checks of the tier: which one it is, what it gives, and what that costs."""

from __future__ import annotations

from math import hypot
from typing import TYPE_CHECKING

from asleft.calc import Measured, combine, face_velocity, fan_efficacy
from asleft.checks.about import About, Settled
from asleft.checks.listing import check
from asleft.installation.estimate import BY_RISE, BY_TABLE, COOLING_STATICS, table_of
from asleft.installation.forecast import DESIGN_TOLERANCE
from asleft.installation.operating import predict
from asleft.quantity import from_unit
from asleft.session.acts import Choose

if TYPE_CHECKING:
    from asleft.checks.finding import Finding
    from asleft.equipment.model import Option
    from asleft.installation.fans import FanTable
    from asleft.installation.outlook import Judged, Outlook

POWER = "blower.power"
FILTER_FACE = ("blower.filter.width", "blower.filter.height")
FACE_VELOCITY = from_unit(300.0, "velocity", "ft/min")
"""Air through a filter whose own limit nobody gives (common practice)."""
GOOD_EFFICACY, MOST_EFFICACY = (from_unit(watts, "fan_efficacy", "W/cfm") for watts in (0.45, 0.58))
"""RESNET 310, from memory."""


def rest_on_volts(a: About) -> None:
    """Rest on the volts, and the amps where they were read, that the kit's heat is reckoned from."""
    a.rest_on(*a.estimate.rests.get("heat", ()), shown=False)


def rest_on_airflow(a: About, what: str, statics: tuple[str, str], method: str) -> None:
    """Rest on what an airflow comes from: statics, or the rise and the volts behind it, and the altitude.

    A rise stands in for statics that lie outside the table or were never taken, not for stale ones: what
    made those stale moved the air.
    """
    if method == BY_RISE and (old := [f for f in statics if a.ledger.stale(f)]):
        a.have(*old)
    a.rest_on(*(a.estimate.rests.get(what, ()) if method else statics) or statics)
    a.rest_on("identity.altitude", shown=False)
    if method == BY_RISE:
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
        a.needs[:] = [act for act in a.needs if not isinstance(act, Choose)]


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
    """Whether the tier chosen is the one recommended, or as near to design as anybody can tell."""
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
    mine = outlook.of(option.id)
    if best is not None and mine is not None and not _surely_nearer(a, best, mine):
        return a.passed(f"{option.label} is as near to design as {label}, within U. Predicted: {shown}.")
    return a.failed(f"{label} is recommended, not {option.label}: {outlook.why} Predicted: {shown}.")


def _surely_nearer(a: About, best: Outlook, mine: Outlook) -> bool:
    """Whether one tier is nearer to the design airflow by more than the U of their difference.

    Both are predicted from the same statics and tables: their difference knows more than either, but how
    much more no file says, so that they count as independent.
    """
    (design,) = a.numbers("blower.design_airflow")
    figures = [outlook.figures.get("airflow") for outlook in (best, mine)]
    if None in figures:
        return True
    near, far = (f for f in figures if f is not None)
    by = abs(far.value - design.value) - abs(near.value - design.value)
    return by > hypot(near.expanded, far.expanded)


def tier_settled(a: About) -> None:
    """Settle as not measured until the tier chosen is the tier in force."""
    topic = a.ledger.equipment.role("blower-tier")
    if topic is None:
        return
    chosen = a.ledger.chosen(topic)
    if chosen is None:
        a.need_first(Choose(topic.id))
        raise Settled(a.not_measured(f"Not chosen yet: {topic.label}."))
    a.rest(a.ledger.state.choices[topic.id].n)
    now = a.ledger.in_force(topic)
    if now is None or now.id != chosen.id:
        raise Settled(a.not_measured(f"{chosen.label} was chosen and is not in force yet."))


def airflow_left(a: About) -> Measured:
    """Airflow in cooling with the tier chosen in force; not measured while that is not known."""
    airflow, method = a.estimate.airflow_m3s, a.estimate.airflow_method
    rest_on_airflow(a, "airflow", COOLING_STATICS, method)
    tier_settled(a)
    if airflow is None:
        a.have(*COOLING_STATICS)
        raise Settled(a.not_measured("The statics lie outside the fan table of the tier in force."))
    return airflow


@check("BL-9")
def airflow_as_left(a: About) -> Finding:
    """Airflow as left against design and the unit's range."""
    design = a.fact_number("blower.design_airflow").value
    airflow, method = airflow_left(a), a.estimate.airflow_method
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


@check("BL-12")
def filter_velocity(a: About) -> Finding:
    """Mean velocity of the air at the filter's face."""
    width, height = (a.fact_number(field) for field in FILTER_FACE)
    airflow = airflow_left(a)
    own = a.ledger.equipment.blower.filter_velocity
    velocity = combine(face_velocity, airflow, width.measured, height.measured)
    area = a.show(width.value * height.value, "area", digits=2)
    return a.judge(
        "Air at the face of the filter",
        velocity,
        "velocity",
        None,
        FACE_VELOCITY if own is None else own,
        working=f"{a.show(airflow.value, 'airflow')} / {area} = {a.show(velocity.value, 'velocity')}",
        extra="That is what the maker allows." if own is not None else "",
    )


@check("BL-13")
def efficacy(a: About) -> Finding:
    """Watts of the blower for its airflow in cooling."""
    measured = a.case.known(POWER)
    table = _power_table(a)
    if measured is None and (table is None or not table.power_w):
        return a.not_applicable("The maker gives no fan power, and none was measured.")
    airflow = airflow_left(a)
    if measured is not None:
        a.rest_on(POWER)
        power, how = measured.value, "measured"
        found = combine(fan_efficacy, measured.measured, airflow)
    else:
        foretold = _by_table(a, airflow)
        if foretold is None:
            a.have(*COOLING_STATICS)
            return a.not_measured("The statics lie outside the fan table: the blower's power is not known.")
        (power, found), how = foretold, "by the fan table"
    working = (
        f"{power:.0f} W {how} / {a.show(airflow.value, 'airflow')} = {a.show(found.value, 'fan_efficacy')}"
    )
    good = a.show(GOOD_EFFICACY, "fan_efficacy")
    extra = f"At most {good} is good." if found.value <= GOOD_EFFICACY else f"A good one takes {good}."
    return a.judge("Fan efficacy", found, "fan_efficacy", None, MOST_EFFICACY, working=working, extra=extra)


def _power_table(a: About) -> FanTable | None:
    """The table of the tier in force in cooling."""
    tier = a.ledger.equipment.tier(a.estimate.tier)
    return table_of(a.ledger, tier, "cooling", a.estimate.pressure_ratio) if tier else None


def _by_table(a: About, airflow: Measured) -> tuple[float, Measured] | None:
    """Power by the fan table, and efficacy; where the table gave the airflow too, one static gave both."""
    table, total, own = _power_table(a), a.estimate.total_static_pa, a.estimate.table_accuracy
    power = table.power_at(total.value) if table is not None and total is not None else None
    if table is None or total is None or power is None:
        return None
    if a.estimate.airflow_method != BY_TABLE:
        return power, combine(fan_efficacy, Measured(power, own * power), airflow)
    off = Measured(1.0, own)

    def together(static_pa: float, watts_off: float, airflow_off: float) -> float:
        watts = table.power_or_refuse(static_pa) * watts_off
        return fan_efficacy(watts, table.airflow_or_refuse(static_pa) * airflow_off)

    return power, combine(together, total, off, off)


def option_ahead(a: About) -> str:
    """The tier chosen, else the one in force; not measured where neither is known."""
    topic = a.topic("blower-tier")
    chosen = a.ledger.chosen(topic)
    if chosen is not None:
        outlook = a.case.forecast.topics.get(topic.id)
        a.rest(a.ledger.state.choices[topic.id].n)
        if outlook is None or outlook.recommended != chosen.id:
            a.need_first(Choose(topic.id))
        return chosen.id
    now = a.ledger.in_force(topic)
    if now is None:
        a.need_first(Choose(topic.id))
        raise Settled(a.not_measured(f"Neither chosen nor found yet: {topic.label}."))
    return now.id


def heating_ahead(a: About) -> Measured:
    """Airflow that a blower without a choice of tiers will move with heat on, from the ducts as measured."""
    predicting(a)
    tier = a.ledger.equipment.tier(a.estimate.tier)
    heating = predict(a.ledger, a.estimate, tier).heating if tier else None
    if heating is None:
        raise Settled(a.not_measured("The ducts as built lie outside the fan table."))
    return heating
