"""What every calculation refuses, and how it says so."""

from __future__ import annotations

import inspect
import math
import re
from collections.abc import Callable
from typing import Any

import pytest

from asleft.calc import (
    CalcError,
    air_density,
    airflow_from_rise,
    balance_point,
    branch_circuit,
    conductor_ampacity,
    conformity,
    control_load,
    delay_droop,
    face_velocity,
    fan_efficacy,
    fan_law,
    friction_rate,
    heater_current,
    heater_power,
    instrument_uncertainty,
    largest_device,
    line_drop,
    moist_air_density,
    operating_point,
    overcurrent_device,
    recovery_time,
    rise_from_airflow,
    saturation_pressure,
    sensible_heat,
    supply_limits,
    system_curve,
    thermal_capacity,
    total_external_static,
    voltage_drop,
    voltage_unbalance,
)
from asleft.calc.catalogue import catalogue
from asleft.calc.guards import (
    altitude,
    at_most_one,
    each,
    finite,
    input_name,
    not_negative,
    phase_count,
    positive,
    refusing,
    temperature,
    whole,
    word,
)
from asleft.calc.typed import read_inputs
from asleft.quantity import parse

NEVER_NEGATIVE = {
    "electric_power",
    "heat_rate",
    "airflow",
    "voltage",
    "current",
    "apparent_power",
    "ratio",
    "percent",
    "time",
    "area",
    "heat_loss_coefficient",
    "thermal_capacity",
    "count",
}
"""Kinds of input of which less than zero is refused; of lengths all but an altitude."""


def base_arguments(name: str) -> dict[str, Any]:
    """Give the function's arguments in base units for the worked example of a calculation."""
    calculation = catalogue()[name]
    arguments: dict[str, Any] = {}
    for entry in read_inputs(calculation, dict(pair.split("=", 1) for pair in calculation.example)):
        for item in entry.items:
            parameter = entry.input.parameter(item.kind if entry.input.or_kind else None)
            if entry.input.list:
                arguments[parameter] = (*arguments.get(parameter, ()), item.value)
            else:
                arguments[parameter] = item.value
    return arguments


def numbers_in(name: str) -> list[tuple[str, str, bool]]:
    """Give each numeric parameter of a calculation with its kind and whether below zero is refused."""
    found = []
    for entry in catalogue()[name].inputs:
        for kind in filter(None, (entry.kind, entry.or_kind)):
            if kind not in ("word", "size"):
                refused = kind in NEVER_NEGATIVE
                refused |= kind == "length" and entry.name != "altitude"
                refused |= entry.name in ("rise", "setback", "expanded", "resolution", "absolute")
                found.append((entry.parameter(kind if entry.or_kind else None), kind, refused))
    return found


CASES = [(name, *number) for name in catalogue() for number in numbers_in(name)]


def put(arguments: dict[str, Any], parameter: str, value: float, listed: bool) -> dict[str, Any]:
    """Put one value in the place of a parameter, of a list in the place of its last item."""
    before = arguments.get(parameter, ())
    return arguments | {parameter: (*before[:-1], value) if listed else value}


def is_list(name: str, parameter: str) -> bool:
    """Say whether a parameter takes a list."""
    return any(entry.list for entry in catalogue()[name].inputs if entry.name == input_name(parameter))


@pytest.mark.parametrize(("name", "parameter", "kind", "refused"), CASES)
def test_no_number_that_is_not_finite_gets_in(name: str, parameter: str, kind: str, refused: bool) -> None:
    """Neither infinity nor what is no number at all is worked with; the input at fault is named."""
    function, arguments = catalogue()[name].function, base_arguments(name)
    for bad in (math.nan, math.inf, -math.inf):
        with pytest.raises(CalcError) as caught:
            function(**put(arguments, parameter, bad, is_list(name, parameter)))
        assert caught.value.input == input_name(parameter)


