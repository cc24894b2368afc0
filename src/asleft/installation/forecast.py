"""What every option on offer would do at this unit, which one is recommended, and why."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from asleft.calc import (
    BalancePoint,
    Measured,
    balance_point,
    combine,
    delay_droop,
    heating_capacity,
    recovery_time,
    rise_from_airflow,
)
from asleft.installation.estimate import Estimate, table_of
from asleft.installation.outlook import Figure, Forecast, Judged, Outlook, TopicOutlook
from asleft.quantity import show
from asleft.session.readings import known

if TYPE_CHECKING:
    from asleft.calc import OperatingPoint
    from asleft.equipment.model import Heater, Option, Tier, Topic, Use
    from asleft.session.ledger import Ledger

DESIGN_TOLERANCE = 0.15
"""Predicted airflow against design (ACCA 5 QI, from memory)."""
NEAR_NEAREST = 0.05
"""Tiers this near the nearest compete by fan power, as a fraction of the nearest one's airflow."""
DROOP_LIMIT_K = 2.0 / 1.8
"""How far the room may fall where the owner has not said, 2 degF (common practice)."""
SHORT_DELAY_S = 3600.0
SHORT_CAPACITY = 0.25
"""Up to an hour, air and surfaces answer first: a quarter of the tabled capacity (two-node model)."""
FROST_FACTOR = 0.90
"""Capacity at 35 degF against the 47-17 line where the maker is silent (simulation code, from memory)."""
LOST_COMMUNICATION_SHARE = 0.85
"""Share of design load a kit must cover to stand alone (ACCA Manual S, from memory)."""
F35_C = (35.0 - 32.0) / 1.8
RECOVERY_K = 4.0 / 1.8
"""A morning set-back of 4 degF, for comparing the energy of delays (common practice)."""


def forecast(ledger: Ledger, estimate: Estimate) -> Forecast:
    """The outlook of every topic, in file order; those that others rest on are reckoned first."""
    reckoning = _Reckoning(ledger, estimate)
    return Forecast({topic.id: reckoning.topic(topic) for topic in ledger.equipment.topic})


def shortfall_w(ledger: Ledger, estimate: Estimate) -> float | None:
    """Load at the design temperature that the heat pump does not carry, W; None where it cannot be said."""
    return _Reckoning(ledger, estimate).shortfall()


def pump_rise(ledger: Ledger, estimate: Estimate, heating: Measured) -> Measured:
    """Rise that the heat pump adds to a heating airflow at the lockout temperature decided, K."""
    return _Reckoning(ledger, estimate).pump_rise(heating)


@dataclass(frozen=True, slots=True)
class Predicted:
    """A tier's operating points against the estimated ducts."""

    tier: Tier
    cooling: Measured | None
    static_pa: Measured | None
    power_w: float | None
    heating: Measured | None


