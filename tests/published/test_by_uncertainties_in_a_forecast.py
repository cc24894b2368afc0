"""The `uncertainties` library as live oracle for what a forecast derives from readings, at every unit.

Both statics carry the gain of one manometer, all tables of a unit the error of one maker, as one number each;
the library keeps track of what shares them. It differentiates operating points found by scipy's brentq.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pytest
import uncertainties
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq
from uncertainties import ufloat

from asleft.calc import Measured
from asleft.equipment.library import find, units
from asleft.equipment.model import Tier, Use
from asleft.installation.estimate import BY_RISE, BY_TABLE, Estimate, estimate
from asleft.installation.forecast import forecast, pump_rise
from asleft.installation.outlook import Forecast
from checks.visits import judged
from installation.units import INCH, Job

pytestmark = pytest.mark.independent_library

EQUIPMENT = {known.id: find(known.id).equipment for known in units()}
BTU_H, CFM = 1055.05585262 / 3600, 0.3048**3 / 60
CARRIED = 1.08 * BTU_H / CFM * 1.8
"""W for each m3/s of standard air and K."""


@dataclass(frozen=True)
class State:
    """Where a random visit stands: `depth` is how far into the cooling table of the tier in force."""

    unit: str
    table_accuracy: float
    kit: int
    depth: float
    share: float
    altitude_m: float
    volts: float
    back_c: float
    rise_k: float


STATES = st.builds(
    State,
    unit=st.sampled_from([id for id, equipment in EQUIPMENT.items() if equipment.heater]),
    table_accuracy=st.floats(0.02, 0.08),
    kit=st.integers(0, 2),
    depth=st.floats(0.05, 0.95),
    share=st.floats(0.2, 0.8),
    altitude_m=st.floats(0, 2500),
    volts=st.floats(0.94, 1.04),
    back_c=st.floats(17, 23),
    rise_k=st.floats(-0.2, 0.2),
)
few = settings(
    max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much]
)


class Visit:
    """A visit told, and the library's numbers for what was read in it."""

    def __init__(self, state: State, *, one_tier: bool = False) -> None:
        whole = EQUIPMENT[state.unit]
        tiers = whole.blower.tier[-1:] if one_tier else whole.blower.tier
        blower = whole.blower.model_copy(update={"table_accuracy": state.table_accuracy, "tier": tiers})
        topics = tuple(t for t in whole.topic if not (one_tier and t.role == "blower-tier"))
        self.state, self.equipment = state, whole.model_copy(update={"blower": blower, "topic": topics})
        orientation = self.equipment.unit.orientations[0] if self.equipment.unit.orientations else None
        kits = [k for k in self.equipment.heater if not k.orientations or orientation in k.orientations]
        self.kit = kits[state.kit % len(kits)]
        supply = next(s for s in self.equipment.supply if not self.kit.supplies or s.id in self.kit.supplies)
        self.job = Job(self.equipment)
        for field, value in {
            "identity.supply": supply.id,
            "identity.kit": self.kit.id,
            "identity.orientation": orientation,
            "identity.outdoor": self.equipment.heat_pump.pairing[0].id if self.equipment.heat_pump else None,
            "identity.altitude": state.altitude_m,
        }.items():
            if value is not None and field in self.job.ledger.fields:
                self.job.enter(field, value)
        self.job.found_all()
        self.ratio = (1 - 2.25577e-5 * state.altitude_m) ** 5.2559
        self.maker, self.gain = ufloat(1, state.table_accuracy / 2), ufloat(0, 1)
        known = estimate(self.job.ledger)
        tier = self.equipment.tier(known.tier)
        assert tier is not None
        self.tier = tier
        lowest, highest = self.statics(tier, "cooling")
        total = lowest + state.depth * (highest - lowest)
        assume(total > 20.0)
        self.supply, self.back = (
            self.side("blower", side, pa)
            for side, pa in (("supply", total * state.share), ("return", total * (1 - state.share)))
        )
        volts = state.volts * supply.nominal
        for field in self.job.ledger.fields:
            if field.startswith("electrical.loaded."):
                self.job.read(field, volts)
        self.back_air = self.air("return_air", state.back_c)

    def side(self, pane: str, side: str, pa: float) -> ufloat:
        """One static, read and as the library's number: every limit by the one gain."""
        self.job.read(f"{pane}.static.{side}", pa if side == "supply" else -pa)
        return pa + self.gain * ((0.01 * pa + 0.002 * INCH) / 3**0.5)

    def air(self, what: str, celsius: float) -> ufloat:
        """One temperature, read and as the library's number."""
        self.job.read(f"heat.stage.{len(self.kit.stage)}.{what}", celsius)
        return ufloat(celsius, 0.5 / 3**0.5)

    def rows(self, tier: Tier, use: Use) -> tuple[list[float], list[float]]:
        """A table as the taps see it here: statics and actual airflows."""
        blower = self.equipment.blower
        drop = 0.0 if "kit" in blower.includes else self.kit.pressure_drop or 0.0
        thin = self.ratio if blower.basis == "standard" else 1.0
        swell = 1 / thin if blower.holds == "mass flow" else 1.0
        rows = [r for r in tier.at(use).rows if r.airflow_m3s is not None]
        return [r.static_pa * thin - drop for r in rows], [r.airflow_m3s * swell for r in rows]

    def statics(self, tier: Tier, use: Use) -> tuple[float, float]:
        """The ends of a table."""
        statics, _ = self.rows(tier, use)
        return statics[0], statics[-1]

    def away_from_rows(self, tier: Tier, use: Use, pa: float) -> None:
        """In a row itself a table has two slopes."""
        assume(min(abs(pa - row) for row in self.rows(tier, use)[0]) > 1e-3)

    def measured(self) -> ufloat:
        """Airflow read off the table of the tier in force."""
        statics, flows = self.rows(self.tier, "cooling")
        total = self.supply + self.back
        self.away_from_rows(self.tier, "cooling", total.nominal_value)
        return uncertainties.wrap(lambda p: float(np.interp(p, statics, flows)))(total) * self.maker

    def met(self, tier: Tier, use: Use, k: ufloat) -> ufloat | None:
        """Airflow where a tier meets ducts of this coefficient; None where it does not."""
        statics, flows = self.rows(tier, use)

        def root(coefficient: float, factor: float) -> float:
            def gap(flow: float) -> float:
                return factor * float(np.interp(coefficient * flow**2, statics, flows)) - flow

            return float(brentq(gap, 0.5 * flows[-1], 2 * flows[0], xtol=1e-15, rtol=1e-14))

        flow = root(k.nominal_value, 1.0)
        met_pa = k.nominal_value * flow**2
        self.away_from_rows(tier, use, met_pa)
        if not statics[0] < met_pa < statics[-1]:
            return None
        return uncertainties.wrap(root)(k, self.maker)

    def known(self) -> tuple[Estimate, Forecast]:
        """What is estimated and forecast from all that was read."""
        known = estimate(self.job.ledger)
        return known, forecast(self.job.ledger, known)


