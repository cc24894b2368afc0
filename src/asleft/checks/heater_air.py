"""Checks of the air over the heater: enough of it now, in the smallest zone, and behind a loaded filter."""

from __future__ import annotations

from typing import TYPE_CHECKING

from asleft.calc import Measured
from asleft.checks.about import About, Settled
from asleft.checks.blower import heating_ahead, option_ahead, predicting, rest_on_airflow, tier_settled
from asleft.checks.listing import check
from asleft.installation.estimate import HEATING_STATICS, both_sides
from asleft.installation.operating import heating_at_final_drop, heating_in_zone

if TYPE_CHECKING:
    from asleft.checks.finding import Finding
    from asleft.equipment.model import Heater, Tier

ZONE_STATICS = ("blower.zone.supply", "blower.zone.return")
FILTER_NOW, FILTER_FINAL = "blower.static.filter", "blower.filter.final_drop"


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


@check("BL-16")
def smallest_zone(a: About) -> Finding:
    """Airflow with heat on while only the smallest zone is open, as standard air, against the kit's least."""
    kit = a.kit()
    if not a.fact_so("blower.zoned"):
        return a.not_applicable("No zone dampers are fitted.")
    a.heat_on()
    _least(a, kit)
    supply, back = a.numbers(*ZONE_STATICS)
    a.rest_on("identity.altitude", shown=False)
    tier_settled(a)
    total = both_sides(supply, back)
    airflow = heating_in_zone(a.ledger, a.estimate, total)
    if airflow is None:
        return a.not_measured(
            f"With only the smallest zone open the total, {a.show(total.value, 'static_pressure')}, lies "
            "outside the fan table: its airflow is not known."
        )
    return _against_least(a, kit, airflow, "Heating airflow with only the smallest zone open")


def _tier_ahead(a: About) -> Tier:
    """The tier that will run: the one chosen, else the one in force; without a choice the only one."""
    equipment = a.ledger.equipment
    topic = equipment.role("blower-tier")
    value = a.estimate.tier
    if topic is not None:
        option = a.ledger.option(topic, option_ahead(a))
        value = str(option.value) if option else None
    tier = equipment.tier(value)
    if tier is None:
        raise Settled(a.not_measured("Which tier will run is not known yet."))
    return tier


@check("BL-17")
def filter_loaded(a: About) -> Finding:
    """Heating airflow predicted with the filter at its final drop, as standard air, against the least."""
    kit = a.kit()
    _least(a, kit)
    tier = _tier_ahead(a)
    predicting(a)
    now, final = a.numbers(FILTER_NOW, FILTER_FINAL)
    if now.value >= final.value:
        return a.failed(
            f"The filter drops {a.show(now.value, 'static_pressure')} already and is to be changed at "
            f"{a.show(final.value, 'static_pressure')}.",
            do="Put in a clean filter, and take the statics again.",
        )
    airflow = heating_at_final_drop(a.ledger, a.estimate, tier, now.measured, final.measured)
    if airflow is None:
        drop = a.show(final.value, "static_pressure")
        return a.not_measured(
            f"With the filter at {drop} the ducts lie outside the fan table of tier {tier.id}."
        )
    return _against_least(
        a,
        kit,
        airflow,
        f"Heating airflow predicted with the filter at {a.show(final.value, 'static_pressure')}",
    )
