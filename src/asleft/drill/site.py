"""Invented sites: a house, its ducts, its supply and what the factory left in the control, all from a seed.

Healthy by construction: a site whose readings, at the settings that fit it, would not lie well inside every
limit is thrown away and the next one tried.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from random import Random
from typing import TYPE_CHECKING

from asleft.calc import (
    CalcError,
    conductor_ampacity,
    heater_current,
    heating_capacity,
    largest_device,
    overcurrent_device,
    pressure_ratio,
)
from asleft.drill.names import FAMILY, GIVEN, HOUSES, serial
from asleft.equipment.library import instruments
from asleft.installation.behave import behave, option_in_force
from asleft.installation.estimate import estimate
from asleft.installation.fans import FanTable, outside_taps_pa
from asleft.installation.forecast import forecast, shortfall_w
from asleft.installation.unit import Branch, Installation
from asleft.quantity import from_unit, parse, show
from asleft.session.ledger import Ledger
from asleft.session.state import Event, State, fold
from asleft.tables import conductor

if TYPE_CHECKING:
    from asleft.equipment.model import Circuit, Equipment, Heater, Pairing, Supply, Tier
    from asleft.installation.outlook import Forecast

Settings = dict[tuple[str, str], str]

TRIES = 400
W_PER_TON = 3516.8528420667
SIZES = (
    "14 AWG",
    "12 AWG",
    "10 AWG",
    "8 AWG",
    "6 AWG",
    "4 AWG",
    "3 AWG",
    "2 AWG",
    "1 AWG",
    "1/0 AWG",
    "2/0 AWG",
)
CFM = from_unit(1.0, "airflow", "cfm")


class NoSite(RuntimeError):
    """No healthy site was found for this unit; its file leaves no room for one."""


@dataclass(frozen=True, slots=True)
class Site:
    """An invented job: the truth, what papers and plates say (typed, by field), and the settings found."""

    seed: int
    installation: Installation
    job: Mapping[str, str]
    settings: Mapping[tuple[str, str], str]


def site(seed: int, equipment: Equipment) -> Site:
    """The site of a seed for a unit. Raises NoSite where the unit's file leaves no healthy one."""
    random = Random(f"site {seed}")
    for _ in range(TRIES):
        tried = _Draft(random, equipment, seed).site()
        if tried is not None and _healthy(tried, equipment):
            return tried
    raise NoSite(f"No healthy site was found for {equipment.unit.id} with seed {seed}.")


