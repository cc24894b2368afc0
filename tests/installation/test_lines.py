"""Three lines: what loads between their pairs draw, by hand."""

from __future__ import annotations

from dataclasses import replace
from math import hypot, sqrt
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from asleft.installation.behave import behave
from asleft.installation.estimate import estimate
from asleft.installation.lines import PAIRS, triangle
from installation.test_behave import COPPER, IDEAL, stored
from installation.units import Job, three_phase_file, unit

LEGS = ("l1", "l2", "l3")
EVEN = triangle((208.0, 208.0, 208.0))


def truth(state: str, motor: int = 1, **changes: Any) -> dict[str, Any]:
    """What the reference on three phases reads, something about it otherwise."""
    installation = replace(IDEAL, phases=3, system="wye", **changes)
    return behave(installation, unit(three_phase_file(motor)), stored(), state)


def called(found: dict[str, Any]) -> list[float]:
    """The three legs of the circuit."""
    return [found[f"electrical.circuit.1.called.{leg}"] for leg in LEGS]


def test_even_voltages_stand_120_degrees_apart() -> None:
    """They add up to nothing; each leads the next."""
    assert [abs(v) for v in EVEN] == pytest.approx([208.0] * 3)
    assert abs(sum(EVEN)) < 1e-9
    assert EVEN[1] / EVEN[0] == pytest.approx(complex(-0.5, -sqrt(3) / 2))


SIDES = st.floats(200.0, 216.0)


@given(SIDES, SIDES, SIDES)
def test_three_voltages_close_a_triangle(first: float, second: float, third: float) -> None:
    """Their sides are as read, and round them one comes back to where one began."""
    pairs = triangle((first, second, third))
    assert [abs(v) for v in pairs] == pytest.approx([first, second, third])
    assert abs(sum(pairs)) < 1e-9


def test_a_single_phase_blower_loads_two_legs() -> None:
    """23.09 A of heat in each line; 2.5 A between L1 and L2, 30 degrees off: 25.29 A there, nothing on L3."""
    heat = 9600 / (sqrt(3) * 240)
    found = called(truth("heat.all"))
    two = sqrt((heat + 2.5 * sqrt(3) / 2) ** 2 + 1.25**2)
    assert found == pytest.approx([two, two, heat], rel=1e-5)
    assert truth("heat.2")["electrical.stage.2.current"] == pytest.approx(heat)


def test_a_three_phase_blower_loads_all_three() -> None:
    """400 W at a power factor of 2/3 are 600 VA: 1.443 A in each line."""
    assert called(truth("heat.all", 3)) == pytest.approx([(9600 + 600) / (sqrt(3) * 240)] * 3, rel=1e-5)


def test_legs_at_rest_carry_what_the_control_draws() -> None:
    """A single-phase one hangs on L1 and L2."""
    for motor, quiet in ((1, 0.0), (3, 0.1)):
        found = truth("idle", motor, standby_a=0.1)
        assert [found[f"electrical.circuit.1.no_call.{leg}"] for leg in LEGS] == [0.1, 0.1, quiet]


def test_volts_sag_as_the_load_says() -> None:
    """A stage alone is 12 ohm seen from the lines: I = V / (root 3 x 12); 0.2 ohm of loop take 0.96 %."""
    found = truth("heat.1", branches=(replace(COPPER, loop_ohm=0.2), COPPER), blower_power_factor=1e9)
    left = 240.0 / (1 + 0.2 / (sqrt(3) * 12.0))
    assert found["electrical.stage.1.voltage"] == pytest.approx(left)
    assert found["electrical.stage.1.l2_l3"] == pytest.approx(left)
    assert found["electrical.stage.1.current"] == pytest.approx(left / (sqrt(3) * 12.0))


