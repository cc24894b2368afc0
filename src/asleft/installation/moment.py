"""One installed unit in one moment: what its settings make it do, and what instruments make of that."""

from __future__ import annotations

from collections.abc import Collection
from typing import TYPE_CHECKING

from asleft.calc import phase_factor, rise_from_airflow
from asleft.installation.circuits import Circuits, Flow
from asleft.installation.in_force import Settings, option_in_force
from asleft.installation.moving_air import STILL, Air, moving

if TYPE_CHECKING:
    from asleft.equipment.model import Equipment, Heater, Option, Tier, Use
    from asleft.installation.unit import Installation

HALF_LOADED = 0.5
"""How far a transformer is loaded where nobody says what it is rated for."""


class Moment:
    """What every state of the unit is made of."""

    def __init__(self, installation: Installation, equipment: Equipment, settings: Settings) -> None:
        self.truth, self.equipment, self.settings = installation, equipment, settings
        self.kit: Heater | None = equipment.kit(installation.kit)
        self.circuits = Circuits(installation, equipment)
        tier, heat = self.option("blower-tier"), self.option("auxiliary-heat")
        self.tier: Tier = (equipment.tier(str(tier.value)) if tier else None) or equipment.blower.tier[0]
        kit_stages = tuple(s.id for s in self.kit.stage) if self.kit else ()
        allowed = tuple(heat.value) if heat else kit_stages
        self.allowed = tuple(n for n, s in enumerate(kit_stages, 1) if s in allowed)

    def option(self, role: str) -> Option | None:
        """The option in force of the topic that plays a role."""
        truth = self.truth
        return option_in_force(self.equipment, role, self.settings, truth.orientation, truth.kit)

    # ---- air

    def air(self, use: Use) -> Air:
        """Where the blower runs; nowhere while it has no power."""
        if not self.circuits.alive:
            return STILL
        return moving(self.truth, self.equipment, self.tier, use)

    def statics(self, air: Air) -> tuple[float, float]:
        """What a manometer shows for the supply and for the return side."""
        zero_pa = self.truth.probes.zero_pa
        supply, back = air.supply_pa, -air.return_pa
        if self.truth.probes.hoses_swapped:
            supply, back = back, supply
        return supply + zero_pa, back + zero_pa

    def rise_k(self, watts: float, air: Air) -> float:
        """How much so many watts warm this air; not at all where none moves."""
        if air.airflow_m3s <= 0.0:
            return 0.0
        return rise_from_airflow(watts, air.airflow_m3s, 0.0, self.truth.altitude_m)

    def leaving_c(self, heat_w: float, air: Air) -> float:
        """What a probe in the supply duct reads."""
        rise = self.rise_k(heat_w + air.power_w, air) * self.truth.rise_factor
        seen = self.truth.probes.elements_seen
        if seen:
            rise += seen * self.rise_k(heat_w, air)
        return self.truth.return_air_c + rise

    # ---- circuits

    def called(self, stages: Collection[int], air: Air) -> Flow:
        """What flows with these stages called, as far as they come on."""
        return self.circuits.flow(self.on(stages), air.power_w)

    def on(self, stages: Collection[int]) -> tuple[int, ...]:
        """Those of these stages that come on: the allowed ones, while control and blower have power."""
        return tuple(n for n in self.allowed if n in stages) if self.circuits.alive else ()

    def blower_a(self, air: Air, volts: float) -> float:
        """What a blower draws at these volts."""
        if air.power_w <= 0.0:
            return 0.0
        factor = phase_factor(self.equipment.blower.phases)
        return float(air.power_w / (volts * factor * self.truth.blower_power_factor))

    def control_v(self, volts: float, *, called: bool) -> float:
        """The control transformer's secondary; beyond its rating it gives no more than that."""
        circuit, supply = self.equipment.control_circuit, self.truth
        if circuit is None:
            return 0.0
        nearest = min(self.equipment.supply, key=lambda s: abs(s.nominal - supply.source_v)).nominal
        idle = circuit.nominal * volts / nearest * supply.control_factor * supply.control.tap
        if not called:
            return idle
        loads = sum(load.power for load in circuit.loads) + supply.control.added_va
        fraction = loads / circuit.transformer if circuit.transformer else HALF_LOADED
        sagged = idle * (1.0 - supply.control_regulation * min(fraction, 1.0))
        # What hangs on it takes power as the square of the volts.
        return sagged / fraction**0.5 if fraction > 1.0 else sagged
