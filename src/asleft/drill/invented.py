"""One invented site, healthy or not: a house, its ducts, its supply and what was left in the control."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from random import Random
from typing import TYPE_CHECKING

from asleft.calc import pressure_ratio
from asleft.drill.circuits import branches, lengths
from asleft.drill.duct_papers import FACE_VELOCITY, duct_papers
from asleft.drill.fitted import Fitted, cooling_w, fit
from asleft.drill.obstacle import ROWS, InTheWay, failed
from asleft.drill.papers import papers
from asleft.installation.behave import option_in_force
from asleft.installation.fans import FanTable
from asleft.installation.unit import Ducts, Installation, Outdoors
from asleft.quantity import from_unit
from asleft.session.fields import Situation

if TYPE_CHECKING:
    from asleft.equipment.model import Equipment, Tier

Settings = dict[tuple[str, str], str]
"""What is stored, by setting and address."""

W_PER_TON = 3516.8528420667
CFM = from_unit(1.0, "airflow", "cfm")
ELSEWHERE = 20
"""Tries at a static of a fan table; the first in its midst, the rest anywhere, for what the unit may move."""
COLD_DAYS_C = (-4.0, 10.0)
WARMER_K = 2.0
"""How far from the compressor's cut-out a day must be for the heat pump to run steadily (ours)."""
LITRES_5 = from_unit(5.0, "airflow", "L/s")
ZONED = 0.2
"""How many sites with a kit have zone dampers."""
ZONE_ADDS = (0.15, 0.5)
"""What closing all dampers but the smallest zone's adds to the supply side, as a part of it."""
LEAST_STATIC_PA = 20.0
"""Ducts, coil and filter of a house ask for more than this (ours); less could hardly be read."""
EXPONENT = 1.94
"""Ducts, filter and coil together do not quite follow the square; the estimate says 2."""


@dataclass(frozen=True, slots=True)
class Site:
    """An invented job: the truth, what papers and plates say (typed, by field), and the settings found."""

    seed: int
    installation: Installation
    job: Mapping[str, str]
    settings: Mapping[tuple[str, str], str]

    @property
    def situation(self) -> Situation:
        """What decides which fields apply here, all that a visit may end in included."""
        return Situation(
            orientation=self.installation.orientation,
            kit=self.installation.kit or "none",
            supply=self.job.get("identity.supply"),
            outdoor=self.job.get("identity.outdoor"),
            code=self.job.get("identity.code"),
            unsafe=True,
            yes=frozenset(field for field, typed in self.job.items() if typed == "yes"),
        )