def test_a_single_phase_kit_on_three_lines_pulls_two_of_them_down() -> None:
    """6 ohm behind 0.1 ohm a line: 38.7 A. L1-L2 232.3 V; L2-L3 240 V at -120 degrees and 3.9 V: 238.1 V."""
    data = three_phase_file()
    for kit in data["heater"]:
        kit |= {"phases": 1}
        for stage in kit["stage"]:
            stage |= {"elements": 1, "connection": "single"}
    weak = (replace(COPPER, loop_ohm=0.2), COPPER)
    there = replace(IDEAL, phases=3, system="wye", branches=weak, blower_power_factor=1e9)
    found = behave(there, unit(data), stored(), "heat.all")
    amps = 240.0 / 6.2
    assert found["electrical.circuit.1.called.l1"] == pytest.approx(amps)
    assert found["electrical.circuit.1.called.l2"] == pytest.approx(amps)
    assert "electrical.circuit.1.called.l3" not in found
    assert found["electrical.loaded.l1_l2"] == pytest.approx(6.0 * amps)
    aside = hypot(120.0 - 0.1 * amps, 120.0 * sqrt(3))
    assert [found[f"electrical.loaded.{pair}"] for pair in PAIRS[1:]] == pytest.approx([aside] * 2)


def test_uneven_lines_are_read_pair_by_pair() -> None:
    """1 % up, level, 1 % down; a leg to ground lies between its two pairs over root 3."""
    found = truth("idle", spread=(0.01, 0.0, -0.01))
    assert [found[f"electrical.line.{pair}"] for pair in PAIRS] == pytest.approx([242.4, 240.0, 237.6])
    assert found["electrical.line.l2_ground"] == pytest.approx(241.2 / sqrt(3))


def test_heat_on_uneven_lines_is_that_of_every_element() -> None:
    """Each of 36 ohm on its own pair, two beside each other: the sum of V^2 / 18, blower 400 W."""
    even, uneven = truth("heat.2"), truth("heat.2", spread=(0.01, 0.0, -0.01))
    rise = [h["heat.stage.2.leaving_air"] - h["heat.stage.2.return_air"] for h in (even, uneven)]
    watts = sum(v**2 / 18.0 for v in (242.4, 240.0, 237.6))
    assert rise[1] / rise[0] == pytest.approx((watts + 400) / (9600 + 400), rel=1e-5)


def job(motor: int = 1) -> Job:
    """A visit to it."""
    return Job(unit(three_phase_file(motor)), instruments=False).identified()


def test_heat_is_reckoned_from_the_mean_of_three_voltages() -> None:
    """238, 240 and 242 V are 240 V, once all three are known."""
    told = job()
    for pair, volts in zip(PAIRS, (238.0, 240.0, 242.0), strict=True):
        assert estimate(told.ledger).line_idle_v is None
        told.read(f"electrical.line.{pair}", volts)
    found = estimate(told.ledger)
    assert found.line_idle_v is not None
    assert found.line_idle_v.value == pytest.approx(240.0)
    assert found.heater_power_w is not None
    assert found.heater_power_w.value == pytest.approx(9600.0)
    assert found.rests["heat"] == tuple(f"electrical.line.{pair}" for pair in PAIRS)


@pytest.mark.parametrize(("motor", "amps"), [(1, 23.0), (3, 24.5)])
def test_heat_is_root_3_volts_and_amps_less_a_blower_that_loads_that_line(motor: int, amps: float) -> None:
    """root 3 x 238 V x 23.0 A = 9481 W, whether the line read carries 1.5 A of the blower or not."""
    told = job(motor)
    told.read("electrical.blower.current", 1.5)
    for name, volts in zip(("voltage", "l2_l3", "l3_l1"), (236.0, 238.0, 240.0), strict=True):
        told.read(f"electrical.stage.2.{name}", volts)
    told.read("electrical.stage.2.current", amps)
    told.read("electrical.line.l1_l2", 240.0)
    for pair in PAIRS:
        told.read(f"electrical.line.{pair}", 240.0)
    found = estimate(told.ledger).heater_power_w
    assert found is not None
    assert found.value == pytest.approx(sqrt(3) * 238 * 23.0)


def test_source_resistance_takes_the_mean_of_three_legs() -> None:
    """240 V idle, 237 V with 31, 31 and 28 A: 0.1 ohm."""
    told = job()
    for pair in PAIRS:
        told.read(f"electrical.line.{pair}", 240.0)
        told.read(f"electrical.loaded.{pair}", 237.0)
    for leg, amps in zip(LEGS, (31.0, 31.0, 28.0), strict=True):
        told.read(f"electrical.circuit.1.called.{leg}", amps)
    found = estimate(told.ledger).source_resistance_ohm
    assert found is not None
    assert found.value == pytest.approx(0.1)
