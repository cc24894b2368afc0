"""Sites are healthy with room to spare once set right: every limit is held by hand, apart from the code."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from math import sqrt
from typing import Any

import pytest

from asleft.equipment.model import Equipment
from asleft.installation.behave import behave
from asleft.installation.estimate import estimate
from asleft.installation.forecast import forecast
from asleft.quantity import parse
from drill.sites import Left, left, read_through
from support import demo_unit

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


@pytest.mark.parametrize("seed", SEEDS)
def test_what_is_recommended_as_found_still_is_once_it_is_set(seed: int) -> None:
    """Read truly as left, nothing would be chosen otherwise."""
    job = left(seed)
    ledger = read_through(job.site, job.settings, "blower", "heat.all").ledger
    outlook = forecast(ledger, estimate(ledger))
    for topic in demo_unit().topic:
        assert outlook.topics[topic.id].recommended == job.recommended[topic.role].id


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