def invent(
    random: Random, equipment: Equipment, seed: int, *, by_table: bool = False, as_shipped: bool = False
) -> Site:
    """One try at a site. Raises InTheWay where what was drawn cannot be built.

    The ducts are designed by the tons of cooling; ``by_table``, or where nobody says them, for an airflow
    in the midst of a fan table. They suit any tier, or ``as_shipped`` the one that the factory set: on narrow
    tables the airflow as found can be read in no other ducts.
    """
    fitted = fit(random, equipment)
    if fitted is None:
        raise InTheWay(
            "heater.supplies, heater.phases, heater.orientations or topic.option",
            "the kits, supplies and orientations drawn do not go together with an option of each topic",
            "for each kit a supply of its phases and an orientation in which each topic has an option",
        )
    kit = fitted.kit
    tier = random.choice(equipment.blower.tier)
    if as_shipped:
        tier = _shipped(equipment, fitted) or tier
    tons = _tons(equipment, fitted)
    design_m3s, ducts = (
        _by_table(random, equipment, fitted, tier)
        if by_table or tons is None
        else _by_tons(random, equipment, fitted, tier, tons)
    )
    source_v = fitted.supply.nominal * random.uniform(0.985, 1.015)
    wired = branches(random, equipment, fitted)
    if wired is None:
        raise InTheWay(
            "heater.circuit",
            "no standard device and conductor fit what a circuit carries",
            "a higher maximum, or stages of less power on a circuit",
        )
    share = random.uniform(0.5, 0.66)
    total_pa = ducts * design_m3s**EXPONENT
    if total_pa < LEAST_STATIC_PA:
        raise InTheWay(
            ROWS,
            f"the airflow asked for would leave less than {LEAST_STATIC_PA:g} Pa to the ducts",
            "rows in which a tier moves that airflow at a static that ducts ask for",
        )
    zoned = kit is not None and random.random() < ZONED
    truth = Installation(
        source_v=source_v,
        source_ohm=random.uniform(0.015, 0.04),
        system=fitted.system,
        phases=fitted.supply.phases,
        ground_ohm=random.uniform(0.05, 0.25),
        control_factor=random.uniform(1.03, 1.08),
        control_regulation=random.uniform(0.05, 0.08),
        branches=wired,
        kit=kit.id if kit else None,
        element_factors=tuple(random.uniform(0.968, 0.985) for _ in (kit.stage if kit else ())),
        orientation=fitted.orientation,
        altitude_m=fitted.altitude_m,
        supply_coefficient=ducts * share,
        return_coefficient=ducts * (1.0 - share),
        exponent=EXPONENT,
        fan_factor=random.uniform(0.99, 1.01),
        blower_power_factor=random.uniform(0.62, 0.72),
        return_air_c=random.uniform(19.5, 21.5),
        rise_factor=random.uniform(0.99, 1.0),
        standby_a=random.uniform(0.05, 0.2),
        outdoors=_outdoors(seed, equipment, fitted),
        spread=_spread(random) if fitted.supply.phases == 3 else (0.0, 0.0, 0.0),
        ducts=Ducts(zone_added=ducts * share * random.uniform(*ZONE_ADDS) if zoned else 0.0),
    )
    job = (
        papers(random, equipment, fitted, design_m3s)
        | lengths(fitted, wired)
        | duct_papers(
            random,
            design_m3s=design_m3s,
            static_pa=total_pa,
            filter_pa=truth.ducts.filter_part * total_pa * (1.0 - share),
            highest_ms=equipment.blower.filter_velocity or FACE_VELOCITY,
            metric=fitted.metric,
        )
    )
    job["blower.zoned"] = "yes" if zoned else "no"
    return Site(seed, truth, job, _settings(random, equipment))


def _outdoors(seed: int, equipment: Equipment, fitted: Fitted) -> Outdoors:
    """A cold day on which the heat pump still runs; drawn by itself, whatever else the site draws."""
    pump, air_c = equipment.heat_pump, round(Random(f"weather {seed}").uniform(*COLD_DAYS_C), 1)
    if pump is not None and pump.cut_out is not None:
        air_c = max(air_c, pump.cut_out + (pump.cut_out_differential or 0.0) + WARMER_K)
    return Outdoors(air_c=air_c, pairing=fitted.pairing.id if fitted.pairing else None)


def _spread(random: Random) -> tuple[float, float, float]:
    """How far three line voltages lie off their mean, as a good supply's do."""
    first, second = (random.uniform(-0.003, 0.003) for _ in range(2))
    return first, second, -(first + second)


def _tons(equipment: Equipment, fitted: Fitted) -> float | None:
    capacity = cooling_w(fitted.pairing) if fitted.pairing else equipment.unit.cooling_capacity
    return capacity / W_PER_TON if capacity else None


def _typed_m3s(airflow_m3s: float, fitted: Fitted) -> float:
    """As a designer would write it: to 10 cfm, small ones to 1; to 5 L/s where people think in those."""
    if fitted.metric:
        return round(airflow_m3s / LITRES_5) * LITRES_5
    cfm = airflow_m3s / CFM
    return round(cfm, -1 if cfm >= 100.0 else 0) * CFM


def _by_tons(
    random: Random, equipment: Equipment, fitted: Fitted, tier: Tier, tons: float
) -> tuple[float, float]:
    """Airflow that a designer would ask for so many tons, and ducts in which this tier lands near it."""
    blower = equipment.blower
    wanted = tons * random.uniform(370.0, 425.0) * CFM
    low = (blower.lowest_airflow or 0.0) * 1.05
    design_m3s = _typed_m3s(min(max(wanted, low), (blower.highest_airflow or wanted) * 0.95), fitted)
    return design_m3s, _ducts(random, equipment, fitted, tier, design_m3s)


