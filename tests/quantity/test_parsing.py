"""What people type, read as quantities."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from asleft.quantity import KINDS, QuantityError, parse, show

READS = [
    ("0.52 in wc", "static_pressure", 129.52623),
    ('.52"', "static_pressure", 129.52623),
    (".52”", "static_pressure", 129.52623),
    ("0.52 iwc", "static_pressure", 129.52623),
    ("0.52 inH2O", "static_pressure", 129.52623),
    ("0.52 in. w.c.", "static_pressure", 129.52623),
    ("-0.2 in wc", "static_pressure", -49.817782),
    ("−0.2 in wc", "static_pressure", -49.817782),
    ("130 Pa", "static_pressure", 130.0),
    ("130pa", "static_pressure", 130.0),
    ("1 200 cfm", "airflow", 0.56633693),
    ("1\u202f200 CFM", "airflow", 0.56633693),
    ("1200 ft³/min", "airflow", 0.56633693),
    ("565 L/s", "airflow", 0.565),
    ("0.565 m3/s", "airflow", 0.565),
    ("2034 m³/h", "airflow", 0.565),
    ("3 ton", "heat_rate", 10550.5585),
    ("36 MBH", "heat_rate", 10550.5585),
    ("36 kBtu/h", "heat_rate", 10550.5585),
    ("36000 Btuh", "heat_rate", 10550.5585),
    ("10 kW", "heat_rate", 10000.0),
    ("9.6kW", "electric_power", 9600.0),
    ("9600 W", "electric_power", 9600.0),
    ("34121.42 Btu/h", "electric_power", 10000.0),
    ("70 F", "temperature", 21.111111),
    ("70°F", "temperature", 21.111111),
    ("21 C", "temperature", 21.0),
    ("21 degC", "temperature", 21.0),
    ("-40 degF", "temperature", -40.0),
    ("20 F", "temperature_difference", 11.111111),
    ("20 degF", "temperature_difference", 11.111111),
    ("20 delta_degF", "temperature_difference", 11.111111),
    ("20 K", "temperature_difference", 20.0),
    ("20 degC", "temperature_difference", 20.0),
    ("20 delta_degC", "temperature_difference", 20.0),
    ("10 ft", "length", 3.048),
    ("12 mm", "length", 0.012),
    ("20 in", "length", 0.508),
    ("2000 sq ft", "area", 185.80608),
    ("2 h", "time", 7200.0),
    ("11 min", "time", 660.0),
    ("90 s", "time", 90.0),
    ("350 W/K", "heat_loss_coefficient", 350.0),
    ("667 Btu/h/delta_degF", "heat_loss_coefficient", 351.86113),
    ("667 Btu/(h·°F)", "heat_loss_coefficient", 351.86113),
    ("30.7 MJ/K", "thermal_capacity", 30.7e6),
    ("30700 kJ/K", "thermal_capacity", 30.7e6),
    ("1 Btu/delta_degF", "thermal_capacity", 1899.1005),
    ("0.1 in. w.c. per 100 ft", "friction_rate", 0.81722083),
    ("0.1 in wc/100 ft", "friction_rate", 0.81722083),
    ("0.45 W/cfm", "fan_efficacy", 953.496),
    ("300 fpm", "velocity", 1.524),
    ("0.075 lb/ft3", "density", 1.2013847),
    ("40 VA", "apparent_power", 40.0),
    ("240", "count", 240.0),
    ("0.5", "ratio", 0.5),
    ("5 %", "ratio", 0.05),
    ("2.5", "percent", 2.5),
    ("1e3 cfm", "airflow", 0.4719474432),
    ("+5 V", "voltage", 5.0),
]


@pytest.mark.parametrize(("text", "kind", "value"), READS)
def test_reads_what_people_type(text, kind, value):
    """Each of these is read, and what was typed is kept."""
    quantity = parse(text, kind)
    assert quantity.value == pytest.approx(value, rel=1e-6)
    assert quantity.typed == text
    assert quantity.plus_minus is None


REFUSES = [
    ("1,5 kW", "electric_power", "comma"),
    ("1,200 cfm", "airflow", "comma"),
    ("5", "voltage", "no unit"),
    ("", "voltage", "nothing"),
    ("   ", "voltage", "nothing"),
    ("V", "voltage", "no number"),
    ("5 volts please", "voltage", "not a unit"),
    ("1000 cfm", "length", "airflow"),
    ("3 ton", "length", "power"),
    ("5 K", "temperature", "difference"),
    ("5 delta_degF", "temperature", "difference"),
    ("5 delta_degC", "temperature", "difference"),
    ("40 W", "apparent_power", "electric power"),
    ("36 MBtu/h", "heat_rate", "thousand"),
    ("1 20 cfm", "airflow", "one plain number"),
    ("1 2000 cfm", "airflow", "one plain number"),
    ("1.2.3 V", "voltage", "one plain number"),
    ("1/2 in", "length", "one plain number"),
    ("5-6 V", "voltage", "one plain number"),
    ("--5 V", "voltage", "no number"),
    ("nan V", "voltage", "no number"),
    ("inf V", "voltage", "no number"),
    ("1e999 V", "voltage", "not a finite"),
    ("0x10 V", "voltage", "not a unit"),
    ("1_000 V", "voltage", "not a unit"),
    ("2.5", "count", "whole"),
    ("5 V ± 1 ± 1", "voltage", "more than one"),
    ("5 V ± -1", "voltage", "not a size"),
    ("5 V ±", "voltage", "no number"),
    ("238; ; 239 V", "voltage", "no number"),
    ("5 m**9**9", "length", "not a unit"),
    ("5 __import__('os')", "length", "not a unit"),
    ("9" * 500 + " V", "voltage", "too many"),
    ("1000 cfm", "static_pressure", "airflow"),
]


@pytest.mark.parametrize(("text", "kind", "why"), REFUSES)
def test_refuses_what_is_not_certain(text, kind, why):
    """Each of these is refused, saying why and what would be right."""
    with pytest.raises(QuantityError, match=why) as caught:
        parse(text, kind)
    assert caught.value.expected
    assert isinstance(caught.value, ValueError)


def test_a_bare_number_takes_the_unit_beside_the_field():
    """On a screen a bare number means the unit shown there; a typed unit still wins."""
    assert parse("0.52", "static_pressure", bare_unit="in. w.c.").value == pytest.approx(129.526, rel=1e-5)
    assert parse("130", "static_pressure", bare_unit="Pa").value == 130.0
    assert parse("130 Pa", "static_pressure", bare_unit="in. w.c.").value == 130.0


def test_repeated_readings_are_averaged():
    """Readings separated by semicolons share the last one's unit, and each is kept."""
    quantity = parse("238.1; 238.4; 238.2 V", "voltage")
    assert quantity.readings == (238.1, 238.4, 238.2)
    assert quantity.value == pytest.approx(238.2333333)
    assert parse("0.5 in wc; 130 Pa", "static_pressure").readings == pytest.approx((124.544455, 130.0))