@pytest.mark.parametrize(
    ("name", "parameter"), [(name, parameter) for name, parameter, _, refused in CASES if refused]
)
def test_nothing_below_zero_where_that_has_no_meaning(name: str, parameter: str) -> None:
    """Lengths, times, powers, volts, amperes, airflows, ratios, percents, uncertainties; zero may be."""
    function, arguments = catalogue()[name].function, base_arguments(name)
    with pytest.raises(CalcError) as caught:
        function(**put(arguments, parameter, -7.125, is_list(name, parameter)))
    assert caught.value.input == input_name(parameter)
    assert "-7.125" in caught.value.why
    assert "7.125" not in caught.value.expected


@pytest.mark.parametrize("name", catalogue())
def test_a_default_of_the_function_is_the_one_listed(name: str) -> None:
    """Left out of the call, an input has the value that the list shows, in the base unit."""
    parameters = inspect.signature(catalogue()[name].function).parameters
    for entry in catalogue()[name].inputs:
        if entry.default is None or entry.or_kind:
            continue
        default = parameters[entry.parameter()].default
        if entry.kind == "word":
            assert default == entry.default
        else:
            kind = "ratio" if entry.kind in ("any", "reading") else entry.kind
            assert default == pytest.approx(parse(entry.default, kind).value, abs=1e-12)


@pytest.mark.parametrize(
    ("guard", "allowed", "refused"),
    [
        (lambda value: finite("x", value), [-1e308, 0.0, 1e308], [math.nan, math.inf, -math.inf]),
        (lambda value: not_negative("x", value), [0.0, 1e308], [-1e-300, -1.0, math.nan, math.inf]),
        (lambda value: positive("x", value), [1e-300, 1e308], [0.0, -1.0, math.nan, math.inf]),
        (lambda value: at_most_one("x", value), [0.0, 0.5, 1.0], [1.0000001, -0.0000001, math.nan]),
        (altitude, [-1000.0, 0.0, 11000.0], [-1000.001, 11000.001, math.nan]),
        (lambda value: temperature("x", value), [-273.15, 0.0, 5000.0], [-273.151, math.nan, math.inf]),
        (lambda value: whole("x", value), [0, 1, 7.0], [-1, 0.5, 6.999, math.inf]),
        (lambda value: whole("x", value, 3), [3, 4], [2, 0, 3.5]),
        (phase_count, [1, 3, 3.0], [0, 2, 4, -1, 1.5, math.nan]),
    ],
)
def test_a_guard_lets_through_up_to_its_very_edge(
    guard: Callable[[float], float], allowed: list[float], refused: list[float]
) -> None:
    """The edge itself is let through unchanged; the least step beyond is refused."""
    assert [guard(value) for value in allowed] == allowed
    for value in refused:
        with pytest.raises(CalcError):
            guard(value)


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
@pytest.mark.parametrize("guard", [finite, not_negative, positive, at_most_one, whole, temperature])
def test_what_is_not_finite_is_called_so(guard: Callable[[str, float], float], value: float) -> None:
    """Infinity is not called negative, and no number is not called zero."""
    with pytest.raises(CalcError) as caught:
        guard("x", value)
    assert caught.value.why.endswith("not finite")
    with pytest.raises(CalcError) as caught:
        altitude(value)
    assert caught.value.why.endswith("not finite")


def test_counts_come_out_whole() -> None:
    """A count typed with a decimal point is a whole number inside."""
    assert all(isinstance(value, int) for value in (whole("x", 3.0), phase_count(3.0)))


