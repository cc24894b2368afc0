"""Worked examples of what a meter is good for, typed into a visit: the uncertainty shown and the verdict.

Each source is cited with its address in the file of this folder that stands in brackets behind its name.
"""

from __future__ import annotations

from math import sqrt

import pytest

from published.printed import printed
from published.typed import Worked, blower, supply, unit

METER = "identity.instrument.meter"


def meter(accuracy: str, until: str = "2039-01-31") -> dict[str, str]:
    """A voltmeter as a person enters their own."""
    return {METER: f"Meter | voltage {accuracy}, resistance 0.001 ohm | {until}"}


@pytest.mark.published
@pytest.mark.parametrize(
    ("nominal", "lowest", "highest", "verdict"),
    [
        ("120 V", "118.70 V", "121.30 V", "pass"),
        ("120 V", "118.96 V", "121.04 V", "conditional pass"),
        ("122 V", "121.00 V", "123.00 V", "conditional fail"),
        ("122 V", "121.30 V", "123.00 V", "fail"),
    ],
)
def test_a_meter_of_0_7_per_cent_and_2_counts_on_120_volts(
    nominal: str, lowest: str, highest: str, verdict: str
) -> None:
    """electrical-contractor.net, thread 31601 (test_instrument_accuracy): 118.96 to 121.04 V, limit 1.04 V.

    What is shown is U, twice 1.04 V / root 3: inside a limit by 1.2 V a reading passes, outside it fails.
    """
    typed = meter("0.7 % + 2 x 0.1 V") | {"electrical.line.l1_l2": "120.0 V"}
    finding = Worked(unit(supply(nominal, lowest, highest), blower()), typed).finding("EL-2 unit")
    assert finding.verdict == verdict
    assert "120.0 V ± 1.2 V" in finding.text
    assert finding.uncertainty is not None
    assert finding.uncertainty * sqrt(3) / 2 == printed("1.04")


@pytest.mark.published
@pytest.mark.parametrize(
    ("volts", "risk", "verdict"),
    [("10.0", ".01242", "pass"), ("10.5", ".10574", "conditional pass"), ("12.0", ".99379", "fail")],
)
def test_the_probability_that_a_reading_conforms(volts: str, risk: str, verdict: str) -> None:
    """Sandia National Laboratories, Suncal (test_sandia_suncal): limits 9 and 11, standard deviation 0.4.

    It prints the risk, what the probability leaves of 1; a limit of 0.4 V x root 3 is that deviation.
    """
    control = '[control_circuit]\nnominal = "10 V"\nlowest = "9 V"\nhighest = "11 V"\n'
    typed = meter(f"{0.4 * sqrt(3):.9f} V") | {"electrical.control.idle": f"{volts} V"}
    finding = Worked(unit(supply("240 V", "200 V", "260 V"), control, blower()), typed).finding(
        "EL-6 unit.idle"
    )
    assert finding.verdict == verdict
    assert f"{volts} V ± 0.8 V" in finding.text
    assert finding.probability is not None
    assert 1.0 - finding.probability == printed(risk)


@pytest.mark.own_arithmetic
@pytest.mark.parametrize(("until", "verdict"), [("2039-01-31", "pass"), ("2019-01-31", "fail")])
def test_a_calibration_that_has_run_out_is_told(until: str, verdict: str) -> None:
    """The day of the visit, in 2026, against the day on the sticker."""
    finding = Worked(unit(supply("240 V", "200 V", "260 V"), blower()), meter("0.5 V", until)).finding(
        "ID-7 instrument.Meter"
    )
    assert finding.verdict == verdict
    assert until in finding.text