def _by_table(random: Random, equipment: Equipment, fitted: Fitted, tier: Tier) -> tuple[float, float]:
    """An airflow in the midst of this tier's fan table, and the ducts in which the tier lands near it."""
    table = _table(equipment, fitted, tier)
    low, high = max(table.static_pa[0], 0.0) * table.ratio, table.static_pa[-1] * table.ratio
    part, off, blower = random.uniform(0.25, 0.75), random.uniform(0.97, 1.03), equipment.blower
    least, most = (blower.lowest_airflow or 0.0) * 1.02, (blower.highest_airflow or math.inf) * 0.98
    tops = [top for top in (tier.highest_static, blower.highest_static) if top is not None]
    roof = min(high, 0.94 * min(tops, default=math.inf))
    designs = []
    for _ in range(ELSEWHERE):
        static_pa = low + (high - low) * part
        airflow = table.airflow_at(static_pa)
        if airflow is None or airflow <= 0.0 or static_pa <= 0.0:
            raise InTheWay(
                ROWS,
                "a fan table holds no airflow at a static above nothing",
                "rows with an airflow at statics above nothing",
            )
        design_m3s = _typed_m3s(airflow * off, fitted)
        if design_m3s > 0.0 and least <= design_m3s <= most and static_pa <= roof:
            return design_m3s, static_pa / airflow**EXPONENT
        designs.append(design_m3s)
        part = random.uniform(0.05, 0.95) * max(roof - low, 0.0) / (high - low)
    if roof <= low:
        raise failed("BL-5")
    if max(designs) < least:
        raise InTheWay(
            "blower.lowest_airflow",
            "a fan table holds less between its ends",
            "a lowest airflow below what the fan tables hold, or rows of more airflow",
        )
    raise InTheWay(
        "blower.highest_airflow",
        "a fan table holds more between its ends",
        "a highest airflow above what the fan tables hold, or rows of less airflow",
    )


def _table(equipment: Equipment, fitted: Fitted, tier: Tier) -> FanTable:
    ratio = pressure_ratio(fitted.altitude_m)
    table = FanTable.of(tier, "cooling", equipment.blower, fitted.kit, ratio)
    if len(table.static_pa) < 2:
        raise InTheWay(
            ROWS, "a fan table has an airflow in fewer than two rows", "at least two rows with an airflow"
        )
    return table


def _ducts(random: Random, equipment: Equipment, fitted: Fitted, tier: Tier, design_m3s: float) -> float:
    """Duct coefficient for which this tier lands near the design airflow, static = k Q^n."""
    table = _table(equipment, fitted, tier)
    airflow = design_m3s * random.uniform(0.97, 1.03)
    low, high = table.static_pa[0] * table.ratio, table.static_pa[-1] * table.ratio
    for _ in range(60):
        middle = (low + high) / 2.0
        flow_here = table.airflow_at(middle)
        if flow_here is None:
            raise InTheWay(ROWS, "a fan table has a gap", "an airflow in every row between its ends")
        low, high = (middle, high) if flow_here > airflow else (low, middle)
    if low <= table.static_pa[0] * table.ratio * 1.05:
        raise InTheWay(
            ROWS,
            "the fan tables hold less than the tons of cooling ask for",
            "rows of 350 to 450 cfm for each ton of unit.cooling_capacity",
        )
    return float(low / airflow**EXPONENT)


def _shipped(equipment: Equipment, fitted: Fitted) -> Tier | None:
    """The tier that the factory's values are."""
    kit = fitted.kit.id if fitted.kit else None
    option = option_in_force(equipment, "blower-tier", _factory(equipment), fitted.orientation, kit)
    return equipment.tier(str(option.value)) if option else None


def _factory(equipment: Equipment) -> Settings:
    return {
        (setting.id, address): setting.factory or setting.values[0] for setting, address in equipment.places()
    }


def _settings(random: Random, equipment: Equipment) -> Settings:
    """The factory's values, one or two of them changed by somebody before."""
    found = _factory(equipment)
    tiers = {id for t in equipment.topic if t.role == "blower-tier" for o in t.option for id in o.set}
    loose = [(s, a) for s, a in equipment.places() if s.id not in tiers]
    for setting, address in random.sample(loose, min(len(loose), random.randrange(3))):
        found[setting.id, address] = random.choice(setting.values)
    return found
