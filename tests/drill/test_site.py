"""Invented sites: varied, wrong as found, and healthy with room to spare once set right."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from itertools import chain, pairwise
from math import sqrt
from typing import Any

import pytest

from asleft.drill.site import NoSite, Site, site
from asleft.equipment.model import Equipment, Option
from asleft.installation.behave import behave
from asleft.installation.estimate import estimate
from asleft.installation.forecast import forecast
from asleft.quantity import parse
from support import Told, demo_unit

RANGES = [range(1, 21), range(11, 31)]
SEEDS = range(1, 21)
PER_LIMIT = 2 / sqrt(3)
CFM = 0.4719474e-3
INCH = 249.089
BTU_H = 1055.05585262 / 3600
UNCERTAIN = {
    "V": lambda v: (0.005 * v + 0.2) * PER_LIMIT,
    "A": lambda v: (0.005 * v + 0.01) * PER_LIMIT,
    "ohm": lambda v: (0.01 * v + 0.02) * PER_LIMIT,
    "Pa": lambda v: (0.01 * v + 0.002 * INCH) * PER_LIMIT,
    "degC": lambda v: 0.5 * PER_LIMIT,
}
"""U of the demonstration instruments (equipment/instruments.toml)."""

Settings = dict[tuple[str, str], str]


@dataclass(frozen=True)
class Left:
    """A site, the options recommended there from its true readings, and its settings once they are in."""

    site: Site
    recommended: dict[str, Option]
    settings: Settings

    @property
    def wrong(self) -> int:
        """How many settings had to change."""
        return sum(self.site.settings[place] != value for place, value in self.settings.items())


def _entry(told: Told, field: str, typed: str) -> None:
    known = told.ledger.fields.get(field)
    if known is None or known.kind == "instrument" or field.startswith(("signoff", "identity.address")):
        return
    words = known.kind in ("text", "choice")
    told.enter(field, typed if words else parse(typed, known.kind).value)


def read_through(found: Site, settings: Settings, *states: str) -> Told:
    """A visit that has read every field of these states truly."""
    told = Told(demo_unit())
    for field, typed in found.job.items():
        _entry(told, field, typed)
    for (setting, address), value in settings.items():
        told.event("found", setting=setting, address=address, shown=value)
    for state in states:
        for field, value in behave(found.installation, demo_unit(), settings, state).items():
            told.enter(field, value)
    return told


@cache
def left(seed: int) -> Left:
    """The site of a seed, set right."""
    unit = demo_unit()
    found = site(seed, unit)
    ledger = read_through(found, dict(found.settings), "blower").ledger
    outlook = forecast(ledger, estimate(ledger))
    recommended, settings = {}, dict(found.settings)
    for topic in unit.topic:
        option = ledger.option(topic, outlook.topics[topic.id].recommended or "")
        assert option is not None, (seed, topic.id)
        recommended[topic.role] = option
        for id, value in option.set.items():
            setting = unit.setting_of(id)
            assert setting is not None
            settings |= {(id, address): value for address in setting.address}
    return Left(found, recommended, settings)


@pytest.mark.parametrize("seeds", RANGES, ids=["1..20", "11..30"])
@pytest.mark.parametrize(
    ("role", "least"), [("blower-tier", 3), ("auxiliary-delay", 3), ("outdoor-lockout", 3)]
)
def test_twenty_sites_ask_for_different_answers(seeds: range, role: str, least: int) -> None:
    """No one answer fits all."""
    assert len({left(seed).recommended[role].id for seed in seeds}) >= least


@pytest.mark.parametrize("seeds", RANGES, ids=["1..20", "11..30"])
def test_twenty_sites_have_different_kits(seeds: range) -> None:
    """At least two, every one of them to be enabled whole."""
    kits = {left(seed).site.installation.kit for seed in seeds}
    assert len(kits) >= 2
    for seed in seeds:
        kit = demo_unit().kit(left(seed).site.installation.kit)
        assert kit is not None
        assert set(left(seed).recommended["auxiliary-heat"].value) == {s.id for s in kit.stage}


@pytest.mark.parametrize("seed", sorted({*chain(*RANGES)}))
def test_at_least_two_settings_are_wrong_as_found(seed: int) -> None:
    """There is work to do on every visit."""
    assert left(seed).wrong >= 2


@pytest.mark.parametrize("seed", SEEDS)
def test_what_is_recommended_as_found_still_is_once_it_is_set(seed: int) -> None:
    """Read truly as left, nothing would be chosen otherwise."""
    job = left(seed)
    ledger = read_through(job.site, job.settings, "blower", "heat.all").ledger
    outlook = forecast(ledger, estimate(ledger))
    for topic in demo_unit().topic:
        assert outlook.topics[topic.id].recommended == job.recommended[topic.role].id


def test_a_seed_is_a_site() -> None:
    """The same each time, and another for another seed."""
    assert site(7, demo_unit()) == site(7, demo_unit())
    assert site(7, demo_unit()) != site(8, demo_unit())


@pytest.mark.parametrize("seed", SEEDS)
def test_settings_found_are_values_that_the_unit_takes(seed: int) -> None:
    """Every place holds one, and no other place does."""
    found = site(seed, demo_unit()).settings
    assert set(found) == {(s.id, a) for s, a in demo_unit().places()}
    for setting, address in demo_unit().places():
        assert found[setting.id, address] in setting.values


@pytest.mark.parametrize("seed", SEEDS)
def test_job_data_are_typed_as_a_person_would(seed: int) -> None:
    """Every one is a field of this unit, with its unit or one of its choices."""
    found = site(seed, demo_unit())
    fields = {**read_through(found, dict(found.settings)).ledger.fields}
    for field, typed in found.job.items():
        if field.startswith("signoff"):
            continue
        kind, choices = fields[field].kind, fields[field].choices
        assert not choices or typed in choices, field
        if kind not in ("text", "choice", "instrument"):
            assert parse(typed, kind).value is not None


# ---- healthy with room to spare


@dataclass(frozen=True)
class Held:
    """A true value against what it may be, with the U of the demonstration instruments."""

    check: str
    value: float
    lower: float | None
    upper: float | None
    expanded: float

    @property
    def margin(self) -> float:
        """How many U inside the nearer limit."""
        ends = [
            end
            for end in (
                None if self.lower is None else self.value - self.lower,
                None if self.upper is None else self.upper - self.value,
            )
            if end is not None
        ]
        return min(ends) / self.expanded


def _flow(equipment: Equipment, tier: str, use: str, static_pa: float, thin: float) -> tuple[float, float]:
    """Airflow by the demo unit's table, m3/s, and its slope there, m3/s per Pa."""
    found = equipment.tier(tier)
    assert found is not None
    rows = [(r.static_pa * thin, r.airflow_m3s) for r in found.at(use).rows]
    for (low, most), (high, least) in pairwise(rows):
        if low <= static_pa <= high and most is not None and least is not None:
            slope = (least - most) / (high - low)
            return most + slope * (static_pa - low), slope
    raise AssertionError((tier, static_pa))


