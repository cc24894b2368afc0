"""Resistance heaters and their circuits as worked in public places; each case names its own."""

from __future__ import annotations

import pytest

from asleft.calc import branch_circuit, heater_power


def test_ten_kilowatts_on_208_volts():
    """ACHR News quiz, article 91057."""
    answer = heater_power(10000.0, 240.0, 208.0)
    assert answer.resistance_ohm == pytest.approx(5.76, abs=0.005)
    assert answer.current_a == pytest.approx(36.11, abs=0.005)
    assert answer.power_w == pytest.approx(7511, abs=0.5)
    assert answer.fraction == pytest.approx(0.7511, abs=5e-5)


@pytest.mark.parametrize(
    ("power_w", "blower_a", "load_a", "minimum_a", "device_a", "conductor"),
    [
        pytest.param(9600, 3, 43, 53.75, 60, "6 AWG", id="Mike Holt Enterprises newsletter 2089"),
        pytest.param(5000, 0, 20.83, 26.04, 30, "10 AWG", id="forums.mikeholt.com thread 78707"),
        pytest.param(10000, 0, 41.67, 52.08, 60, "6 AWG", id="intrysys.com electric-furnace table"),
    ],
)
def test_branch_circuit(power_w, blower_a, load_a, minimum_a, device_a, conductor):
    """One circuit at 240 V, terminals at 60 degC."""
    answer = branch_circuit(power_w, 240.0, blower_current_a=blower_a)
    assert answer.load_current_a == pytest.approx(load_a, abs=0.005)
    assert answer.minimum_ampacity_a == pytest.approx(minimum_a, abs=0.005)
    assert (answer.overcurrent_device_a, answer.conductor, answer.parts) == (device_a, conductor, 1)


def test_fifteen_kilowatts_is_divided():
    """forums.mikeholt.com thread 89927."""
    answer = branch_circuit(15000.0, 240.0)
    assert answer.load_current_a == pytest.approx(62.5)
    assert answer.minimum_ampacity_a == pytest.approx(78.1, abs=0.05)
    assert answer.overcurrent_device_a == 80.0
    assert answer.parts > 1


def test_exactly_48_amperes_is_not_divided():
    """Computed here: 11.52 kW at 240 V is 48.0 A, its circuit 60.0 A, and neither is stepped over."""
    answer = branch_circuit(11520.0, 240.0)
    assert (answer.minimum_ampacity_a, answer.overcurrent_device_a, answer.parts) == (60.0, 60.0, 1)
    assert branch_circuit(11521.0, 240.0)[2:] == (70.0, "4 AWG", 2)
