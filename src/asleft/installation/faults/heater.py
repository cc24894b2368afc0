"""Faults of the heater: its elements, its relays, its limit."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from asleft.calc import rise_from_airflow
from asleft.installation.circuits import Circuits
from asleft.installation.dead import INSULATED_OHM
from asleft.installation.faults.kind import ALL_OR_NOTHING, CannotBe, Change, Kind, each_stage, kit_of

if TYPE_CHECKING:
    from asleft.equipment.model import Equipment, Heater
    from asleft.installation.unit import Installation

TRIPS_MILD, TRIPS_FULL = 0.65, 0.30
"""Part of the least rise that full heat can have here at which a limit gone soft opens."""
MOST_AIR = 1.05
"""How much more than the largest airflow of any table a blower moves at the most."""


def _open(installation: Installation, equipment: Equipment, size: float, where: str) -> Change:
    stage = kit_of(installation, equipment).stage[int(where) - 1]
    count = Circuits(installation, equipment).element_count(stage)
    gone = range(1, math.ceil(size * count) + 1)
    return Change({("elements", "open", (int(where), e)): True for e in gone}, (("kit",),))


def _powers(kit: Heater, other: Heater) -> tuple[float, ...]:
    """Power at this kit's voltage of another's stages in the places of this one's."""
    watts = [s.power * (kit.voltage / other.voltage) ** 2 for s in other.stage]
    count = len(kit.stage)
    first = [*watts[: count - 1], sum(watts[count - 1 :])] if len(watts) > count else watts
    return (*first, *([0.0] * (count - len(first))))


def _others(installation: Installation, equipment: Equipment) -> tuple[str, ...]:
    kit = kit_of(installation, equipment)
    each_stage(installation, equipment)
    own = tuple(s.power for s in kit.stage)
    others = [k for k in equipment.heater if k.phases == kit.phases and _powers(kit, k) != own]
    if not others:
        raise CannotBe("the unit takes no other kit that could stand in this one's place")
    return tuple(k.id for k in sorted(others, key=lambda k: abs(k.power - kit.power)))


def _other(installation: Installation, equipment: Equipment, _size: float, where: str) -> Change:
    kit, other = kit_of(installation, equipment), equipment.kit(where)
    assert other is not None
    put = {("elements", "stage_w", n): watts for n, watts in enumerate(_powers(kit, other), 1)}
    return Change(put, (("kit",),))


def _welded(_installation: Installation, _equipment: Equipment, _size: float, where: str) -> Change:
    return Change({("elements", "welded", int(where)): True}, (("kit",),))


def _grounded(installation: Installation, equipment: Equipment, size: float, where: str) -> Change:
    """From the middle of an element: nothing lies in the way at full size, sound insulation at none."""
    stage = kit_of(installation, equipment).stage[int(where) - 1]
    half_ohm = 0.5 / Circuits(installation, equipment).element_siemens(int(where), stage)
    path_ohm = min(INSULATED_OHM, half_ohm * (1.0 / size - 1.0))
    return Change({("elements", "grounded_ohm", int(where)): path_ohm}, (("kit",),))


def _limited(installation: Installation, equipment: Equipment) -> tuple[str, ...]:
    each_stage(installation, equipment)
    return ("",)


def _soft(installation: Installation, equipment: Equipment, size: float, _where: str) -> Change:
    tables = (s.rows for t in equipment.blower.tier for s in t.speed)
    most_m3s = max(r.airflow_m3s for rows in tables for r in rows if r.airflow_m3s is not None)
    kit = kit_of(installation, equipment)
    least_k = rise_from_airflow(kit.power, MOST_AIR * most_m3s, 0.0, installation.altitude_m)
    part = TRIPS_MILD + (TRIPS_FULL - TRIPS_MILD) * size
    opens_c = installation.return_air_c + part * least_k
    return Change({("elements", "limit_opens_c"): opens_c}, (("kit",),))


KINDS = (
    Kind("element-open", "Element open", "stage.{}", "the part of the stage's elements", each_stage, _open),
    Kind("kit-not-as-labelled", "Kit not as labelled", "stage.*", ALL_OR_NOTHING, _others, _other),
    Kind("relay-welded", "Heat relay welded", "stage.{}", ALL_OR_NOTHING, each_stage, _welded),
    Kind(
        "element-grounded",
        "Element to the frame",
        "stage.{}",
        "from a poor path to a dead one",
        each_stage,
        _grounded,
    ),
    Kind("limit-cycling", "Limit opens too soon", "stage.*", "how far too soon", _limited, _soft),
)
