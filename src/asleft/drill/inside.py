"""Whether the true values at an invented site lie well inside the limits that no forecast judges."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import TYPE_CHECKING

from asleft.calc import Measured, heater_power
from asleft.checks.currents import STAGE_HIGH, STAGE_LOW
from asleft.drill.invented import Settings, Site
from asleft.drill.obstacle import NOISE, ROWS, WIDER, InTheWay, failed
from asleft.drill.told import told
from asleft.installation.behave import Truth, behave
from asleft.installation.estimate import estimate
from asleft.installation.forecast import OVERSIZE, shortfall_w
from asleft.installation.line_fields import IDLE, LOADED
from asleft.installation.lines import PAIRS, blower_in_line
from asleft.installation.operating import heating_at_final_drop, heating_in_zone
from asleft.session.readings import known

if TYPE_CHECKING:
    from asleft.equipment.model import Equipment, Heater, Supply

SPARE = 1.02
"""How much more air than its least the kit of a healthy site has at worst."""


def prove_inside(tried: Site, equipment: Equipment, left: Settings) -> None:
    """Prove that the true values as left lie well inside the limits that no forecast judges."""
    kit, supply, limits = equipment.kit(tried.installation.kit), _supply(tried, equipment), equipment.limits
    idle = behave(tried.installation, equipment, left, "idle")
    loaded = behave(tried.installation, equipment, left, "heat.all") if kit else {}
    if not all(supply.lowest * 1.02 < v < supply.highest * 0.98 for v in _between_lines({**idle, **loaded})):
        raise InTheWay(
            "supply.lowest or supply.highest",
            "a good supply comes too near it",
            "a range from at least 5 % below to at least 5 % above supply.nominal",
        )
    if kit is None:
        return
    circuit = equipment.control_circuit
    if circuit is not None:
        for volts in (float(idle["electrical.control.idle"]), float(loaded["electrical.control.loaded"])):
            if not circuit.lowest + 1.0 < volts < circuit.highest - 1.0:
                raise InTheWay(
                    "control_circuit.lowest or control_circuit.highest",
                    "it leaves too little room",
                    "a range that holds the nominal voltage less and plus a tenth",
                )
    _stages_draw(tried, equipment, kit, left)
    last = len(kit.stage)
    heat = behave(tried.installation, equipment, left, f"heat.{last}")
    rise = float(heat[f"heat.stage.{last}.leaving_air"]) - float(heat[f"heat.stage.{last}.return_air"])
    if not (limits.lowest_rise or 0.0) + 1.8 < rise < (limits.highest_rise or 1e9) - 1.8:
        raise InTheWay(
            "limits.lowest_rise or limits.highest_rise",
            "the kit warms the air to near it or beyond",
            "a range well around the rise that the kit gives to the airflow of the fan tables",
        )
    if not _covers(tried, equipment, kit, min(_between_lines(loaded))):
        raise InTheWay(
            "heater.power",
            "the kit does not cover what the heat pump leaves open, or is far too large for it",
            "a kit whose power and voltage go with the supplies",
        )


def _stages_draw(tried: Site, equipment: Equipment, kit: Heater, left: Settings) -> None:
    """Prove that each stage is seen to draw what it is rated for, once what shares its line is taken off.

    A blower's current is out of step with the elements', so less is added to theirs than is taken off.
    """
    if kit.phases != 1:
        return
    running = behave(tried.installation, equipment, left, "blower").get("electrical.blower.current", 0.0)
    before = {c.stages: float(running) * blower_in_line(equipment.blower, kit, c) for c in kit.circuit}
    for n, stage in enumerate(kit.stage, 1):
        read = behave(tried.installation, equipment, left, f"heat.{n}")
        for circuit in (c for c in kit.circuit if stage.id in c.stages):
            amps = float(read[f"electrical.stage.{n}.current"])
            volts = float(read[f"electrical.stage.{n}.voltage"])
            rated_a = heater_power(stage.power, kit.voltage, volts, kit.phases).current_a
            if not STAGE_LOW * 1.02 < (amps - before[circuit.stages]) / rated_a < STAGE_HIGH * 0.98:
                raise InTheWay(
                    "heater.stage.power",
                    "the current of a blower on the same circuit hides that of so small a stage",
                    "a larger stage, or a smaller blower.full_load_current",
                )
            before[circuit.stages] = amps


def _between_lines(read: Mapping[str, Truth]) -> list[float]:
    """Every line-to-line voltage among these values."""
    return [float(read[at + pair]) for at in (IDLE, LOADED) for pair in PAIRS if at + pair in read]


def _covers(tried: Site, equipment: Equipment, kit: Heater, volts: float) -> bool:
    """Whether the kit covers the shortfall at design, and is not far too large, with room to spare."""
    ledger = told(tried, equipment, dict(tried.settings), {})
    short = shortfall_w(ledger, estimate(ledger))
    given = kit.power * (volts / kit.voltage) ** 2
    return short is not None and short * 1.06 < given * 0.95 and given < OVERSIZE * short * 0.97


def prove_heater_has_air(tried: Site, equipment: Equipment, left: Settings, excused: frozenset[str]) -> None:
    """Prove that the kit has air to spare behind a loaded filter, and in the smallest zone.

    Where nothing says which tier runs, neither can be foretold, and the visit says so.
    """
    kit = equipment.kit(tried.installation.kit)
    least = kit.least(tried.installation.orientation) if kit else None
    if kit is None or least is None:
        return
    ledger = told(tried, equipment, left, {})
    e = estimate(ledger)
    tier = equipment.tier(e.tier)
    if tier is None:
        return
    now, final = known(ledger, "blower.static.filter"), known(ledger, "blower.filter.final_drop")
    if now is None or final is None:
        raise InTheWay(ROWS, "no airflow behind a loaded filter can be foretold", WIDER)
    flows = (
        [] if "BL-17" in excused else [heating_at_final_drop(ledger, e, tier, now.measured, final.measured)]
    )
    sides = [known(ledger, f"blower.zone.{side}") for side in ("supply", "return")]
    zone_pa = sum(abs(k.value) for k in sides if k is not None)
    if zone_pa > 0.0:
        # A reading may be off by this much, and still has to lie on the table.
        flows += [
            heating_in_zone(ledger, e, Measured(zone_pa * off, 0.0)) for off in (1.0 - NOISE, 1.0 + NOISE)
        ]
    known_flows = [q.value * e.pressure_ratio for q in flows if q is not None]
    if len(known_flows) < len(flows):
        raise InTheWay(ROWS, "a loaded filter or a closed zone takes the kit off the fan table", WIDER)
    if min(known_flows, default=math.inf) <= least * SPARE:
        raise failed("BL-11")


def _supply(tried: Site, equipment: Equipment) -> Supply:
    return equipment.supply_of(tried.job["identity.supply"]) or equipment.supply[0]