@pytest.mark.parametrize(
    ("call", "name", "why", "expected"),
    [
        (lambda: finite("x", math.inf), "x", "inf", "finite"),
        (lambda: positive("x", -3.5), "x", "-3.5", "more than zero"),
        (lambda: not_negative("x", -3.5), "x", "-3.5", "zero or more"),
        (lambda: whole("x", 3.5, 1), "x", "3.5", "from 1"),
        (lambda: altitude(12345.0), "altitude", "12345 m", "-1 to 11 km"),
        (lambda: temperature("x", -300.0), "x", "-300 degC is below absolute zero", "-273.15"),
        (lambda: at_most_one("x", 1.5), "x", "1.5", "0 to 1"),
        (lambda: phase_count(2), "phases", "2", "1 or 3"),
        (lambda: word("x", "tin", ("copper", "gold")), "x", "tin", "copper, gold"),
        (lambda: each("x", (), finite), "x", "nothing", "at least one"),
        (lambda: saturation_pressure(300.0), "temperature", "300 degC", "-100 to 200"),
        (lambda: moist_air_density(-273.15, 0.0, 101325.0), "temperature", "0", "more than zero"),
        (lambda: supply_limits(240.0, "attic"), "measured_at", "attic", "terminals, service"),
        (lambda: supply_limits(240.0, "service", "C"), "range", "C", "A, B"),
        (lambda: conductor_ampacity("7 AWG"), "size", "7 AWG", "8 AWG"),
        (lambda: conductor_ampacity("6 AWG", "tin"), "material", "tin", "copper, aluminium"),
        (lambda: conductor_ampacity("6 AWG", termination_c=61.0), "termination", "61 degC", "60, 75 or 90"),
        (lambda: conductor_ampacity("6 AWG", ambient_c=71.0), "ambient", "71 degC", "at most 70 degC"),
        (lambda: overcurrent_device(601.0), "ampacity", "601 A is above", "600 A or less"),
        (lambda: branch_circuit(96e3, 240.0), "heater_power", "carries 500 A", "less power"),
        (lambda: largest_device("6 mm2", 50.0), "size", "6 mm2", "6 AWG"),
        (lambda: control_load(40.0), "loads", "nothing", "at least one load"),
        (lambda: control_load(40.0, [-2.5]), "loads", "-2.5", "zero or more"),
        (lambda: control_load(40.0, [1.0], -24.0), "voltage", "-24", "zero or more"),
        (lambda: control_load(0.0, [1.0]), "rating", "0", "more than zero"),
        (lambda: control_load(-1.0, [1.0]), "rating", "-1", "more than zero"),
        (lambda: voltage_unbalance([240.0, 241.0]), "voltages", "2 given", "three line-to-line"),
        (lambda: voltage_unbalance([0.0, 0.0, 0.0]), "voltages", "0", "more than zero"),
        (lambda: voltage_drop(1.0, 1.0, "7 AWG", 24.0), "size", "7 AWG", "6 AWG"),
        (lambda: voltage_drop(1.0, 1.0, "6 AWG", 24.0, "tin"), "material", "tin", "copper, aluminium"),
        (lambda: air_density(300.0, 0.0, 0.5), "temperature", "300 degC", "-100 to 200"),
        (lambda: air_density(150.0, 0.0, 1.0), "relative_humidity", "boils", "less vapour"),
        (lambda: air_density(-300.0, 0.0, 0.5), "temperature", "below absolute zero", "-273.15"),
        (lambda: conformity(math.nan, 1.0, 0.0), "value", "nan is not finite", "a finite number"),
        (lambda: conformity(1.0, 1.0), "lower", "no limit given", "a lower limit, an upper limit or both"),
        (lambda: conformity(1.0, 1.0, 3.0, 2.0), "lower", "crossed", "lower at most upper"),
        (lambda: balance_point(1.0, 1.0, 1.0, 18.0, 18.0), "design_temperature", "18 degC", "less than 18"),
        (lambda: balance_point(1.0, 1.0, 1.0, 20.0, 18.0), "design_temperature", "20 degC", "than 18 degC"),
        (lambda: thermal_capacity(1.0, "straw"), "construction", "straw", "very light, light, medium"),
        (lambda: operating_point([5.0], [1.0], 1.0, 1.0), "fan_static", "1 row", "two rows"),
        (
            lambda: operating_point([5.0, 9.0], [1.0], 1.0, 1.0),
            "fan_airflow",
            "1 rows",
            "2, as in fan_static",
        ),
        (lambda: operating_point([9.0, 5.0], [1.0, 1.0], 1.0, 1.0), "fan_static", "5 Pa", "increasing"),
        (lambda: operating_point([5.0, 9.0], [1.0, 0.9], 1.0, 99.0), "static", "leaves", "meets its rows"),
        (lambda: operating_point([5.0, 9.0], [1.0, 0.9], 1e-200, 7.0), "airflow", "so extreme", "usual size"),
        (lambda: operating_point([5.0, 9.0], [1.0, 0.9], 1.0, math.nan), "static", "nan", "a finite number"),
        (lambda: operating_point([5.0, 9.0], [1.0, 0.0], 1.0, math.inf), "static", "inf", "a finite number"),
        (lambda: operating_point([5.0, 9.0], [1.0, 0.9], 0.0, 7.0), "airflow", "0", "more than zero"),
        (lambda: heater_current(1e300, 1e-300), "power", "so extreme", "usual size"),
    ],
)
def test_a_refusal_says_what_was_wrong_and_what_would_be_right(
    call: Callable[[], object], name: str, why: str, expected: str
) -> None:
    """The input, what is wrong with it and what would be right: each in its own place, all in the message."""
    with pytest.raises(CalcError) as caught:
        call()
    error = caught.value
    assert error.input == name
    assert why in error.why
    assert expected in error.expected
    assert str(error) == f"{error.input}: {error.why}; expected {error.expected}"