@pytest.mark.parametrize(
    ("text", "kind", "limit"),
    [
        ("238.2 V ± 1.8", "voltage", 1.8),
        ("238.2 V +/- 1.8 V", "voltage", 1.8),
        ("238.2 ± 1.8 V", "voltage", 1.8),
        ("238.2 V +- 1800 mV", "voltage", 1.8),
        ("200 V ± 1 %", "voltage", 2.0),
        ("70 F ± 1.8", "temperature", 1.0),
        ("0.5 in wc ± 0.01", "static_pressure", 2.4908891),
        ("238.1; 238.3 V ± 1", "voltage", 1.0),
        ("-10 in wc ± 1 %", "static_pressure", 24.908891),
    ],
)
def test_a_typed_plus_minus_is_the_limit(text, kind, limit):
    """What follows ± is the limit a, in the base unit of a difference."""
    assert parse(text, kind).plus_minus == pytest.approx(limit)


def test_plausible_ranges_bind_only_when_asked():
    """A value beyond the plausible range is refused on a field and read elsewhere; the ends are plausible."""
    assert parse("2000 V", "voltage").value == 2000.0
    with pytest.raises(QuantityError, match="plausible"):
        parse("2000 V", "voltage", plausible=True)
    with pytest.raises(QuantityError, match="plausible"):
        parse("100 V; 2000 V", "voltage", plausible=True)
    for text, kind in [("-60 F", "temperature"), ("250 F", "temperature"), ("10000 cfm", "airflow")]:
        assert parse(text, kind, plausible=True).typed == text


def test_decimals_give_the_nearest_float():
    """A decimal in people's units is the nearest float in base units, so that limits are met exactly."""
    assert parse("565 L/s", "airflow").value == 0.565
    assert parse("12 mm", "length").value == 0.012
    assert parse("9.6 kW", "electric_power").value == 9600.0
    assert parse("212 F", "temperature").value == 100.0


@given(st.text(max_size=40), st.sampled_from(sorted(KINDS)))
def test_any_text_is_read_or_refused(text, kind):
    """No text raises anything but QuantityError, and what is read is finite."""
    try:
        quantity = parse(text, kind)
    except QuantityError:
        return
    assert math.isfinite(quantity.value)


@given(
    st.floats(-500, 500),
    st.sampled_from([kind for kind in KINDS if kind not in ("count", "percent", "ratio")]),
    st.sampled_from(["ip", "si"]),
)
def test_what_is_shown_can_be_typed_back(value, kind, system):
    """A shown quantity reads back as itself, to the digits shown."""
    text = show(value, kind, system, digits=14)
    assert parse(text, kind).value == pytest.approx(value, rel=1e-6, abs=1e-5)


@pytest.mark.parametrize("text", ["24² V", "1³ V", "2 ² V", "9₂ V", "1.⁵ V"])
def test_a_raised_digit_behind_a_number_is_refused(text):
    """24 squared is not 242."""
    with pytest.raises(QuantityError, match="raised or lowered"):
        parse(text, "voltage")
    assert parse("0.5 m³/s", "airflow").value == 0.5
