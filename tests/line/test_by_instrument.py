"""A reading that names its instrument carries that instrument's uncertainty."""

from __future__ import annotations

import json
from math import sqrt

import pytest

from asleft import cli

HEATER = ["work", "heater-power", "rated_power=9.6 kW", "rated_voltage=240 V"]
RISE = ["work", "airflow-from-rise", "heater_power=9.6 kW"]


def answered(capsys: pytest.CaptureFixture[str], *words: str) -> dict[str, dict[str, float]]:
    """The inputs of an answer in JSON."""
    assert cli.main([*words, "--json"]) == 0
    inputs: dict[str, dict[str, float]] = json.loads(capsys.readouterr().out)["inputs"]
    return inputs


def test_a_meters_limit_becomes_the_readings_uncertainty(capsys: pytest.CaptureFixture[str]) -> None:
    """0.5 % of 238.2 V and 2 counts of 0.1 V: a = 1.391 V, U = 2 a / sqrt 3 (JCGM 100, 4.3.7)."""
    found = answered(capsys, *HEATER, "voltage=238.2 V by meter-corwen")["voltage"]
    assert found["uncertainty"] == pytest.approx(2 * 1.391 / sqrt(3))
    same = answered(capsys, *HEATER, "voltage=238.2 V ± 1.391")["voltage"]
    assert found["uncertainty"] == pytest.approx(same["uncertainty"])


def test_each_reading_of_a_list_names_its_own(capsys: pytest.CaptureFixture[str]) -> None:
    """One with an instrument, two without."""
    words = ("work", "voltage-unbalance", "voltages=462 V by meter-corwen, 463 V, 455 V")
    assert cli.main([*words]) == 0
    assert "known to within 2.51 V" in capsys.readouterr().out


def test_a_rise_is_the_difference_of_two_readings(capsys: pytest.CaptureFixture[str]) -> None:
    """Two independent probes of ± 0.5 K each: sqrt 2 times one of them."""
    found = answered(capsys, *RISE, "rise=26.3 degF by thermometer-pell")["rise"]
    assert found["uncertainty"] == pytest.approx(sqrt(2) * 2 * 0.5 / sqrt(3))


@pytest.mark.parametrize(
    ("voltage", "says"),
    [
        ("238.2 V by meter-corwe", "meter-corwen, perhaps"),
        ("238.2 V by ", "is no instrument"),
        ("238.2 V ± 1 by meter-corwen", "one of the two"),
        ("238.2 V by thermometer-pell", "measures"),
        ("1,5 V by meter-corwen", "voltage"),
    ],
)
def test_an_instrument_that_cannot_be_meant_is_refused(
    capsys: pytest.CaptureFixture[str], voltage: str, says: str
) -> None:
    """Exit 2, one line that names the input, nothing on standard output."""
    assert cli.main([*HEATER, f"voltage={voltage}"]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert told.err.startswith("work: voltage: ")
    assert says in told.err
    assert told.err.count("\n") == 1