class _Draft:
    """One try at a site."""

    def __init__(self, random: Random, equipment: Equipment, seed: int) -> None:
        self.random, self.equipment, self.seed = random, equipment, seed
        self.kit = self.pick_kit()
        self.supply = self.pick_supply()
        pairings = equipment.heat_pump.pairing if equipment.heat_pump else ()
        self.pairing = random.choice(pairings) if pairings else None
        self.orientation = self.pick_orientation()
        self.altitude_m = float(random.choice((0, 15, 60, 120, 240, 400, 760, 1200, 1650)))
        self.ratio = pressure_ratio(self.altitude_m)

    def pick_kit(self) -> Heater | None:
        kits = self.equipment.heater
        return self.random.choice(kits) if kits else None

    def pick_supply(self) -> Supply | None:
        fits = [
            s
            for s in self.equipment.supply
            if self.kit is None
            or (s.phases == self.kit.phases and (not self.kit.supplies or s.id in self.kit.supplies))
        ]
        return self.random.choice(fits) if fits else None

    def pick_orientation(self) -> str | None:
        fits = [
            o
            for o in self.equipment.unit.orientations
            if (self.kit is None or not self.kit.orientations or o in self.kit.orientations)
            and all(t.options(o, self.kit.id if self.kit else "none") for t in self.equipment.topic)
        ]
        return self.random.choice(fits) if fits else None

    def site(self) -> Site | None:
        random, equipment = self.random, self.equipment
        if self.supply is None or (equipment.unit.orientations and self.orientation is None):
            return None
        tier = random.choice(equipment.blower.tier)
        design_m3s = round(self.design_airflow() / CFM, -1) * CFM
        ducts = self.ducts(tier, design_m3s)
        if ducts is None:
            return None
        source_v = self.supply.nominal * random.uniform(0.985, 1.015)
        branches = self.branches()
        if branches is None:
            return None
        share = random.uniform(0.5, 0.66)
        truth = Installation(
            source_v=source_v,
            source_ohm=random.uniform(0.015, 0.04),
            system=self.system(),
            phases=self.supply.phases,
            ground_ohm=random.uniform(0.05, 0.25),
            control_factor=random.uniform(1.03, 1.08),
            control_regulation=random.uniform(0.05, 0.08),
            branches=branches,
            kit=self.kit.id if self.kit else None,
            element_factors=tuple(random.uniform(0.968, 0.985) for _ in (self.kit.stage if self.kit else ())),
            orientation=self.orientation,
            altitude_m=self.altitude_m,
            supply_coefficient=ducts * share,
            return_coefficient=ducts * (1.0 - share),
            exponent=EXPONENT,
            fan_factor=random.uniform(0.99, 1.01),
            blower_power_factor=random.uniform(0.62, 0.72),
            return_air_c=random.uniform(19.5, 21.5),
            rise_factor=random.uniform(0.99, 1.0),
            standby_a=random.uniform(0.05, 0.2),
        )
        job = self.job(design_m3s)
        return Site(self.seed, truth, job, self.settings()) if job is not None else None

    def design_airflow(self) -> float:
        blower, pairing = self.equipment.blower, self.pairing
        capacity = _cooling(pairing) if pairing else self.equipment.unit.cooling_capacity
        tons = capacity / W_PER_TON if capacity else 3.0
        wanted = tons * self.random.uniform(370.0, 425.0) * CFM
        low = (blower.lowest_airflow or 0.0) * 1.05
        return min(max(wanted, low), (blower.highest_airflow or wanted) * 0.95)

    def ducts(self, tier: Tier, design_m3s: float) -> float | None:
        """Duct coefficient for which this tier lands near the design airflow, static = k Q^n."""
        blower = self.equipment.blower
        table = FanTable.of(tier.at("cooling"), blower, self.ratio, outside_taps_pa(blower, self.kit))
        airflow = design_m3s * self.random.uniform(0.97, 1.03)
        low, high = table.static_pa[0] * table.ratio, table.static_pa[-1] * table.ratio
        for _ in range(60):
            middle = (low + high) / 2.0
            flow_here = table.airflow_at(middle)
            if flow_here is None:
                return None
            low, high = (middle, high) if flow_here > airflow else (low, middle)
        if low <= table.static_pa[0] * table.ratio * 1.05:
            return None
        return float(low / airflow**EXPONENT)

    def system(self) -> str:
        assert self.supply is not None
        if self.supply.frequency == 50 and self.supply.phases == 1:
            return "line-neutral"
        return "split" if self.supply.phases == 1 and self.supply.nominal > 230.0 else "wye"

    def branches(self) -> tuple[Branch, ...] | None:
        if self.kit is None:
            return ()
        found = []
        for circuit in self.kit.circuit:
            branch = self.branch(self.kit, circuit)
            if branch is None:
                return None
            found.append(branch)
        return tuple(found)

    def branch(self, kit: Heater, circuit: Circuit) -> Branch | None:
        """A circuit as a careful electrician would have built it."""
        random = self.random
        power = sum(s.power for s in kit.stage if s.id in circuit.stages)
        ambient_c = float(random.choice((30.0, 35.0, 40.0)))
        bundled = 3 if kit.phases == 3 else 2
        blower_a = (self.equipment.blower.full_load_current or 0.0) if circuit.feeds_blower else 0.0
        least = circuit.minimum or 1.25 * (heater_current(power, kit.voltage, kit.phases) + blower_a)
        device = overcurrent_device(least)
        if circuit.maximum is not None and device > circuit.maximum:
            return None
        for size in SIZES:
            try:
                carries = conductor_ampacity(
                    size, "copper", float(circuit.terminals), 90.0, ambient_c, bundled
                )
                if carries >= least and largest_device(size, carries) >= device:
                    break
            except CalcError:
                continue
        else:
            return None
        run_m = random.uniform(6.0, 18.0)
        ohm_per_m = conductor(size, "copper").ohm_per_m
        factor = 2.0 if kit.phases == 1 else 3.0**0.5
        return Branch(device, size, "copper", 90, ambient_c, bundled, factor * ohm_per_m * run_m)

    def job(self, design_m3s: float) -> dict[str, str] | None:
        """What papers, plates and people say, typed with its unit."""
        random, equipment = self.random, self.equipment
        assert self.supply is not None
        pairing = self.pairing
        kit_w = self.kit.power * (self.supply.nominal / self.kit.voltage) ** 2 if self.kit else 0.0
        design_c = from_unit(float(random.randrange(-5, 28)), "temperature", "°F")
        carried = heating_capacity(pairing.capacity_47, pairing.capacity_17)(design_c) if pairing else 0.0
        load_w = max(carried, 0.0) + kit_w * random.uniform(0.3, 0.9)
        typed = {
            "identity.technician": f"{random.choice(GIVEN)} {random.choice(FAMILY)}",
            "identity.site": f"{random.choice(HOUSES)} {random.randrange(1, 90)}",
            "identity.model": equipment.unit.model,
            "identity.serial": serial(random, equipment.unit.serial_pattern),
            "identity.supply": self.supply.id,
            "identity.system": self.system(),
            "identity.kit": self.kit.id if self.kit else "none",
            "identity.outdoor": pairing.id if pairing else "none",
            "identity.altitude": f"{show(self.altitude_m, 'length', 'si')}",
            "identity.code": "NEC 2023" if self.supply.frequency == 60 else "IEC 60364",
            "blower.design_airflow": show(design_m3s, "airflow"),
            "heat.design_load": show(load_w, "heat_rate"),
            "heat.design_temperature": show(design_c, "temperature"),
            "heat.zero_load_temperature": "65 °F",
            "delay.floor_area": show(random.uniform(90.0, 230.0), "area"),
            "delay.construction": random.choice(("very light", "light", "medium")),
            "delay.droop_limit": "2 °F",
            "signoff.told": f"{random.choice(GIVEN)} {random.choice(FAMILY)}",
            "signoff.made_safe": "isolated",
            "signoff.tagged": "yes",
        }
        if self.orientation is not None:
            typed["identity.orientation"] = self.orientation
        if pairing is not None:
            typed["identity.outdoor_capacity"] = show(_cooling(pairing), "heat_rate")
        taken = {a.number for a in equipment.address if a.number}
        free = (str(n) for n in range(1, 100) if str(n) not in taken)
        for address in equipment.address:
            typed[f"identity.address.{address.id}"] = address.number or next(free)
        for instrument in reversed(instruments()):
            if instrument.accuracy and (instrument.calibrated_until or "") > "2030":
                typed[f"identity.instrument.{instrument.role}"] = instrument.id
        return typed

    def settings(self) -> Settings:
        """The factory's values, one or two of them changed by somebody before."""
        found: Settings = {}
        for setting, address in self.equipment.places():
            found[setting.id, address] = setting.factory or setting.values[0]
        loose = [
            (s, a)
            for s, a in self.equipment.places()
            if not any(
                s.id in o.set for t in self.equipment.topic if t.role == "blower-tier" for o in t.option
            )
        ]
        for setting, address in self.random.sample(loose, min(len(loose), self.random.randrange(3))):
            found[setting.id, address] = self.random.choice(setting.values)
        return found


