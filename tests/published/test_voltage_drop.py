"""Voltage drop as worked in public places; each case names its own."""

from __future__ import annotations

import pytest

from asleft.calc import line_drop, voltage_drop


def test_control_circuit():
    """electrician2.com training page 135, which prints 4.0 V."""
    answer = voltage_drop(4.0, 30.48, "16 AWG", 24.0)
    assert answer.drop_v == pytest.approx(3.99, abs=0.005)
    assert answer.fraction == pytest.approx(0.166, abs=0.0005)


def test_three_phase():
    """EC&M, Basics of calculating voltage drop: 1.1 ohm/kft, 200 ft, 20 A, printed as 7.7 V."""
    assert line_drop(20.0, 200 * 0.3048, 1.1 / 304.8, 3) == pytest.approx(7.62, abs=0.005)
