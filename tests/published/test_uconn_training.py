"""University of Connecticut, Industrial Training and Assessment Center, training notes.

github.com/UCONN-ITAC/itac-docs: docs/Training/4-Electric-Motor-Systems/Affinity-Laws.md, commit 26225f6c;
docs/Training/1-Basics/Heat-Transfer.md and Thermodynamics.md, commit 7a383640. Opened.
"""

from __future__ import annotations

import pytest

from asleft.quantity import from_unit, to_unit
from published.printed import printed, result, tolerance

pytestmark = pytest.mark.published


def test_affinity_laws_from_1200_to_960_rpm():
    """A fan of 50 kW slowed from 1200 to 960 r/min takes 25.6 kW."""
    power = result(
        "fan-law",
        "power",
        "kW",
        airflow="1 m3/s",
        static="1 Pa",
        power="50 kW",
        speed_ratio=repr(960 / 1200),
    )
    assert power == printed("25.6")


def test_affinity_laws_from_10_000_to_6000_cfm():
    """A fan of 10 000 cfm and 40 kW that is to give 6000 cfm takes 8.6 kW."""
    typed = {"airflow": "10000 cfm", "static": "1 Pa", "power": "40 kW", "speed_ratio": repr(6000 / 10000)}
    assert result("fan-law", "airflow", "cfm", **typed) == printed("6000")
    assert result("fan-law", "power", "kW", **typed) == printed("8.6")


def test_a_quarter_more_flow_costs_half_as_much_again_and_more():
    """25 % more flow raises the pressure drop by 56 %."""
    static = result("system-curve", "static", airflow="1 m3/s", static="100 Pa", new_airflow="1.25 m3/s")
    assert static - 100.0 == printed("56")


def test_seven_tenths_of_the_flow_take_a_third_of_the_power():
    """0.7 cubed is printed as 0.343."""
    typed = {"airflow": "1 m3/s", "static": "1 Pa", "power": "1 W", "speed_ratio": "0.7"}
    assert result("fan-law", "power", **typed) == printed("0.343")


def test_a_kilowatt_in_british_units():
    """200 kW is printed as 682 400 Btu/h, from 3412 Btu/h a kilowatt: to the digits of that factor."""
    assert to_unit(1000.0, "heat_rate", "Btu/h") == printed("3412")
    assert to_unit(200e3, "heat_rate", "Btu/h") == pytest.approx(682400, abs=200 * tolerance("3412"))


def test_a_ton_is_12_000_btu_an_hour_and_not_4000():
    """The notes print 300 tons as 1 200 000 Btu/h, which is 100 tons by their own 12 000: we differ there."""
    assert to_unit(from_unit(300.0, "heat_rate", "ton"), "heat_rate", "Btu/h") == printed("3600000")
    assert to_unit(from_unit(160000.0, "heat_rate", "Btu/h"), "heat_rate", "ton") == printed("13.3")
