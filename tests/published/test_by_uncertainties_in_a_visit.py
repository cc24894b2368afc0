"""The `uncertainties` library as live oracle for what a visit derives from its readings, readings at random.

What each reading and the fan table are known to is taken as stated; what is derived from them is computed
here a second time, from the formula, in the library's numbers.
"""

from __future__ import annotations

from typing import NamedTuple

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from uncertainties import ufloat

from asleft.calc import Measured
from asleft.checks import Finding
from asleft.installation.estimate import Estimate, estimate
from checks.visits import judged, say, visit

pytestmark = pytest.mark.independent_library

BTU_H, CFM = 1055.05585262 / 3600, 0.3048**3 / 60
CARRIED = 1.08 * BTU_H / CFM * 1.8


class Read(NamedTuple):
    """Some readings of a visit, in the units in which they are typed."""

    supply: float
    back: float
    volts: float
    idle: float
    entering: float
    rise: float


READINGS = st.builds(
    Read,
    supply=st.floats(0.25, 0.45),
    back=st.floats(0.15, 0.35),
    volts=st.floats(228, 239),
    idle=st.floats(239, 244),
    entering=st.floats(64, 74),
    rise=st.floats(24, 28),
)


def told(read: Read) -> tuple[Estimate, dict[str, Finding]]:
    """Give what is known and found of a healthy visit with these readings."""
    job = visit(
        say("blower.static.supply", f"{read.supply!r} inH2O"),
        say("blower.static.return", f"{-read.back!r} inH2O"),
        say("heat.static.supply", f"{read.supply!r} inH2O"),
        say("heat.static.return", f"{-read.back!r} inH2O"),
        say("electrical.line.l1_l2", f"{read.idle!r} V"),
        say("electrical.loaded.l1_l2", f"{read.volts!r} V"),
        say("heat.stage.2.return_air", f"{read.entering!r} F"),
        say("heat.stage.2.leaving_air", f"{read.entering + read.rise!r} F"),
    )
    return estimate(job.ledger), judged(job)


def number(measured: Measured | None) -> ufloat:
    """Turn a value with its U into the library's number."""
    assert measured is not None
    return ufloat(measured.value, measured.expanded / 2)


def agrees(measured: Measured | None, expected: ufloat) -> None:
    """Value and U alike."""
    assert measured is not None
    assert measured.value == pytest.approx(expected.nominal_value, rel=1e-9)
    assert measured.expanded == pytest.approx(2 * expected.std_dev, rel=1e-6)


few = settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.too_slow])


@few
@given(READINGS)
def test_airflow_by_the_rise(read):
    """Heat of volts and amps, over the difference of two independent thermometer readings."""
    known, _ = told(read)
    assert known.airflow_by_rise_m3s is not None
    entering, leaving = (
        ufloat((degrees - 32) / 1.8, 0.5 / 3**0.5) for degrees in (read.entering, read.entering + read.rise)
    )
    fan_w = known.heating_fan_power_w or 0.0
    heat = number(known.heater_power_w) + fan_w
    agrees(known.airflow_by_rise_m3s, heat / (CARRIED * (leaving - entering) * known.pressure_ratio))


@few
@given(READINGS)
def test_rise_measured_against_rise_predicted(read):
    """Their difference is held within its own U: measured by two thermometers, predicted by the fan table."""
    known, findings = told(read)
    finding = findings["HS-6 unit"]
    entering, leaving = (
        ufloat((degrees - 32) / 1.8, 0.5 / 3**0.5) for degrees in (read.entering, read.entering + read.rise)
    )
    flow = number(known.heating_by_table_m3s)
    heat = number(known.heater_power_w) + known.blower_heat_w
    apart = (leaving - entering) - heat / (CARRIED * flow * known.pressure_ratio)
    assert finding.value == pytest.approx(apart.nominal_value, rel=1e-6, abs=1e-9)
    assert finding.upper == pytest.approx(2 * apart.std_dev, rel=1e-6)


@few
@given(READINGS)
def test_source_resistance(read):
    """Volts lost for each ampere, three readings; two of one meter taken as independent."""
    known, _ = told(read)
    limits = [0.005 * volts + 0.2 for volts in (read.idle, read.volts)]
    idle, loaded = (
        ufloat(volts, limit / 3**0.5) for volts, limit in zip((read.idle, read.volts), limits, strict=True)
    )
    amperes = ufloat(43.0, (0.005 * 43.0 + 0.01) / 3**0.5)
    expected = (idle - loaded) / amperes
    assert known.source_resistance_ohm is not None
    assert known.source_resistance_ohm.value == pytest.approx(expected.nominal_value, abs=1e-9)
    assert known.source_resistance_ohm.expanded == pytest.approx(2 * expected.std_dev, rel=1e-6)
