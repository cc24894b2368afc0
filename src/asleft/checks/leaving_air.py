"""Checks of the air that heat makes: how hot it leaves, and whether the rise is the one foretold."""

from __future__ import annotations

from math import sqrt
from typing import TYPE_CHECKING

from asleft.calc import Measured, combine, rise_from_airflow
from asleft.checks.about import About, Settled
from asleft.checks.blower import (
    heating_ahead,
    option_ahead,
    predicting,
    rest_on_airflow,
    rest_on_volts,
    tier_settled,
)
from asleft.checks.case import Case
from asleft.checks.listing import check, stages
from asleft.installation.estimate import HEATING_STATICS
from asleft.installation.forecast import pump_rise
from asleft.installation.line_fields import LOADED, kit_fields

if TYPE_CHECKING:
    from asleft.checks.finding import Finding
    from asleft.equipment.model import Heater


def _highest(a: About, kit: Heater) -> float:
    """The unit's highest leaving air; not measured where the maker gives none."""
    highest = a.ledger.equipment.limits.leaving_air
    if highest is None:
        raise Settled(
            a.not_measured(
                f"The maker gives no highest leaving-air temperature with kit {kit.id}.",
                do="Ask the maker for the highest leaving air and put it in the equipment file.",
            )
        )
    return highest


@check("HS-5", "unit.predicted")
def leaving_predicted(a: About) -> Finding:
    """Leaving air predicted with every stage and the heat pump on."""
    kit = a.kit()
    highest = _highest(a, kit)
    a.supply()
    if "identity.outdoor" in a.ledger.fields:
        a.fact("identity.outdoor")
    if a.ledger.equipment.role("blower-tier") is None:
        return _one_tier(a, kit, highest)
    option = option_ahead(a)
    predicting(a)
    _rest_on_heat(a, kit)
    found = a.outlook("blower-tier", option)
    judged = found.judgement("HS-5")
    if judged is None:
        return a.not_measured(f"The ducts as built lie outside the fan table of {found.label}.")
    return a.foretold(
        judged,
        f"Leaving air predicted for {found.label}, all heat and the heat pump on",
        working=_rises(a, judged.figure.value, found.figures["rise"].value),
    )


def _rises(a: About, leaving_c: float, heater_k: float) -> str:
    back = a.estimate.return_air_c.value
    heater, pump = (a.show(k, "temperature_difference") for k in (heater_k, leaving_c - back - heater_k))
    start, end = a.show(back, "temperature"), a.show(leaving_c, "temperature")
    return f"return {start} + heater {heater} + heat pump {pump} = {end}"


def _rest_on_heat(a: About, kit: Heater) -> None:
    """Rest on the volts and the return air that a predicted rise starts from."""
    rest_on_volts(a)
    a.rest_on(f"heat.stage.{len(kit.stage)}.return_air", shown=False)


def _one_tier(a: About, kit: Heater, highest_c: float) -> Finding:
    """A blower without a choice: the airflow known is the airflow there will be."""
    airflow, heater = heating_ahead(a), a.estimate.heater_power_w
    if heater is None:
        return a.not_measured("What the kit gives is not known yet.")
    _rest_on_heat(a, kit)
    fan, altitude = a.estimate.blower_heat_w, a.estimate.altitude_m
    rise = combine(lambda p, q: rise_from_airflow(p, q, fan, altitude), heater, airflow)
    pump_k = pump_rise(a.ledger, a.estimate, airflow).value

    def warm(back_c: float, heat_w: float, flow_m3s: float) -> float:
        # One airflow carries the heat of both: what makes the one rise larger makes the other larger too.
        return back_c + rise_from_airflow(heat_w, flow_m3s, fan, altitude) + pump_k * airflow.value / flow_m3s

    leaving = combine(warm, a.estimate.return_air_c, heater, airflow)
    return a.judge(
        "Leaving air predicted, all heat and the heat pump on",
        leaving,
        "temperature",
        None,
        highest_c,
        working=_rises(a, leaving.value, rise.value),
    )


def measured_stages(case: Case) -> tuple[str, ...]:
    """A measured subject for each stage."""
    return tuple(f"{s}.measured" for s in stages(case))


