"""Voltage unbalance as worked in public places; each case names its own."""

from __future__ import annotations

import pytest

from asleft.calc import voltage_unbalance


@pytest.mark.parametrize(
    ("volts", "percent"),
    [
        pytest.param((462, 463, 455), 1.09, id="eng-tips.com, thread on voltage unbalance"),
        pytest.param((460, 467, 450), 1.96, id="tools.gera.services, AC voltage imbalance"),
        pytest.param((480, 476, 472), 0.84, id="industrialmonitordirect.com, voltage unbalance"),
    ],
)
def test_unbalance(volts, percent):
    """Largest deviation from the mean over the mean; largest minus smallest is the wrong method."""
    assert 100 * voltage_unbalance(volts).unbalance == pytest.approx(percent, abs=0.006)


@pytest.mark.parametrize(("percent", "factor"), [(1, 1.0), (2, 0.95), (3, 0.885), (4, 0.82), (5, 0.755)])
def test_nema_mg_1_derating(percent, factor):
    """NEMA MG 1, figure 14-1, read from the curve to 0.02."""
    off = percent / 100
    answer = voltage_unbalance((480.0, 480.0 * (1 - off), 480.0 * (1 + off)))
    assert answer.unbalance == pytest.approx(off)
    assert answer.derating == pytest.approx(factor, abs=0.02)


def test_beyond_five_per_cent_there_is_no_derating():
    """Above 5 % a motor is not to be run, so no factor is given."""
    assert voltage_unbalance((480.0, 480.0 * 0.949, 480.0 * 1.051)).derating is None