class _Reckoning:
    """One forecast; parts that several topics need are reckoned once."""

    def __init__(self, ledger: Ledger, estimate: Estimate) -> None:
        self.ledger, self.estimate = ledger, estimate
        self.equipment = ledger.equipment
        self.done: dict[str, TopicOutlook] = {}
        self.tiers: dict[str, Predicted] = {}
        design = known(ledger, "blower.design_airflow")
        self.design = design.value if design else None

    def topic(self, topic: Topic) -> TopicOutlook:
        """One topic's outlook, reckoned once."""
        if topic.id not in self.done:
            reckon: Mapping[str, Callable[[Topic], TopicOutlook]] = {
                "blower-tier": self.blower_tier,
                "auxiliary-heat": self.auxiliary_heat,
                "outdoor-lockout": self.outdoor_lockout,
                "auxiliary-delay": self.auxiliary_delay,
                "heat-in-defrost": self.heat_in_defrost,
                "heat-on-lost-communication": self.lost_communication,
                "blower-run-on": self.blower_run_on,
            }
            self.done[topic.id] = reckon.get(topic.role, self.as_found)(topic)
        return self.done[topic.id]

    # ---- shared parts

    def role(self, role: str) -> TopicOutlook | None:
        topic = self.equipment.role(role)
        return self.topic(topic) if topic else None

    def decided(self, role: str) -> Option | None:
        """The option taken for a role, else the one recommended."""
        topic = self.equipment.role(role)
        if topic is None:
            return None
        chosen = self.ledger.chosen(topic)
        if chosen is not None:
            return chosen
        recommended = self.topic(topic).recommended
        return self.ledger.option(topic, recommended) if recommended else None

    def coefficient(self) -> Measured | None:
        """Both sides' coefficients together; one manometer read both, one airflow divides both."""
        total, airflow = self.estimate.total_static_pa, self.estimate.airflow_m3s
        if total is None or airflow is None or airflow.value <= 0.0:
            return None
        return combine(lambda p, q: p / q**2, total, airflow)

    def predicted(self, tier: Tier) -> Predicted:
        """Where a tier would run against these ducts."""
        if tier.id not in self.tiers:
            self.tiers[tier.id] = self._predict(tier)
        return self.tiers[tier.id]

    def _predict(self, tier: Tier) -> Predicted:
        k = self.coefficient()
        if k is None:
            return Predicted(tier, None, None, None, None)
        cooling, point = self._operating(tier, "cooling", k)
        heating, _ = self._operating(tier, "heating", k)
        static = Measured(point.static_pa, _static_expanded(point, cooling, k)) if point and cooling else None
        table = table_of(self.ledger, tier, "cooling", self.estimate.pressure_ratio)
        power = table.power_at(point.static_pa) if point else None
        return Predicted(tier, cooling, static, power, heating)

    def _operating(self, tier: Tier, use: Use, k: Measured) -> tuple[Measured | None, OperatingPoint | None]:
        table = table_of(self.ledger, tier, use, self.estimate.pressure_ratio)
        point = table.meets(k.value)
        if point is None:
            return None, None
        low, high = table.meets(max(k.value - k.expanded, 1e-9)), table.meets(k.value + k.expanded)
        ends = [p.airflow_m3s for p in (low, high) if p is not None]
        swing = max((abs(q - point.airflow_m3s) for q in ends), default=0.0)
        own = self.estimate.table_accuracy * point.airflow_m3s
        return Measured(point.airflow_m3s, (swing**2 + own**2) ** 0.5), point

    def house(self) -> tuple[BalancePoint, Callable[[float], float]] | None:
        """Balance point and capacity line, with the frost allowance where the maker is silent."""
        pairing, e = self.ledger.pairing, self.estimate
        if pairing is None or e.design_load_w is None or e.design_temperature_c is None:
            return None
        at_35 = pairing.capacity_35
        if at_35 is None:
            line = heating_capacity(pairing.capacity_47, pairing.capacity_17)
            at_35 = FROST_FACTOR * line(F35_C)
        if e.zero_load_c <= e.design_temperature_c:
            return None
        point = balance_point(
            pairing.capacity_47,
            pairing.capacity_17,
            e.design_load_w,
            e.design_temperature_c,
            e.zero_load_c,
            at_35,
        )
        return point, heating_capacity(pairing.capacity_47, pairing.capacity_17, at_35)

    def capacity_at(self, outdoor_c: float) -> float | None:
        """Heat-pump capacity; nothing below its cut-out."""
        house, pump = self.house(), self.equipment.heat_pump
        if house is None or pump is None:
            return None
        if pump.cut_out is not None and outdoor_c < pump.cut_out:
            return 0.0
        return max(0.0, house[1](outdoor_c))

    def shortfall(self) -> float | None:
        """Load at design that the heat pump does not carry; all of it without a heat pump."""
        e = self.estimate
        if e.design_load_w is None or e.design_temperature_c is None:
            return None
        if self.ledger.pairing is None:
            return (
                e.design_load_w
                if self.ledger.situation.outdoor == "none" or not self.equipment.heat_pump
                else None
            )
        capacity = self.capacity_at(e.design_temperature_c)
        return None if capacity is None else max(0.0, e.design_load_w - capacity)

    def leaving(self, heating: Measured | None, share: float) -> tuple[Figure, Figure] | None:
        """Rise of a share of the kit, and leaving air with the heat pump on at the lockout temperature."""
        heater, e = self.estimate.heater_power_w, self.estimate
        if heating is None:
            return None
        rise = Measured(0.0, 0.0)
        if heater is not None and share > 0.0:
            rise = combine(
                lambda p, q: rise_from_airflow(p * share, q, e.fan_power_w or 0.0, e.altitude_m),
                heater,
                heating,
            )
        pump = self.pump_rise(heating)
        leaving = Measured(
            e.return_air_c.value + rise.value + pump.value,
            (e.return_air_c.expanded**2 + (rise.expanded + pump.expanded) ** 2) ** 0.5,
        )
        return Figure("temperature_difference", *rise), Figure("temperature", *leaving)

    def pump_rise(self, heating: Measured) -> Measured:
        """Rise that the heat pump adds at the lockout temperature decided, else at 47 degF."""
        pairing = self.ledger.pairing
        if pairing is None:
            return Measured(0.0, 0.0)
        lockout = self.decided("outdoor-lockout")
        capacity = self.capacity_at(float(lockout.value)) if lockout else None
        watts = pairing.capacity_47 if capacity is None else capacity
        altitude = self.estimate.altitude_m
        if watts <= 0.0:
            return Measured(0.0, 0.0)
        return combine(lambda q: rise_from_airflow(watts, q, 0.0, altitude), heating)

    def outlooks(self, topic: Topic, make: Callable[[Option], Outlook]) -> tuple[Outlook, ...]:
        return tuple(make(option) for option in self.ledger.options(topic))

    def finish(
        self,
        topic: Topic,
        outlooks: tuple[Outlook, ...],
        pick: str | None,
        why: str,
        missing: tuple[str, ...] = (),
    ) -> TopicOutlook:
        marked = tuple(replace(o, recommended=o.option == pick) for o in outlooks)
        return TopicOutlook(topic.id, topic.role, marked, pick, why, missing)

    def missing(self, *fields: str) -> tuple[str, ...]:
        """Which of these fields still have to be entered; those that do not apply are not asked for."""
        return tuple(f for f in fields if f in self.ledger.fields and self.ledger.current(f) is None)

    def writes(self, option: Option) -> int:
        """How many settings would have to be written for an option."""
        return sum(
            self.ledger.shown(id, address) != value
            for id, value in option.set.items()
            if (setting := self.equipment.setting_of(id)) is not None
            for address in setting.address
        )

    # ---- topics

    def blower_tier(self, topic: Topic) -> TopicOutlook:
        """Of the tiers that pass as predicted, the nearest to design; near ones compete by fan power."""
        missing = self.missing(
            "identity.orientation",
            "identity.kit",
            "blower.design_airflow",
            "blower.static.supply",
            "blower.static.return",
        )
        outlooks = self.outlooks(topic, self.tier_outlook)
        if missing or self.design is None:
            return self.finish(topic, outlooks, None, "", missing)
        design = self.design
        usable = [
            o
            for o in outlooks
            if "airflow" in o.figures and all(j.passes for j in o.judged if j.check in _TIER)
        ]
        if not usable:
            why = "No tier passes: look at the ducts, the filter and the design airflow before choosing."
            nearest = min(
                (o for o in outlooks if "airflow" in o.figures),
                key=lambda o: abs(o.figures["airflow"].value - design),
                default=None,
            )
            return self.finish(topic, outlooks, nearest.option if nearest else None, why)
        by_distance = sorted(usable, key=lambda o: abs(o.figures["airflow"].value - design))
        nearest = by_distance[0]
        moved = nearest.figures["airflow"].value
        close = [o for o in by_distance if abs(o.figures["airflow"].value - moved) <= NEAR_NEAREST * moved]
        best = min(close, key=lambda o: (_power(o), self.tier_writes(topic, o), outlooks.index(o)))
        airflow = show(best.figures["airflow"].value, "airflow")
        why = f"{best.label} would move {airflow} against {show(design, 'airflow')} asked"
        runner = next((o for o in by_distance if o is not best), None)
        if runner is not None:
            why += f"; next best {runner.label}, {show(runner.figures['airflow'].value, 'airflow')}"
        if best is not nearest:
            why += ", but for less fan power"
        return self.finish(topic, outlooks, best.option, why + ".")

    def tier_writes(self, topic: Topic, outlook: Outlook) -> int:
        option = self.ledger.option(topic, outlook.option)
        return self.writes(option) if option else 0

    def tier_outlook(self, option: Option) -> Outlook:
        tier = self.equipment.tier(str(option.value))
        topic = self.equipment.role("blower-tier")
        assert topic is not None
        if tier is None:
            return Outlook(topic.id, option.id, option.label)
        p = self.predicted(tier)
        figures: dict[str, Figure] = {}
        if p.cooling and p.static_pa:
            figures["airflow"] = Figure("airflow", *p.cooling)
            figures["static"] = Figure("static_pressure", *p.static_pa)
        if p.power_w is not None:
            figures["power"] = Figure("electric_power", p.power_w)
        if p.heating:
            figures["heating_airflow"] = Figure("airflow", *p.heating)
        if (heat := self.leaving(p.heating, 1.0)) is not None and self.ledger.kit is not None:
            figures["rise"], figures["leaving_air"] = heat
        return Outlook(topic.id, option.id, option.label, figures, self.tier_judged(tier, figures))

    def tier_judged(self, tier: Tier, figures: Mapping[str, Figure]) -> tuple[Judged, ...]:
        blower, limits, kit = self.equipment.blower, self.equipment.limits, self.ledger.kit
        judged: list[Judged] = []
        if "airflow" in figures:
            airflow = figures["airflow"]
            if blower.lowest_airflow or blower.highest_airflow:
                judged.append(Judged.of("BL-1", airflow, blower.lowest_airflow, blower.highest_airflow))
            if self.design is not None:
                low, high = self.design * (1 - DESIGN_TOLERANCE), self.design * (1 + DESIGN_TOLERANCE)
                judged.append(Judged.of("BL-7", airflow, low, high))
            tops = [s for s in (tier.highest_static, blower.highest_static) if s is not None]
            if tops:
                judged.append(Judged.of("BL-5", figures["static"], None, min(tops)))
        if kit is not None and "heating_airflow" in figures:
            judged += self.heat_judged(
                kit, figures["heating_airflow"], figures.get("leaving_air"), limits.leaving_air
            )
        return tuple(judged)

    def heat_judged(
        self, kit: Heater, heating: Figure, leaving: Figure | None, highest_c: float | None
    ) -> list[Judged]:
        judged: list[Judged] = []
        least = kit.least(self.ledger.situation.orientation)
        if least is not None:
            ratio = self.estimate.pressure_ratio
            standard = Figure("airflow", heating.value * ratio, heating.expanded * ratio)
            judged.append(Judged.of("BL-11", standard, least, None))
        if leaving is not None and highest_c is not None:
            judged.append(Judged.of("HS-5", leaving, None, highest_c))
        return judged

    def auxiliary_heat(self, topic: Topic) -> TopicOutlook:
        """Every stage of the kit fitted, else off."""
        kit = self.ledger.kit
        missing = self.missing("identity.kit", "identity.supply", "identity.orientation")
        heating = self.decided_heating()

        def make(option: Option) -> Outlook:
            watts = sum(s.power for s in (kit.stage if kit else ()) if s.id in option.value)
            share = watts / kit.power if kit else 0.0
            figures: dict[str, Figure] = {}
            heater = self.estimate.heater_power_w
            if heater is not None:
                figures["heat"] = Figure("electric_power", heater.value * share, heater.expanded * share)
            if (heat := self.leaving(heating, share)) is not None:
                figures["rise"], figures["leaving_air"] = heat
            judged: list[Judged] = []
            if kit is not None and option.value and heating is not None:
                flow = Figure("airflow", *heating)
                judged = self.heat_judged(
                    kit, flow, figures.get("leaving_air"), self.equipment.limits.leaving_air
                )
            return Outlook(topic.id, option.id, option.label, figures, tuple(judged))

        outlooks = self.outlooks(topic, make)
        if missing:
            return self.finish(topic, outlooks, None, "", missing)
        options = self.ledger.options(topic)
        wanted = tuple(s.id for s in kit.stage) if kit else ()
        pick = next((o for o in options if set(o.value) == set(wanted)), None)
        if pick is None:
            return self.finish(topic, outlooks, None, f"No option enables the stages {', '.join(wanted)}.")
        why = f"{kit.label} is fitted: every stage of it." if kit else "No kit is fitted: off."
        return self.finish(topic, outlooks, pick.id, why)

    def decided_heating(self) -> Measured | None:
        """Heating airflow predicted for the tier decided; measured where that tier is in force."""
        option = self.decided("blower-tier")
        tier = self.equipment.tier(str(option.value)) if option else self.equipment.tier(self.estimate.tier)
        if tier is None:
            return None
        if tier.id == self.estimate.tier and self.estimate.heating_airflow_m3s is not None:
            return self.estimate.heating_airflow_m3s
        return self.predicted(tier).heating

    def outdoor_lockout(self, topic: Topic) -> TopicOutlook:
        """The lowest value offered at or above the balance point, else the highest."""
        missing = self.missing("identity.outdoor", "heat.design_load", "heat.design_temperature")
        ordered = sorted(self.ledger.options(topic), key=lambda o: float(o.value))
        house = self.house()
        point = house[0].temperature_c if house else None
        if point is not None:
            # Binary rounding must not lift a balance point above the very value offered for it.
            on_offer = (float(o.value) for o in ordered)
            point = next((v for v in on_offer if math.isclose(v, point, abs_tol=1e-9)), point)

        def make(option: Option) -> Outlook:
            figures = {"lockout": Figure("temperature", float(option.value))}
            if point is not None:
                figures["balance_point"] = Figure("temperature", point)
                figures["above_balance"] = Figure("temperature_difference", float(option.value) - point)
            return Outlook(topic.id, option.id, option.label, figures)

        outlooks = self.outlooks(topic, make)
        if missing:
            return self.finish(topic, outlooks, None, "", missing)
        if point is None:
            pick = ordered[-1]
            return self.finish(
                topic, outlooks, pick.id, "Without a balance point auxiliary heat is not locked out."
            )
        pick = next((o for o in ordered if float(o.value) >= point), ordered[-1])
        why = f"The heat pump carries the house alone down to {show(point, 'temperature')}."
        return self.finish(topic, outlooks, pick.id, why)

    def auxiliary_delay(self, topic: Topic) -> TopicOutlook:
        """The longest offered that keeps the room inside the owner's limit, else the shortest."""
        missing = self.missing(
            "identity.outdoor",
            "heat.design_load",
            "heat.design_temperature",
            "delay.floor_area",
            "delay.construction",
        )
        limit = known(self.ledger, "delay.droop_limit")
        limit_k = limit.value if limit else DROOP_LIMIT_K
        pump = self.equipment.heat_pump

        def make(option: Option) -> Outlook:
            figures = {"delay": Figure("time", float(option.value))}
            judged: list[Judged] = []
            if (droop := self.droop(float(option.value))) is not None:
                figures["droop"], figures["best_case"] = droop
                judged.append(Judged.of("TD-2", droop[0], None, limit_k))
            if (energy := self.recovery_energy(float(option.value))) is not None:
                figures["energy"] = Figure("energy", energy)
            if pump is not None and pump.least_off_time is not None:
                judged.append(Judged.of("TD-4", figures["delay"], pump.least_off_time, None))
            return Outlook(topic.id, option.id, option.label, figures, tuple(judged))

        outlooks = self.outlooks(topic, make)
        if missing:
            return self.finish(topic, outlooks, None, "", missing)
        ordered = sorted(self.ledger.options(topic), key=lambda o: -float(o.value))
        by_id = {o.option: o for o in outlooks}
        passing = [o for o in ordered if all(j.passes for j in by_id[o.id].judged)]
        if not passing:
            return self.finish(
                topic, outlooks, ordered[-1].id, "None keeps the room inside the limit: the shortest."
            )
        pick = passing[0]
        droop_figure = by_id[pick.id].figures.get("droop")
        if droop_figure is None:
            return self.finish(topic, outlooks, pick.id, "The room does not depend on it here: the longest.")
        fall = show(droop_figure.value, "temperature_difference")
        limit_shown = show(limit_k, "temperature_difference")
        why = f"The longest that keeps the room within {limit_shown}: it falls {fall}."
        return self.finish(topic, outlooks, pick.id, why)

    def droop(self, delay_s: float) -> tuple[Figure, Figure] | None:
        """Fall of the room at design while heat is held back, and the best case with the whole capacity."""
        e, short = self.estimate, self.shortfall()
        if short is None or not e.heat_loss_coefficient_wk or not e.thermal_capacity_jk:
            return None
        ua, whole = e.heat_loss_coefficient_wk, e.thermal_capacity_jk
        best = delay_droop(short, ua, whole, delay_s).droop_k
        quick = delay_droop(short, ua, whole * SHORT_CAPACITY, min(delay_s, SHORT_DELAY_S)).droop_k
        # A longer delay never leaves the room warmer: the first hour stands at least.
        fall = max(best, quick)
        return Figure("temperature_difference", fall), Figure("temperature_difference", best)

    def recovery_energy(self, delay_s: float) -> float | None:
        """Auxiliary energy of a morning recovery at the lockout temperature, J; None where it is not known.

        That is the mildest weather in which auxiliary heat may run: the heat pump alone brings back what it
        can during the delay, then the kit helps.
        """
        e, heater, lockout = self.estimate, self.estimate.heater_power_w, self.decided("outdoor-lockout")
        ua, capacity = e.heat_loss_coefficient_wk, e.thermal_capacity_jk
        if heater is None or lockout is None or not ua or not capacity:
            return None
        outdoor_c = float(lockout.value)
        carried = self.capacity_at(outdoor_c)
        if carried is None:
            return None
        spare = carried - ua * (e.zero_load_c - outdoor_c)
        fallen = (RECOVERY_K + spare / ua) * math.exp(-delay_s * ua / capacity) - spare / ua
        if fallen <= 0.0:
            return 0.0
        surplus = heater.value + spare + ua * fallen
        time = recovery_time(surplus, ua, capacity, fallen) if surplus > 0.0 else None
        return None if time is None else heater.value * time

    def heat_in_defrost(self, topic: Topic) -> TopicOutlook:
        """On with a kit."""
        missing = self.missing("identity.kit")
        pump, e = self.equipment.heat_pump, self.estimate

        def make(option: Option) -> Outlook:
            figures: dict[str, Figure] = {}
            heating = self.decided_heating()
            if pump is not None and pump.defrost_heat is not None and heating is not None:
                drawn = pump.defrost_heat - (
                    e.heater_power_w.value if option.value and e.heater_power_w else 0.0
                )
                change = rise_from_airflow(abs(drawn), heating.value, 0.0, e.altitude_m) if drawn else 0.0
                felt = e.return_air_c.value - (change if drawn > 0 else -change)
                figures["leaving_air"] = Figure("temperature", felt)
            return Outlook(topic.id, option.id, option.label, figures)

        outlooks = self.outlooks(topic, make)
        if missing:
            return self.finish(topic, outlooks, None, "", missing)
        want = self.ledger.kit is not None
        return self.yes_or_no(
            topic,
            outlooks,
            want,
            "A kit is fitted: rooms stay warm in defrost." if want else "No kit is fitted: off.",
        )

    def yes_or_no(self, topic: Topic, outlooks: tuple[Outlook, ...], want: bool, why: str) -> TopicOutlook:
        pick = next((o for o in self.ledger.options(topic) if bool(o.value) == want), None)
        return self.finish(topic, outlooks, pick.id if pick else None, why)

    def lost_communication(self, topic: Topic) -> TopicOutlook:
        """On if the kit alone carries the house and airflow and leaving air would pass, else off."""
        missing = self.missing(
            "identity.kit",
            "heat.design_load",
            "blower.design_airflow",
            *(() if self.decided("blower-tier") else ("blower.static.supply", "blower.static.return")),
        )
        judged: tuple[Judged, ...] = ()
        heater, load = self.estimate.heater_power_w, self.estimate.design_load_w
        if heater is not None and load:
            share = Figure("ratio", heater.value / load, heater.expanded / load)
            judged = (Judged.of("HS-4", share, LOST_COMMUNICATION_SHARE, None),)

        def make(option: Option) -> Outlook:
            return Outlook(topic.id, option.id, option.label, {}, judged if option.value else ())

        outlooks = self.outlooks(topic, make)
        if missing:
            return self.finish(topic, outlooks, None, "", missing)
        if self.ledger.kit is None:
            return self.yes_or_no(topic, outlooks, False, "No kit is fitted: off.")
        covers = bool(judged) and judged[0].passes
        tier = self.decided("blower-tier")
        tiers = self.role("blower-tier")
        outlook = tiers.of(tier.id) if tier and tiers else None
        proved = outlook is not None and all(
            (j := outlook.judgement(check)) is not None and j.passes for check in ("HS-5", "BL-7")
        )
        part = f"{judged[0].figure.value:.0%}" if judged else "an unknown part"
        if covers and proved:
            return self.yes_or_no(topic, outlooks, True, f"The kit alone covers {part} of the design load.")
        reason = (
            "airflow or leaving air would not pass"
            if covers
            else f"the kit alone covers {part}, less than 85 %"
        )
        return self.yes_or_no(topic, outlooks, False, f"Off: {reason}.")

    def blower_run_on(self, topic: Topic) -> TopicOutlook:
        """The shortest that is at least the unit's least."""
        least = self.equipment.blower.least_run_on

        def make(option: Option) -> Outlook:
            figure = Figure("time", float(option.value))
            judged = (Judged.of("TD-5", figure, least, None),) if least is not None else ()
            return Outlook(topic.id, option.id, option.label, {"run_on": figure}, judged)

        outlooks = self.outlooks(topic, make)
        if least is None:
            return self.as_found(topic)
        ordered = sorted(self.ledger.options(topic), key=lambda o: float(o.value))
        pick = next((o for o in ordered if float(o.value) >= least), ordered[-1])
        return self.finish(topic, outlooks, pick.id, f"The shortest of at least {show(least, 'time')}.")

    def as_found(self, topic: Topic) -> TopicOutlook:
        """Nothing here decides it: what was found stays, unless the owner wants another."""
        outlooks = self.outlooks(topic, lambda o: Outlook(topic.id, o.id, o.label))
        in_force = self.ledger.in_force(topic)
        if in_force is not None:
            return self.finish(topic, outlooks, in_force.id, "As found, unless the owner wishes otherwise.")
        settings = {id for o in self.ledger.options(topic) for id in o.set}
        seen = all(
            self.ledger.shown(s.id, a) is not None for s, a in self.equipment.places() if s.id in settings
        )
        if not seen:
            return self.finish(topic, outlooks, None, "")
        first = min(self.ledger.options(topic), key=self.writes)
        return self.finish(
            topic, outlooks, first.id, "What was found is no option on offer; this is the nearest to it."
        )


_TIER = frozenset({"BL-1", "BL-5", "BL-11", "HS-5"})


def _power(outlook: Outlook) -> float:
    power = outlook.figures.get("power")
    return power.value if power else float("inf")


def _static_expanded(point: OperatingPoint, airflow: Measured, k: Measured) -> float:
    """Static on the system curve: its own coefficient and the airflow's table, to first order."""
    by_flow = 2.0 * airflow.expanded / point.airflow_m3s
    by_curve = k.expanded / k.value if k.value else 0.0
    return point.static_pa * math.hypot(by_flow, by_curve)