def _cooling(pairing: Pairing) -> float:
    """The middle of a pairing's nominal cooling capacities."""
    low, high = pairing.lowest_cooling, pairing.highest_cooling
    return ((low or high or pairing.capacity_47) + (high or low or pairing.capacity_47)) / 2.0


EXPONENT = 1.94
"""Ducts, filter and coil together do not quite follow the square; the estimate says 2."""


def _healthy(tried: Site, equipment: Equipment) -> bool:
    """Whether the same options come out best from the readings as found and as left, with room to spare."""
    first = _outlook(tried, equipment, dict(tried.settings))
    if first is None:
        return False
    left = dict(tried.settings)
    wrong = 0
    for topic in equipment.topic:
        outlook = first.topics[topic.id]
        if outlook.recommended is None or not _clear(topic.role, outlook.recommended, first, tried):
            return False
        options = topic.options(tried.installation.orientation, tried.installation.kit or "none")
        option = next(o for o in options if o.id == outlook.recommended)
        for id, value in option.set.items():
            setting = equipment.setting_of(id)
            for address in setting.address if setting else ():
                wrong += left[id, address] != value
                left[id, address] = value
    second = _outlook(tried, equipment, left)
    if second is None or (wrong < 2 and len(equipment.setting) >= 2):
        return False
    same = all(second.topics[t.id].recommended == first.topics[t.id].recommended for t in equipment.topic)
    return (
        same
        and _on_table(tried, equipment, first)
        and _on_table(tried, equipment, second)
        and all(_clear(t.role, str(second.topics[t.id].recommended), second, tried) for t in equipment.topic)
        and _inside(tried, equipment, left)
    )