def agrees(found: Any, expected: ufloat) -> None:
    """Value and U alike."""
    assert found.value == pytest.approx(expected.nominal_value, rel=1e-7)
    assert found.expanded == pytest.approx(2 * expected.std_dev, rel=1e-4, abs=1e-9)


def number(measured: Measured | None) -> ufloat:
    """A value with its U as the library's number."""
    assert measured is not None
    return ufloat(measured.value, measured.expanded / 2)


def tiers_agree(visit: Visit, found: Forecast, k: ufloat) -> None:
    """Airflow and static of every tier, cooling and heating."""
    topic = found.role("blower-tier")
    for outlook in topic.outlooks if topic else ():
        option = visit.job.ledger.option(visit.equipment.role("blower-tier"), outlook.option)
        tier = visit.equipment.tier(str(option.value))
        assert tier is not None
        cooling, heating = visit.met(tier, "cooling", k), visit.met(tier, "heating", k)
        assert (cooling is None) == ("airflow" not in outlook.figures)
        assert (heating is None) == ("heating_airflow" not in outlook.figures)
        if cooling is not None:
            agrees(outlook.figures["airflow"], cooling)
            agrees(outlook.figures["static"], k * cooling**2)
        if heating is not None:
            agrees(outlook.figures["heating_airflow"], heating)