def held(seed: int) -> Iterator[Held]:
    """Every limit that a reading of this visit, as left, is held against."""
    job, unit = left(seed), demo_unit()
    truth, supply = job.site.installation, unit.supply_of(job.site.job["identity.supply"])
    kit, control, blower = unit.kit(truth.kit), unit.control_circuit, unit.blower
    assert supply is not None
    assert kit is not None
    assert control is not None
    last = len(kit.stage)
    read: dict[str, Any] = {}
    for state in ("isolated", "idle", "blower", *(f"heat.{n + 1}" for n in range(last)), "heat.all"):
        read |= behave(truth, unit, job.settings, state)

    def direct(check: str, field: str, lower: float | None, upper: float | None, kind: str) -> Held:
        return Held(check, read[field], lower, upper, UNCERTAIN[kind](abs(read[field])))

    line = read["electrical.line.l1_l2"]
    yield direct("EL-2", "electrical.line.l1_l2", supply.lowest, supply.highest, "V")
    yield direct("EL-14", "electrical.loaded.l1_l2", supply.lowest, supply.highest, "V")
    share = 0.5 if truth.system == "split" else 1 / sqrt(3)
    for leg in ("l1", "l2"):
        mid = line * share
        yield direct("EL-4", f"electrical.line.{leg}_ground", 0.95 * mid, 1.05 * mid, "V")
    yield direct("EL-6", "electrical.control.idle", control.lowest, control.highest, "V")
    yield direct("EL-6", "electrical.control.loaded", control.lowest, control.highest, "V")
    yield direct("EL-13", "electrical.ground.resistance", None, 0.5, "ohm")
    assert blower.full_load_current is not None
    yield direct("EL-16", "electrical.blower.current", None, blower.full_load_current, "A")
    yield Held(
        "EL-12",
        line - read["electrical.loaded.l1_l2"],
        None,
        0.05 * line,
        UNCERTAIN["V"](line) + UNCERTAIN["V"](read["electrical.loaded.l1_l2"]),
    )
    watts = {s.id: s.power for s in kit.stage}
    for n, stage in enumerate(kit.stage, 1):
        circuit = next(c for c in kit.circuit if stage.id in c.stages)
        on = sum(watts[s.id] for s in kit.stage[:n] if s.id in circuit.stages)
        volts, amps = read[f"electrical.stage.{n}.voltage"], read[f"electrical.stage.{n}.current"]
        own = read["electrical.blower.current"] if circuit.feeds_blower else 0.0
        rated = on * volts / kit.voltage**2
        part = UNCERTAIN["A"](amps) + (UNCERTAIN["A"](own) if own else 0.0)
        unsure = part + rated * UNCERTAIN["V"](volts) / volts
        yield Held(f"EL-15 stage {n}", amps - own, 0.90 * rated, 1.05 * rated, unsure)
    for n, _ in enumerate(kit.circuit, 1):
        called = [read[f"electrical.circuit.{n}.called.{leg}"] for leg in ("l1", "l2")]
        idle = read[f"electrical.circuit.{n}.no_call.l1"]
        yield Held("EL-22 no call", idle, None, 0.5, UNCERTAIN["A"](idle))
        yield Held("EL-22 legs", called[0] - called[1], None, 0.05 * called[0], 2 * UNCERTAIN["A"](called[0]))
    thin = (1 - 2.25577e-5 * truth.altitude_m) ** 5.2559
    tier = unit.tier(str(job.recommended["blower-tier"].value))
    assert tier is not None
    assert tier.highest_static is not None
    assert blower.highest_static is not None
    sides = [read["blower.static.supply"], -read["blower.static.return"]]
    yield direct("BL-4", "blower.static.supply", 0.0, None, "Pa")
    yield direct("BL-4", "blower.static.return", None, 0.0, "Pa")
    unsure = sum(UNCERTAIN["Pa"](s) for s in sides)
    yield Held("BL-5", sum(sides), None, min(tier.highest_static, blower.highest_static), unsure)
    design = parse(job.site.job["blower.design_airflow"], "airflow").value
    flow, slope = _flow(unit, tier.id, "cooling", sum(sides), thin)
    assert blower.lowest_airflow is not None
    assert blower.highest_airflow is not None
    low = max(0.85 * design, blower.lowest_airflow)
    yield Held("BL-9", flow, low, min(1.15 * design, blower.highest_airflow), abs(slope) * unsure)
    sides = [read["heat.static.supply"], -read["heat.static.return"]]
    unsure = sum(UNCERTAIN["Pa"](s) for s in sides)
    flow, slope = _flow(unit, tier.id, "heating", sum(sides), thin)
    least = kit.least(truth.orientation)
    yield Held("BL-11", flow * thin, least, None, abs(slope) * unsure * thin)
    pump = _pump_rise_k(job, flow, thin)
    probe = UNCERTAIN["degC"](0.0)
    limits = unit.limits
    for n in range(1, last + 1):
        back, leaving = read[f"heat.stage.{n}.return_air"], read[f"heat.stage.{n}.leaving_air"]
        yield Held(f"HS-5 stage {n}", leaving + pump, None, limits.leaving_air, probe)
        if n == last:
            rise = leaving - back
            yield Held("HS-6 range", rise, limits.lowest_rise, limits.highest_rise, sqrt(2) * probe)


