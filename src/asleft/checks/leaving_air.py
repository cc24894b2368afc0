"""Checks of the air that heat makes: how hot it leaves, and whether the rise is the one foretold."""

from __future__ import annotations

from math import sqrt
from typing import TYPE_CHECKING

from asleft.calc import Measured, combine, rise_from_airflow
from asleft.checks.about import About, Settled
from asleft.checks.against import Against
from asleft.checks.blower import (
    heating_ahead,
    option_ahead,
    predicting,
    rest_on_airflow,
    rest_on_volts,
    tier_settled,
)
from asleft.checks.case import Case
from asleft.checks.finding import FAILS
from asleft.checks.heat import rest_on_house
from asleft.checks.listing import check, stages
from asleft.installation.estimate import HEATING_STATICS
from asleft.installation.forecast import capacity_at, pump_rise
from asleft.installation.line_fields import LOADED, kit_fields

if TYPE_CHECKING:
    from asleft.checks.finding import Finding
    from asleft.equipment.model import Heater
    from asleft.session.readings import Known

OUTDOORS = "heat.outdoor.reference"
HEAT_PUMP_ALONE = ("heat.heat_pump.return_air", "heat.heat_pump.leaving_air")


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
    measured = _between(back, leaving)
    fan = e.blower_heat_w
    predicted = combine(lambda p, q: rise_from_airflow(p, q, fan, e.altitude_m), heater, airflow)
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
    against = _apart(a, measured, predicted)
    if against.verdict == "pass" and near is not None:
        return a.say(near, extra=_agreement(a, against, measured, predicted), working=working)
    return _told(a, against, measured, predicted, working)


def _between(back: Known, leaving: Known) -> Measured:
    """Rise from return to leaving air."""
    return Measured(leaving.value - back.value, sqrt(back.expanded**2 + leaving.expanded**2))


def _apart(a: About, measured: Measured, predicted: Measured) -> Against:
    """A rise measured less the one foretold, held against their combined U."""
    unsure = sqrt(measured.expanded**2 + predicted.expanded**2)
    apart = Measured(measured.value - predicted.value, 0.0)
    return a.hold_against("Measured less predicted rise", apart, "temperature_difference", -unsure, unsure)


def _agreement(a: About, against: Against, measured: Measured, predicted: Measured) -> str:
    agree = "differ by more than" if against.verdict in FAILS else "agree within"
    return (
        f"Rise {a.measured(measured, 'temperature_difference')}, predicted "
        f"{a.measured(predicted, 'temperature_difference')}: they {agree} their combined uncertainty."
    )


def _told(a: About, against: Against, measured: Measured, predicted: Measured, working: str) -> Finding:
    text = _agreement(a, against, measured, predicted)
    return a.finding(against.verdict, text, against=against, working=working)


@check("HS-13")
def heat_pump_heats(a: About) -> Finding:
    """The heat pump alone warms the air, by what its capacity outdoors gives this airflow."""
    a.pairing()
    rest_on_house(a)
    outdoor_c, back, leaving = a.numbers(OUTDOORS, *HEAT_PUMP_ALONE)
    measured = _between(back, leaving)
    if measured.value < -measured.expanded:
        return a.failed(
            f"Heating is called and air leaves {a.show(-measured.value, 'temperature_difference')} colder "
            "than it returns: the reversing-valve setting is wrong.",
            do="Turn the reversing-valve setting round, and take both readings again.",
            against=a.hold_against("Rise", measured, "temperature_difference", 0.0, None),
        )
    tier_settled(a)
    carried = capacity_at(a.ledger, outdoor_c.value)
    if carried is None:
        return a.not_measured("What the heat pump gives at this outdoor temperature is not known.")
    if carried <= 0.0:
        return a.not_measured(
            f"At {a.show(outdoor_c.value, 'temperature')} outside the heat pump is not to run: it can be "
            "tried above its cut-out only."
        )
    airflow, altitude_m = _heat_pump_airflow(a), a.estimate.altitude_m

    def foretold_k(outside_c: float, airflow_m3s: float) -> float:
        watts = capacity_at(a.ledger, outside_c) or 0.0
        return rise_from_airflow(watts, airflow_m3s, 0.0, altitude_m) if watts > 0.0 else 0.0

    predicted = combine(foretold_k, Measured(outdoor_c.value, outdoor_c.expanded), airflow)
    working = (
        f"{a.show(carried, 'heat_rate')} at {a.show(outdoor_c.value, 'temperature')} outside in "
        f"{a.show(airflow.value, 'airflow')}: predicted {a.measured(predicted, 'temperature_difference')}"
    )
    return _told(a, _apart(a, measured, predicted), measured, predicted, working)


def _heat_pump_airflow(a: About) -> Measured:
    """Airflow at the heating speed as measured with a kit, else as foretold for these ducts."""
    airflow = a.estimate.heating_airflow_m3s
    if airflow is None:
        return heating_ahead(a)
    rest_on_airflow(a, "heating airflow", HEATING_STATICS, a.estimate.heating_airflow_method)
    return airflow
