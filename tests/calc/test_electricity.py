"""The supply and circuits: exact edges, monotony and refusals."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from asleft.calc import (
    CalcError,
    branch_circuit,
    conductor_ampacity,
    control_load,
    divided_parts,
    largest_device,
    line_drop,
    overcurrent_device,
    supply_limits,
    voltage_drop,
    voltage_unbalance,
)
from asleft.tables import conductors, device_sizes


@pytest.mark.parametrize(
    ("nominal", "place", "letter", "limits"),
    [
        (120.0, "service", "A", (114, 126)),
        (120.0, "terminals", "A", (108, 126)),
        (120.0, "service", "B", (110, 127)),
        (120.0, "terminals", "B", (104, 127)),
        (240.0, "terminals", "A", (216, 252)),
        (208.0, "terminals", "A", (187.2, 218.4)),
        (230.0, "service", "A", (207, 253)),
        (230.0, "terminals", "A", (197.8, 253)),
        (400.0, "terminals", "B", (344, 440)),
    ],
)
def test_supply_limits(nominal, place, letter, limits):
    """Exact ratios of the 120 V base; 230 and 400 V have their own standard and one range."""
    assert supply_limits(nominal, place, letter) == pytest.approx(limits)


@given(st.lists(st.floats(100, 600), min_size=3, max_size=3), st.randoms())
def test_unbalance_does_not_mind_order(volts, random):
    """The legs may be told in any order, and equal legs have none."""
    shuffled = list(volts)
    random.shuffle(shuffled)
    assert voltage_unbalance(volts).unbalance == pytest.approx(voltage_unbalance(shuffled).unbalance)
    assert voltage_unbalance([volts[0]] * 3).unbalance == pytest.approx(0.0, abs=1e-12)


def test_unbalance_of_exactly_five_per_cent_still_has_a_derating():
    """5 % is the last point of the curve, binary rounding notwithstanding."""
    assert voltage_unbalance([95.0, 100.0, 105.0]).derating == pytest.approx(0.75)


def test_five_per_cent_is_forgiven_its_rounding_and_no_more():
    """0.105, 0.0975 and 0.0975 V stand 5 % apart, in binary a hair more; a billionth more is too much."""
    rounded = voltage_unbalance([0.105, 0.0975, 0.0975])
    assert rounded.unbalance > 0.05
    assert rounded.derating == pytest.approx(0.75)
    more = 1 + 1e-9
    assert voltage_unbalance([100 + 5 * more, 100 - 2.5 * more, 100 - 2.5 * more]).derating is None


@pytest.mark.parametrize(
    ("per_cent", "derating"),
    [
        (0.0, 1.0),
        (0.5, 1.0),
        (1.0, 1.0),
        (1.5, 0.975),
        (2.0, 0.95),
        (2.5, 0.915),
        (3.0, 0.88),
        (3.25, 0.865),
        (4.0, 0.82),
        (4.5, 0.785),
        (5.0, 0.75),
        (5.001, None),
        (9.0, None),
    ],
)
def test_derating_lies_on_straight_lines_between_its_points(per_cent, derating):
    """At 2.5 %, midway between 0.95 at 2 % and 0.88 at 3 %, it is 0.915; above 5 % there is none."""
    answer = voltage_unbalance([100 - per_cent, 100.0, 100 + per_cent])
    assert answer.unbalance == pytest.approx(per_cent / 100, abs=1e-12)
    assert answer.derating == (None if derating is None else pytest.approx(derating, abs=1e-9))


def test_unbalance_is_the_largest_departure_from_the_mean():
    """480, 476 and 472 V stand 4 V about 476 V; one leg 30 V low lies 20 V below the mean."""
    assert voltage_unbalance([480.0, 476.0, 472.0]).unbalance == pytest.approx(4 / 476)
    assert voltage_unbalance([240.0, 240.0, 210.0]).unbalance == pytest.approx(20 / 230)
    assert voltage_unbalance([210.0, 210.0, 240.0]).unbalance == pytest.approx(20 / 220)


@pytest.mark.parametrize("size", device_sizes())
def test_a_sum_that_is_exactly_a_standard_size_is_not_stepped_over(size):
    """Binary rounding never costs a size, a real fraction of an ampere always does."""
    third = size / 3
    assert overcurrent_device(third + third + third) == size
    assert overcurrent_device(math.nextafter(size, 1e9)) == size
    if size < 600:
        assert overcurrent_device(size + 0.001) > size


def test_sums_that_are_not_exact_in_binary():
    """0.1 + 0.2 style sums reach 48.0 A and 60.0 A without going over."""
    assert sum([0.1] * 480) != 48.0
    assert divided_parts(sum([0.1] * 480)) == 1
    assert overcurrent_device(1.25 * sum([0.1] * 480)) == 60.0
    assert divided_parts(48.01) == 2
    assert divided_parts(96.0) == 2
    assert divided_parts(96.1) == 3
    assert overcurrent_device(60.01) == 70.0


@pytest.mark.parametrize(
    ("power_w", "keywords", "load_a", "device_a", "conductor", "parts"),
    [
        (15000.0, {}, 62.5, 80.0, "3 AWG", 2),
        (15000.0, {"phases": 3}, 62.5 / math.sqrt(3), 50.0, "6 AWG", 1),
        (30000.0, {"phases": 3}, 125 / math.sqrt(3), 100.0, "2 AWG", 2),
        (10000.0, {"termination_c": 75.0, "ambient_c": 40.0, "conductors": 6}, 125 / 3, 60.0, "6 AWG", 1),
        (10000.0, {"insulation_c": 75.0, "ambient_c": 40.0, "conductors": 6}, 125 / 3, 60.0, "4 AWG", 1),
        (10000.0, {"termination_c": 75.0, "material": "aluminium"}, 125 / 3, 60.0, "4 AWG", 1),
        (0.0, {"blower_current_a": 4.0}, 4.0, 15.0, "14 AWG", 1),
        (9600.0, {"blower_current_a": 20.0}, 60.0, 80.0, "3 AWG", 1),
    ],
)
def test_a_branch_circuit_by_hand(power_w, keywords, load_a, device_a, conductor, parts):
    """At 240 V, by the tables: phases, terminals, insulation, ambient, bundle and metal each tell.

    10 kW needs 52.08 A. At 40 degC six conductors of 90 degC insulation on 75 degC terminals carry 0.91 x 0.8
    of 75 A in 6 AWG, 54.6 A. With 75 degC insulation they carry 0.88 x 0.8: of 65 A not enough, of 85 A in
    4 AWG 59.84 A. The blower takes no part in the division of the heater.
    """
    answer = branch_circuit(power_w, 240.0, **keywords)
    assert answer.load_current_a == pytest.approx(load_a)
    assert answer.minimum_ampacity_a == pytest.approx(1.25 * load_a)
    assert answer[2:] == (device_a, conductor, parts)


@pytest.mark.parametrize(
    ("size", "ampacity_a", "material", "device_a"),
    [
        ("10 AWG", 35.0, "copper", 30.0),
        ("10 AWG", 18.0, "copper", 20.0),
        ("12 AWG", 12.0, "copper", 15.0),
        ("14 AWG", 25.0, "copper", 15.0),
        ("10 AWG", 30.0, "aluminium", 25.0),
        ("8 AWG", 40.0, "copper", 40.0),
        ("6 AWG", 55.0, "copper", 60.0),
        ("6 AWG", 40.0, "Aluminium", 40.0),
    ],
)
def test_the_largest_device_is_the_next_size_or_the_cap(size, ampacity_a, material, device_a):
    """55 A is protected at 60; 10 AWG copper never above 30, and derated to 18 A at 20."""
    assert largest_device(size, ampacity_a, material) == device_a


@given(st.floats(0, 30_000), st.floats(0, 20))
def test_a_branch_circuit_keeps_its_own_rules(power_w, blower_a):
    """Device at least the minimum, conductor carries it and is protected, each part at most 48 A."""
    answer = branch_circuit(power_w, 240.0, blower_current_a=blower_a)
    assert answer.minimum_ampacity_a == pytest.approx(1.25 * answer.load_current_a)
    assert answer.overcurrent_device_a >= answer.minimum_ampacity_a * (1 - 1e-9)
    ampacity_a = conductor_ampacity(answer.conductor)
    assert ampacity_a >= answer.minimum_ampacity_a * (1 - 1e-9)
    assert answer.overcurrent_device_a <= largest_device(answer.conductor, ampacity_a)
    heater_a = power_w / 240.0
    assert heater_a / answer.parts <= 48.0 * (1 + 1e-8)
    assert answer.parts == 1 or heater_a / (answer.parts - 1) > 48.0


@given(st.floats(0, 37_000), st.floats(0, 37_000))
def test_more_heat_never_needs_less(small, large):
    """Device and conductor never shrink as heat grows."""
    order = list(conductors("copper"))
    small, large = sorted((small, large))
    less, more = branch_circuit(small, 240.0), branch_circuit(large, 240.0)
    assert less.overcurrent_device_a <= more.overcurrent_device_a
    assert order.index(less.conductor) <= order.index(more.conductor)


@pytest.mark.parametrize(
    ("power_w", "material", "conductor"),
    [
        (2880.0, "copper", "14 AWG"),
        (3840.0, "copper", "12 AWG"),
        (4800.0, "copper", "10 AWG"),
        (5760.0, "copper", "10 AWG"),
        (5952.0, "copper", "8 AWG"),
        (2880.0, "aluminium", "12 AWG"),
        (4800.0, "aluminium", "10 AWG"),
        (5760.0, "aluminium", "8 AWG"),
    ],
)
def test_small_conductors_are_capped(power_w, material, conductor):
    """At most 15, 20 and 30 A for 14, 12 and 10 AWG copper; 15 and 25 A for 12 and 10 AWG aluminium."""
    assert branch_circuit(power_w, 240.0, material=material).conductor == conductor


def test_a_cap_binds_where_the_terminals_would_allow_more():
    """At 75 degC terminals 10 AWG carries 35 A, yet a 35 A device needs 8 AWG."""
    answer = branch_circuit(6500.0, 240.0, termination_c=75.0)
    assert conductor_ampacity("10 AWG", termination_c=75.0) > answer.minimum_ampacity_a
    assert (answer.overcurrent_device_a, answer.conductor) == (35.0, "8 AWG")


@pytest.mark.parametrize(
    ("keywords", "ampacity"),
    [
        ({}, 55.0),
        ({"termination_c": 75.0}, 65.0),
        ({"termination_c": 90.0}, 75.0),
        ({"ambient_c": 40.0}, 55.0),
        ({"conductors": 4}, 55.0),
        ({"conductors": 4, "ambient_c": 40.0}, 75 * 0.8 * 0.91),
        ({"insulation_c": 60.0, "ambient_c": 30.5}, 55 * 0.91),
        ({"ambient_c": 0.0}, 55.0),
    ],
)
def test_ampacity_is_derated_then_capped(keywords, ampacity):
    """Factors apply to the insulation's column, the terminals' column caps the result, cold included."""
    assert conductor_ampacity("6 AWG", **keywords) == pytest.approx(ampacity)


@given(st.integers(1, 60), st.integers(1, 60))
def test_more_conductors_carry_no_more(few, many):
    """Bundling never helps."""
    few, many = sorted((few, many))
    assert conductor_ampacity("6 AWG", conductors=few) >= conductor_ampacity("6 AWG", conductors=many)


def test_a_conductor_is_not_stepped_over_for_a_rounding():
    """12 A less 0.4 A of blower at 208 V is 2412.8 W: with 25 % more 15 A, in binary a hair more."""
    answer = branch_circuit(2412.8, 208.0, blower_current_a=0.4)
    assert answer.minimum_ampacity_a > 15.0
    assert (answer.overcurrent_device_a, answer.conductor) == (15.0, "14 AWG")


def test_up_to_a_billionth_is_rounding():
    """32 A and a billionth, times 1.25, still is 40 A: an 8 AWG and its device; two billionths are not."""
    answer = branch_circuit(32.0 * (1 + 1e-9), 1.0)
    assert (answer.overcurrent_device_a, answer.conductor) == (40.0, "8 AWG")
    answer = branch_circuit(32.0 * (1 + 2e-9), 1.0)
    assert (answer.overcurrent_device_a, answer.conductor) == (45.0, "6 AWG")


@pytest.mark.parametrize("temperature_c", [60.005, 75.005, 89.995])
def test_a_column_is_met_but_for_rounding(temperature_c):
    """A two-hundredth of a degree beside a column belongs to none."""
    assert conductor_ampacity("6 AWG", insulation_c=round(temperature_c) + 1e-9) > 0
    with pytest.raises(CalcError) as caught:
        conductor_ampacity("6 AWG", insulation_c=temperature_c)
    assert caught.value.input == "insulation"


def test_thicker_conductors_drop_less():
    """Down the table each size drops less."""
    drops = [voltage_drop(10.0, 30.0, size, 240.0).drop_v for size in conductors("copper") if "AWG" in size]
    assert all(thin > thick for thin, thick in pairwise(drops))


def test_three_phases_drop_root_three_halves():
    """Root three in place of two."""
    one, three = (voltage_drop(10.0, 30.0, "6 AWG", 240.0, phases=phases).drop_v for phases in (1, 3))
    assert three / one == pytest.approx(math.sqrt(3) / 2)


@pytest.mark.parametrize(
    ("arguments", "drop_v"),
    [((20.0, 30.0, 0.002), 2.4), ((20.0, 30.0, 0.002, 1), 2.4), ((20.0, 30.0, 0.002, 3), 1.2 * math.sqrt(3))],
)
def test_line_drop_by_hand(arguments, drop_v):
    """20 A through 30 m of 2 mohm/m lose 1.2 V: twice that out and back, root three between lines."""
    assert line_drop(*arguments) == pytest.approx(drop_v)


def test_a_drop_as_a_fraction_is_of_the_voltage_at_the_source():
    """2 x 100 ft x 10 A x 0.491 ohm/kft is 0.982 V, of 240 V 0.41 %; aluminium loses 0.808/0.491 as much."""
    copper = voltage_drop(10.0, 30.48, "6 AWG", 240.0)
    assert copper == pytest.approx((0.982, 0.982 / 240))
    aluminium = voltage_drop(10.0, 30.48, "6 AWG", 120.0, "Aluminium ")
    assert aluminium == pytest.approx((1.616, 1.616 / 120))


@pytest.mark.parametrize(
    ("arguments", "name"),
    [((-1.0, 1.0, 1.0), "current"), ((1.0, -1.0, 1.0), "length"), ((1.0, 1.0, -1.0), "resistance")],
)
def test_line_drop_refuses_less_than_nothing(arguments, name):
    """Current, length and resistance alike."""
    with pytest.raises(CalcError) as caught:
        line_drop(*arguments)
    assert caught.value.input == name


def test_control_loads_add():
    """Volt-amperes and amperes add; more than the rating is a result, not a refusal."""
    assert control_load(40.0, [10.0, 5.0], 25.0, [0.5, 0.1]) == pytest.approx((30.0, 0.75))
    assert control_load(40.0, [10.0, 5.0], loads_a=[0.5]) == pytest.approx((27.0, 0.675))
    assert control_load(40.0, [10.0, 35.0]).fraction == pytest.approx(1.125)
    assert control_load(40.0, loads_a=[1.0]).load_va == 24.0


@pytest.mark.parametrize(
    ("function", "arguments", "name"),
    [
        (supply_limits, {"nominal_v": 0.0}, "nominal"),
        (supply_limits, {"nominal_v": 240.0, "measured_at": "attic"}, "measured_at"),
        (supply_limits, {"nominal_v": 240.0, "range": "C"}, "range"),
        (voltage_unbalance, {"voltages_v": [240.0, 240.0]}, "voltages"),
        (voltage_unbalance, {"voltages_v": []}, "voltages"),
        (voltage_unbalance, {"voltages_v": [0.0, 0.0, 0.0]}, "voltages"),
        (voltage_unbalance, {"voltages_v": [240.0, -240.0, 240.0]}, "voltages"),
        (overcurrent_device, {"ampacity_a": 600.1}, "ampacity"),
        (overcurrent_device, {"ampacity_a": -1.0}, "ampacity"),
        (largest_device, {"size": "6 AWG", "ampacity_a": -1.0}, "ampacity"),
        (largest_device, {"size": "6 AWG", "ampacity_a": 601.0}, "ampacity"),
        (divided_parts, {"heater_current_a": -1.0}, "heater_current"),
        (branch_circuit, {"heater_power_w": -1.0, "voltage_v": 240.0}, "heater_power"),
        (conductor_ampacity, {"size": "7 AWG"}, "size"),
        (conductor_ampacity, {"size": "6 mm2"}, "size"),
        (conductor_ampacity, {"size": "18 AWG"}, "size"),
        (conductor_ampacity, {"size": "14 AWG", "material": "aluminium"}, "size"),
        (conductor_ampacity, {"size": "6 AWG", "material": "tin"}, "material"),
        (conductor_ampacity, {"size": "6 AWG", "termination_c": 65.0}, "termination"),
        (conductor_ampacity, {"size": "6 AWG", "insulation_c": 105.0}, "insulation"),
        (conductor_ampacity, {"size": "6 AWG", "ambient_c": 71.0}, "ambient"),
        (conductor_ampacity, {"size": "6 AWG", "ambient_c": 56.0, "insulation_c": 60.0}, "ambient"),
        (conductor_ampacity, {"size": "6 AWG", "conductors": 0}, "conductors"),
        (conductor_ampacity, {"size": "6 AWG", "conductors": 3.5}, "conductors"),
        (branch_circuit, {"heater_power_w": 100_000.0, "voltage_v": 240.0}, "heater_power"),
        (branch_circuit, {"heater_power_w": 200_000.0, "voltage_v": 240.0}, "heater_power"),
        (branch_circuit, {"heater_power_w": 9600.0, "voltage_v": 0.0}, "voltage"),
        (
            branch_circuit,
            {"heater_power_w": 9600.0, "voltage_v": 240.0, "blower_current_a": -1.0},
            "blower_current",
        ),
        (voltage_drop, {"current_a": 1.0, "length_m": 1.0, "size": "6 AWG", "voltage_v": 0.0}, "voltage"),
        (voltage_drop, {"current_a": 1.0, "length_m": -1.0, "size": "6 AWG", "voltage_v": 1.0}, "length"),
        (voltage_drop, {"current_a": 1.0, "length_m": 1.0, "size": "20 AWG", "voltage_v": 1.0}, "size"),
        (control_load, {"rating_va": 0.0, "loads_va": [1.0]}, "rating"),
        (control_load, {"rating_va": 40.0}, "loads"),
        (control_load, {"rating_va": 40.0, "loads_va": [-1.0]}, "loads"),
    ],
)
def test_refuses(function, arguments, name):
    """Each is refused, and the input at fault is named."""
    with pytest.raises(CalcError) as caught:
        function(**arguments)
    assert caught.value.input == name
