"""What stands at an invented site: kit, supply, outdoor unit, orientation and altitude that go together."""

from __future__ import annotations

from dataclasses import dataclass
from random import Random
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from asleft.equipment.model import Equipment, Heater, Pairing, Supply


@dataclass(frozen=True, slots=True)
class Fitted:
    """The parts of one installation, as its papers name them."""

    kit: Heater | None
    supply: Supply
    pairing: Pairing | None
    orientation: str | None
    altitude_m: float

    @property
    def system(self) -> str:
        """How the supply is grounded."""
        nominal = self.supply.nominal
        if self.supply.phases == 3 or 200.0 < nominal < 215.0 or nominal > 400.0:
            return "wye"
        to_neutral = self.metric or nominal < 150.0 or 260.0 < nominal < 300.0
        return "line-neutral" if to_neutral else "split"

    @property
    def metric(self) -> bool:
        """Whether people there think in metric units."""
        return metric(self.supply)

    @property
    def code(self) -> str:
        """The electrical code in force."""
        return "IEC 60364" if self.metric else "NEC 2023"


def fit(random: Random, equipment: Equipment) -> Fitted | None:
    """Parts that the maker lets go together, or None where this draw has none."""
    kit = random.choice(equipment.heater) if equipment.heater else None
    supplies = [s for s in equipment.supply if kit is None or _suits(kit, s)]
    supply = random.choice(supplies) if supplies else None
    pairings = equipment.heat_pump.pairing if equipment.heat_pump else ()
    pairing = random.choice(pairings) if pairings else None
    ways = [o for o in equipment.unit.orientations if _may_stand(equipment, kit, o)]
    orientation = random.choice(ways) if ways else None
    altitude_m = float(random.choice((0, 15, 60, 120, 240, 400, 760, 1200, 1650)))
    if supply is None or (equipment.unit.orientations and orientation is None):
        return None
    return Fitted(kit, supply, pairing, orientation, altitude_m)


def metric(supply: Supply) -> bool:
    """Whether a site with this supply thinks in metric units: where it alternates 50 times a second."""
    return supply.frequency == 50


def cooling_w(pairing: Pairing) -> float:
    """The middle of a pairing's nominal cooling capacities, W."""
    low, high = pairing.lowest_cooling, pairing.highest_cooling
    return ((low or high or pairing.capacity_47) + (high or low or pairing.capacity_47)) / 2.0


def _suits(kit: Heater, supply: Supply) -> bool:
    return supply.phases >= kit.phases and (not kit.supplies or supply.id in kit.supplies)


def _may_stand(equipment: Equipment, kit: Heater | None, orientation: str) -> bool:
    """Whether the kit may be used this way round and every topic has an option for it."""
    if kit is not None and kit.orientations and orientation not in kit.orientations:
        return False
    return all(t.options(orientation, kit.id if kit else "none") for t in equipment.topic)