@check("HS-5", measured_stages)
def leaving_measured(a: About) -> Finding:
    """Leaving air of a stage, heat alone measured, the heat pump's rise computed."""
    kit = a.kit()
    a.heat_on()
    highest = _highest(a, kit)
    if "identity.outdoor" in a.ledger.fields:
        a.fact("identity.outdoor")
    a.rest_on(f"heat.stage.{a.n}.leaving_air")
    tier_settled(a)
    (leaving,) = a.numbers(f"heat.stage.{a.n}.leaving_air")
    if a.ledger.pairing is None:
        return a.judge(f"Leaving air, stages to {a.n}", leaving, "temperature", None, highest)
    airflow = a.estimate.heating_airflow_m3s
    rest_on_airflow(a, "heating airflow", HEATING_STATICS, a.estimate.heating_airflow_method)
    if airflow is None:
        a.have(*HEATING_STATICS)
        return a.not_measured("Heating airflow is not known.")
    pump = pump_rise(a.ledger, a.estimate, airflow)
    together = Measured(leaving.value + pump.value, sqrt(leaving.expanded**2 + pump.expanded**2))
    return a.judge(
        f"Leaving air, stages to {a.n} and the heat pump",
        together,
        "temperature",
        None,
        highest,
        working=f"measured {a.show(leaving.value, 'temperature')} + computed "
        f"{a.show(pump.value, 'temperature_difference')} = {a.show(together.value, 'temperature')}",
        extra=f"Of it {a.show(pump.value, 'temperature_difference')} is computed: the heat pump at lockout.",
    )


@check("HS-6")
def rise(a: About) -> Finding:
    """Rise of all heat, measured against predicted by the fan table, and inside the unit's range."""
    kit = a.kit()
    a.heat_on()
    last = len(kit.stage)
    fields = (f"heat.stage.{last}.return_air", f"heat.stage.{last}.leaving_air")
    back, leaving, *_ = a.numbers(*fields, *HEATING_STATICS, *kit_fields(a.ledger, LOADED))
    airflow, heater, e = a.estimate.heating_by_table_m3s, a.estimate.heater_power_w, a.estimate
    rest_on_volts(a)
    if airflow is None or heater is None:
        return a.not_measured("The statics with heat on lie outside the fan table: no second method.")
    measured = Measured(leaving.value - back.value, sqrt(back.expanded**2 + leaving.expanded**2))
    fan = e.blower_heat_w
    predicted = combine(lambda p, q: rise_from_airflow(p, q, fan, e.altitude_m), heater, airflow)
    apart = Measured(measured.value - predicted.value, sqrt(measured.expanded**2 + predicted.expanded**2))
    working = (
        f"measured {a.measured(measured, 'temperature_difference')}; "
        f"({heater.value:.0f} + {fan:.0f}) W in {a.show(airflow.value, 'airflow')}: predicted "
        f"{a.measured(predicted, 'temperature_difference')}"
    )
    a.rest_on("identity.altitude", shown=False)
    limits, near = a.ledger.equipment.limits, None
    if limits.lowest_rise is not None or limits.highest_rise is not None:
        ranged = a.hold_against(
            "Rise of all heat", measured, "temperature_difference", limits.lowest_rise, limits.highest_rise
        )
        if ranged.verdict in ("fail", "conditional fail"):
            return a.say(ranged, working=working, do="Look for lost airflow, or a kit other than its label.")
        near = ranged if ranged.verdict == "conditional pass" and not a.unknown else None
    agree = abs(apart.value) <= apart.expanded
    against = a.hold_against(
        "Measured less predicted rise",
        Measured(apart.value, 0.0),
        "temperature_difference",
        -apart.expanded,
        apart.expanded,
    )
    text = (
        f"Rise {a.measured(measured, 'temperature_difference')}, predicted "
        f"{a.measured(predicted, 'temperature_difference')}: they "
        f"{'agree within' if agree else 'differ by more than'} their combined uncertainty."
    )
    if agree and near is not None:
        return a.say(near, extra=text, working=working)
    if agree:
        return a.passed(text, against=against, working=working)
    return a.failed(text, against=against, working=working)