def test_a_word_is_known_whatever_its_case() -> None:
    """Case and blanks round it make no difference; the choice is given as the list writes it."""
    assert word("range", " b\t", ("A", "B")) == "B"
    assert word("material", "COPPER", ("copper", "aluminium")) == "copper"


def test_every_item_of_a_list_is_checked() -> None:
    """One bad item anywhere is refused; good ones come out in their order."""
    assert each("x", [3.0, 1.0, 2.0], not_negative) == (3.0, 1.0, 2.0)
    for place in range(3):
        values = [1.0, 2.0, 3.0]
        values[place] = -1.0
        with pytest.raises(CalcError):
            each("x", values, not_negative)


def _call(function: Callable[..., Any], *arguments: Any) -> CalcError:
    with pytest.raises(CalcError) as caught:
        refusing(function)(*arguments)
    return caught.value


def test_the_most_extreme_input_is_blamed_for_a_result_that_is_not_finite() -> None:
    """Farthest from one by its order of magnitude, small or large, inside a list too; zero blames nobody.

    Where none is farther than another, as words, zero, one and an empty list, it is the first.
    """

    def product(first_w: float, second_v: float) -> float:
        return first_w * second_v

    def quotient(first_w: float, second_v: float) -> float:
        return first_w / second_v

    def total(values_pa: list[float], scale: float) -> float:
        return math.exp(sum(values_pa)) * scale

    assert _call(product, 1e200, 1e299).input == "second"
    assert _call(product, 1e299, 1e200).input == "first"
    assert _call(product, -1e299, 1e200).input == "first"
    assert _call(quotient, 1e200, 1e-299).input == "second"
    assert _call(quotient, 7.0, 0.0).input == "first"

    def worded(size: str, values_pa: tuple[float, ...], first_w: float) -> float:
        return first_w / (0.0 if size else 1.0)

    assert _call(worded, "6 AWG", (), 7.0).input == "first"
    assert _call(worded, "6 AWG", (), 1.0).input == "size"
    assert _call(lambda values, first: first / 0.0, (), 1.0).input == "values"
    assert _call(lambda base, power: base**power, 0.0, -1.0).input == "base"
    assert _call(total, [1.0, 2000.0], 100.0).input == "values"
    assert _call(total, [1.0, 800.0], 1e5).input == "scale"
    assert _call(total, [800.0, 1e-9], 1e5).input == "values"