@few
@given(STATES)
def test_airflow_of_every_tier_by_ducts_known_from_the_table(state):
    """The statics' one gain and the maker's one error reach every tier; at the tier in force as measured."""
    visit = Visit(state)
    airflow = visit.measured()
    known, found = visit.known()
    assert known.airflow_method == BY_TABLE
    agrees(known.airflow_m3s, airflow)
    tiers_agree(visit, found, (visit.supply + visit.back) / airflow**2)


@few
@given(STATES)
def test_airflow_of_every_tier_by_ducts_known_from_the_rise(state):
    """Statics of both speeds by one manometer, an airflow that owes the table nothing."""
    visit = Visit(replace(state, table_accuracy=0.5))
    known, _ = visit.known()
    statics, flows = visit.rows(visit.tier, "heating")
    k = (visit.supply + visit.back).nominal_value / visit.measured().nominal_value ** 2
    flow = float(brentq(lambda q: np.interp(k * q**2, statics, flows) - q, 0.5 * flows[-1], 2 * flows[0]))
    heat_pa = k * flow**2
    sides = [
        visit.side("heat", side, heat_pa * part)
        for side, part in (("supply", state.share), ("return", 1 - state.share))
    ]
    rise = (known.heater_power_w.value + known.blower_heat_w) / (CARRIED * flow * visit.ratio)
    visit.air("leaving_air", state.back_c + rise * (1 + 0.2 * state.rise_k))
    known, found = visit.known()
    assert known.airflow_method == BY_RISE
    by_rise = number(known.airflow_by_rise_m3s)
    one = visit.tier.at("heating") is visit.tier.at("cooling")
    static = visit.supply + visit.back if one else sides[0] + sides[1]
    agrees(known.duct_coefficient, static / by_rise**2)
    tiers_agree(visit, found, static / by_rise**2)


@few
@given(STATES)
def test_leaving_air_of_every_stage(state):
    """Return air, the kit's heat by its volts, and one airflow that carries the kit's and the heat pump's."""
    visit = Visit(state)
    known, found = visit.known()
    topic = found.role("auxiliary-heat")
    total = visit.supply + visit.back
    heating = visit.met(visit.tier, "heating", total / visit.measured() ** 2)
    assume(topic is not None and heating is not None)
    option = {o.id: o for o in visit.job.ledger.options(visit.equipment.role("auxiliary-heat"))}
    heat, carried = number(known.heater_power_w), CARRIED * heating * visit.ratio
    pump = pump_rise(visit.job.ledger, known, Measured(heating.nominal_value, 0.0)).value
    pumped = pump * heating.nominal_value / heating
    fan = known.fan_power_w or 0.0
    for outlook in topic.outlooks:
        share = (
            sum(s.power for s in visit.kit.stage if s.id in option[outlook.option].value) / visit.kit.power
        )
        rise = (heat * share + fan) / carried if share else 0 * carried
        agrees(outlook.figures["heat"], heat * share)
        agrees(outlook.figures["rise"], rise)
        agrees(outlook.figures["leaving_air"], visit.back_air + rise + pumped)
    pump_unit, defrost = visit.equipment.heat_pump, found.role("heat-in-defrost")
    if pump_unit is None or pump_unit.defrost_heat is None or defrost is None:
        return
    for outlook in defrost.outlooks:
        choice = visit.job.ledger.option(visit.equipment.role("heat-in-defrost"), outlook.option)
        given_w = heat if choice.value else 0.0
        agrees(outlook.figures["leaving_air"], visit.back_air + (given_w - pump_unit.defrost_heat) / carried)


@few
@given(STATES)
def test_leaving_air_of_a_blower_without_a_choice(state):
    """As of every stage, in the check that foretells it."""
    visit = Visit(state, one_tier=True)
    heating = visit.met(visit.tier, "heating", (visit.supply + visit.back) / visit.measured() ** 2)
    assume(heating is not None)
    known, _ = visit.known()
    pump = pump_rise(visit.job.ledger, known, Measured(heating.nominal_value, 0.0)).value
    heat = number(known.heater_power_w) + known.blower_heat_w
    warm = visit.back_air + heat / (CARRIED * heating * visit.ratio) + pump * heating.nominal_value / heating
    finding = judged(visit.job)["HS-5 unit.predicted"]
    assert finding.value == pytest.approx(warm.nominal_value, rel=1e-7)
    assert finding.uncertainty == pytest.approx(2 * warm.std_dev, rel=1e-4)