def _on_table(tried: Site, equipment: Equipment, outlook: Forecast) -> bool:
    """Whether the best tier works well between the ends of its fan tables, in heating too."""
    asked, topic = equipment.role("blower-tier"), outlook.role("blower-tier")
    found = topic.of(topic.recommended) if topic else None
    options = asked.options(tried.installation.orientation, tried.installation.kit or "none") if asked else ()
    tiers = [o.value for o in options if found is not None and o.id == found.option]
    tier = equipment.tier(tiers[0]) if tiers else None
    if found is None or tier is None:
        return True
    static = found.figures.get("static")
    ratio = pressure_ratio(tried.installation.altitude_m)
    rows = [tier.at(use).rows for use in ("cooling", "heating")]
    low = max(row[0].static_pa for row in rows) * ratio
    high = min(row[-1].static_pa for row in rows) * ratio
    return static is not None and low * 1.1 < static.value < high * 0.92


def _clear(role: str, option: str, outlook: Forecast, tried: Site) -> bool:
    """Whether a recommendation stands with room to spare, so that noise cannot tip it."""
    topic = outlook.role(role)
    found = topic.of(option) if topic else None
    if topic is None or found is None:
        return True
    if not all(
        j.verdict in ("pass", "conditional pass") for j in found.judged if j.check not in ("HS-4", "TD-5")
    ):
        return False
    if role == "blower-tier":
        design = parse(tried.job["blower.design_airflow"], "airflow").value
        flows = {o.option: o.figures["airflow"].value for o in topic.outlooks if "airflow" in o.figures}
        mine = flows.get(option)
        if mine is None or abs(mine - design) > 0.08 * design:
            return False
        statics = [j for j in found.judged if j.check == "BL-5" and j.upper is not None]
        if any(j.figure.value > 0.95 * (j.upper or 0.0) for j in statics):
            return False
        others = [abs(q - design) for o, q in flows.items() if o != option]
        return not others or min(others) > abs(mine - design) + 0.02 * design
    if role == "auxiliary-delay":
        droops = [
            j.figure.value / (j.upper or 1.0) for o in topic.outlooks for j in o.judged if j.check == "TD-2"
        ]
        return all(abs(d - 1.0) > 0.04 for d in droops)
    if role == "heat-on-lost-communication":
        shares = [j.figure.value for o in topic.outlooks for j in o.judged if j.check == "HS-4"]
        return all(abs(s - 0.85) > 0.05 for s in shares)
    return True