@pytest.mark.parametrize(
    ("function", "arguments", "name"),
    [
        (sensible_heat, (1e200, 1e201), "temperature_change"),
        (airflow_from_rise, (1e308, 1e-300), "heater_power"),
        (rise_from_airflow, (1e308, 1e-300), "heater_power"),
        (heater_power, (1e-300, 1e200, 1.0), "rated_power"),
        (heater_current, (1e308, 1e-300), "power"),
        (moist_air_density, (20.0, 0.01, 0.0), "humidity_ratio"),
        (total_external_static, (1e308, 1e308), "supply"),
        (friction_rate, (1e308, [-1e308], 1.0), "external_static"),
        (system_curve, (1e-200, 1.0, 1e201), "new_airflow"),
        (fan_law, (1e308, 1.0, 1.0, 10.0), "airflow"),
        (face_velocity, (1.0, 1e-200, 1e-201), "height"),
        (fan_efficacy, (1e308, 1e-300), "power"),
        (balance_point, (1.0, 1e308, 1.0, -200.0), "capacity_17"),
        (delay_droop, (1e308, 1e-300, 1.0, 1.0), "deficit"),
        (recovery_time, (1.0, 1e-300, 1e308, 1.0), "thermal_capacity"),
        (thermal_capacity, (1e308, "heavy"), "floor_area"),
        (supply_limits, (1.75e308, "terminals", "B"), "nominal"),
        (voltage_unbalance, ([1e308, 1e308, 1e308],), "voltages"),
        (line_drop, (1e200, 1e201, 1.0), "length"),
        (voltage_drop, (1.0, 1.0, "6 AWG", 1e-320), "voltage"),
        (control_load, (1e-300, [1e301]), "loads"),
        (instrument_uncertainty, (1e308, 1e5), "reading"),
        (conformity, (1e308, 1.0, -1e308), "value"),
    ],
)
def test_no_calculation_answers_infinity(
    function: Callable[..., object], arguments: tuple[object, ...], name: str
) -> None:
    """Finite inputs whose result no float holds: the most extreme of them is blamed."""
    with pytest.raises(CalcError) as caught:
        function(*arguments)
    assert (caught.value.input, caught.value.expected) == (name, "a usual size")


@pytest.mark.parametrize("phases", [1, 3])
def test_a_branch_circuit_blames_an_input_of_its_own(phases: int) -> None:
    """More power than any device carries, however much more; too little voltage is that too."""
    for power_w, voltage_v in ((1e6, 240.0), (1e308, 1e-300)):
        with pytest.raises(CalcError) as caught:
            branch_circuit(power_w, voltage_v, phases)
        assert (caught.value.input, caught.value.expected) == ("heater_power", "600 A or less")


def test_a_result_of_several_parts_is_refused_for_any_of_them() -> None:
    """First, last or the only one; a word among them is no number and does no harm."""
    good = refusing(lambda first_w: (first_w, "pass", None))
    assert good(1.0) == (1.0, "pass", None)
    for bad in ((math.inf, 1.0), (1.0, math.nan), math.inf, math.nan, -math.inf):
        assert _call(lambda first_w, bad=bad: bad, 1.0).input == "first"


@pytest.mark.parametrize(
    ("parameter", "name"),
    [
        ("voltage_v", "voltage"),
        ("heater_power_w", "heater_power"),
        ("capacity_47_w", "capacity_47"),
        ("friction_rate_pam", "friction_rate"),
        ("phases", "phases"),
        ("speed_ratio", "speed_ratio"),
        ("v", "v"),
        ("_v", "_v"),
    ],
)
def test_an_input_is_named_without_its_unit(parameter: str, name: str) -> None:
    """A unit behind the last underscore is cut off, any other word stays, and a bare unit is a name."""
    assert input_name(parameter) == name


def test_refused_names_are_names_of_inputs() -> None:
    """Whatever is blamed stands in the list of that calculation."""
    for name, calculation in catalogue().items():
        known = {entry.name for entry in calculation.inputs}
        parameters = inspect.signature(calculation.function).parameters
        assert {input_name(parameter) for parameter in parameters} == known, name
        assert all(re.fullmatch(r"[a-z][a-z0-9_]*", entry) for entry in known)