def _pump_rise_k(job: Left, flow_m3s: float, thin: float) -> float:
    """Rise of the heat pump at the lockout temperature, the 35 degF point where the maker gives one."""
    pairing = demo_unit().pairing(job.site.job["identity.outdoor"])
    assert pairing is not None
    at_f = float(job.recommended["outdoor-lockout"].value) * 1.8 + 32
    high, low = pairing.capacity_47, pairing.capacity_17
    frost = pairing.capacity_35 or 0.9 * (low + (high - low) * 18 / 30)
    points = [(17.0, low), (35.0, frost), (47.0, high)]
    watts = low + (high - low) * (at_f - 17) / 30
    for (cold, start), (warm, end) in pairwise(points):
        if cold <= at_f <= warm:
            watts = start + (end - start) * (at_f - cold) / (warm - cold)
    return watts / BTU_H / (1.08 * flow_m3s / CFM * thin) / 1.8


@pytest.mark.parametrize("seed", SEEDS)
def test_true_values_lie_inside_every_limit_by_twice_the_instruments_uncertainty(seed: int) -> None:
    """So that no honest reading of a healthy site can fail; agreement of two methods apart."""
    near = [(h.check, round(h.margin, 2)) for h in held(seed) if h.margin < 2.0]
    assert not near


def test_a_unit_that_leaves_no_room_is_given_up_and_said() -> None:
    """No standard device is small enough for its circuits; the search ends."""
    unit = demo_unit()
    tight = tuple(
        h.model_copy(update={"circuit": tuple(c.model_copy(update={"maximum": 10.0}) for c in h.circuit)})
        for h in unit.heater
    )
    with pytest.raises(NoSite, match="lowmoor"):
        site(1, unit.model_copy(update={"heater": tight}))
