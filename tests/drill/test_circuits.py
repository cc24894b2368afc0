"""Branch circuits of invented sites: as the rules of the place would have them."""

from __future__ import annotations

from random import Random
from typing import Any

import pytest

from asleft.drill.circuits import branches
from asleft.drill.fitted import Fitted
from asleft.equipment.model import Equipment
from support import demo_unit


def fitted(frequency: int, *, kit: str = "beech", **circuit: Any) -> tuple[Equipment, Fitted]:
    """7.2 kW at 240 V, 30 A, and a blower of 4.3 A on the same circuit: 34.3 A together."""
    unit = demo_unit()
    found = unit.kit(kit)
    assert found is not None
    only = found.circuit[0].model_copy(update=circuit)
    supply = unit.supply[0].model_copy(update={"frequency": frequency})
    return unit, Fitted(found.model_copy(update={"circuit": (only,)}), supply, None, "upflow", 0.0)


def test_with_a_marked_minimum_the_next_standard_device_above_it() -> None:
    """42.9 A marked: 45 A, and a conductor that carries 42.9 A in 75 degC terminals: 8 AWG, 50 A."""
    for seed in range(5):
        (branch,) = branches(Random(seed), *fitted(60)) or ()
        assert branch.device_a == 45.0
        # Derated from 55 A by 0.91 at 40 degC it still carries 50 A.
        assert branch.conductor == "8 AWG"
        assert branch.capacity_a is None


def test_without_a_marked_minimum_it_is_125_per_cent_of_the_load() -> None:
    """1.25 x 34.3 A = 42.9 A; without the blower 37.5 A and 40 A."""
    (branch,) = branches(Random(1), *fitted(60, minimum=None)) or ()
    assert branch.device_a == 45.0
    (branch,) = branches(Random(1), *fitted(60, minimum=None, feeds_blower=False)) or ()
    assert branch.device_a == 40.0


@pytest.mark.parametrize(("frequency", "maximum"), [(60, 40.0), (50, 32.0)])
def test_a_marked_maximum_below_the_least_device_cannot_be_built(frequency: int, maximum: float) -> None:
    """Such a draw is given up."""
    assert branches(Random(1), *fitted(frequency, maximum=maximum)) is None


def test_elsewhere_the_device_carries_the_load_and_the_conductor_carries_the_device() -> None:
    """34.3 A, no 125 %: a 40 A breaker, which 4 mm2 (36 A) cannot carry and 6 mm2 (46 A) can."""
    (branch,) = branches(Random(1), *fitted(50)) or ()
    assert (branch.device_a, branch.conductor, branch.capacity_a) == (40.0, "6 mm2", 46.0)


def test_a_run_drops_by_its_length_there_and_back() -> None:
    """6 to 18 m of 6 mm2, 3.08 ohm/km at 20 degC and 1.216 times that at 75 degC: 0.045 to 0.135 ohm."""
    for seed in range(20):
        (branch,) = branches(Random(seed), *fitted(50)) or ()
        assert 2 * 6 * 3.08e-3 * 1.21 < branch.loop_ohm < 2 * 18 * 3.08e-3 * 1.22