def _inside(tried: Site, equipment: Equipment, left: Settings) -> bool:
    """Whether the true values as left lie well inside the limits that no forecast judges."""
    kit, supply, limits = equipment.kit(tried.installation.kit), _supply(tried, equipment), equipment.limits
    idle = behave(tried.installation, equipment, left, "idle")
    if not supply.lowest * 1.02 < float(idle["electrical.line.l1_l2"]) < supply.highest * 0.98:
        return False
    if kit is None:
        return True
    loaded = behave(tried.installation, equipment, left, "heat.all")
    circuit = equipment.control_circuit
    if not supply.lowest * 1.02 < float(loaded["electrical.loaded.l1_l2"]) < supply.highest * 0.98:
        return False
    if circuit is not None:
        for volts in (float(idle["electrical.control.idle"]), float(loaded["electrical.control.loaded"])):
            if not circuit.lowest + 1.0 < volts < circuit.highest - 1.0:
                return False
    last = len(kit.stage)
    heat = behave(tried.installation, equipment, left, f"heat.{last}")
    rise = float(heat[f"heat.stage.{last}.leaving_air"]) - float(heat[f"heat.stage.{last}.return_air"])
    low, high = limits.lowest_rise or 0.0, limits.highest_rise or 1e9
    return low + 1.8 < rise < high - 1.8 and _covers(
        tried, equipment, kit, float(loaded["electrical.loaded.l1_l2"])
    )


def _covers(tried: Site, equipment: Equipment, kit: Heater, volts: float) -> bool:
    """Whether the kit covers the shortfall at design with room to spare."""
    told = _told(tried, equipment, dict(tried.settings))
    short = shortfall_w(told, estimate(told))
    return short is not None and kit.power * (volts / kit.voltage) ** 2 * 0.95 > short * 1.06


def _supply(tried: Site, equipment: Equipment) -> Supply:
    return equipment.supply_of(tried.job["identity.supply"]) or equipment.supply[0]


def _outlook(tried: Site, equipment: Equipment, settings: Settings) -> Forecast | None:
    told = _told(tried, equipment, settings)
    known = estimate(told)
    if known.airflow_m3s is None:
        return None
    return forecast(told, known)


def _told(tried: Site, equipment: Equipment, settings: Settings) -> Ledger:
    """The site as a session would hold it, every reading the true one."""
    state = State()
    for n, (kind, data) in enumerate(_facts(tried, equipment, settings), 1):
        state = fold(state, Event(n, "2026-01-01T00:00:00Z", "site", kind, data))
    return Ledger(equipment, state)


def _facts(
    tried: Site, equipment: Equipment, settings: Settings
) -> Iterator[tuple[str, dict[str, str | float | bool]]]:
    for field, typed in tried.job.items():
        if field.startswith(("identity.instrument", "signoff", "identity.address")):
            continue
        yield "entered", {"field": field, "typed": typed, "value": _meaning(field, typed)}
    for (setting, address), value in settings.items():
        yield "found", {"setting": setting, "address": address, "shown": value}
    states = [
        "blower",
        *(["heat.all"] if tried.installation.kit and _heat_on(tried, equipment, settings) else []),
    ]
    for state in states:
        for field, truth in behave(tried.installation, equipment, settings, state).items():
            yield "entered", {"field": field, "typed": str(truth), "value": truth}


def _heat_on(tried: Site, equipment: Equipment, settings: Settings) -> bool:
    where = (settings, tried.installation.orientation, tried.installation.kit)
    option = option_in_force(equipment, "auxiliary-heat", *where)
    return option is not None and bool(option.value)


_KIND = {
    "identity.outdoor_capacity": "heat_rate",
    "identity.altitude": "length",
    "blower.design_airflow": "airflow",
    "heat.design_load": "heat_rate",
    "heat.design_temperature": "temperature",
    "heat.zero_load_temperature": "temperature",
    "delay.floor_area": "area",
    "delay.droop_limit": "temperature_difference",
}


def _meaning(field: str, typed: str) -> str | float:
    kind = _KIND.get(field)
    return typed if kind is None else parse(typed, kind).value
