"""What a person typed for the inputs of a calculation, as it is read, shown again and refused."""

from __future__ import annotations

import math

import pytest

from asleft.calc import CalcError
from asleft.calc.catalogue import catalogue
from asleft.calc.typed import Given, Item, read_inputs


def read(name: str, *pairs: str) -> dict[str, Given]:
    """Read inputs from pairs as typed, by name."""
    typed = dict(pair.split("=", 1) for pair in pairs)
    return {given.input.name: given for given in read_inputs(catalogue()[name], typed)}


def refusal(name: str, *pairs: str) -> tuple[str, str, str]:
    """Give the input, the reason and the expectation with which these are refused."""
    with pytest.raises(CalcError) as caught:
        read(name, *pairs)
    return caught.value.input, caught.value.why, caught.value.expected


def test_one_value_is_in_its_base_unit_and_without_doubt() -> None:
    """9.6 kW are 9600 W: one reading, no limit, no scatter."""
    (item,) = read("heater-current", "power=9.6 kW", "voltage=240 V")["power"].items
    assert item == ("electric_power", 9600.0, 0.0, 0.0, 0.0, 1)
    assert Item("voltage", 240.0, 1.5) == ("voltage", 240.0, 1.5, 0.0, 0.0, 1)


def test_a_word_and_a_size_are_without_doubt_too() -> None:
    """Neither copper nor 6 AWG has a U; what was typed for them is kept as it was typed."""
    found = read("conductor-ampacity", "size=6awg", "material=Copper")
    assert found["size"].items == (("", "6 AWG", 0.0, 0.0, 0.0, 1),)
    assert found["material"].items == (("", "copper", 0.0, 0.0, 0.0, 1),)
    assert [found[name].typed for name in ("size", "material", "ambient")] == ["6awg", "Copper", None]


def test_a_limit_and_readings_are_kept_apart() -> None:
    """239, 240 and 241 V ± 1 V: a mean of 240, a limit of 1, a scatter of 1/sqrt3, and U of both together."""
    (item,) = read("heater-current", "power=1 kW", "voltage=239; 240; 241 V ± 1 V")["voltage"].items
    third = 1 / math.sqrt(3)
    assert (item.kind, item.limit, item.readings) == ("voltage", 1.0, 3)
    assert (item.value, item.scatter) == pytest.approx((240.0, third))
    assert item.expanded == pytest.approx(2 * math.hypot(third, third))


@pytest.mark.parametrize(
    ("name", "pairs", "place", "ip", "si"),
    [
        ("heater-current", ["power=9.6 kW", "voltage=240 V"], "power", "9.60 kW", "9.60 kW"),
        ("heater-current", ["power=9.6 kW", "voltage=240 V"], "phases", "1", "1"),
        ("fan-efficacy", ["power=400 W", "airflow=1200 cfm"], "airflow", "1200 cfm", "566 L/s"),
        ("conductor-ampacity", ["size=6awg", "ambient=104 F"], "size", "6 AWG", "6 AWG"),
        ("conductor-ampacity", ["size=6 AWG", "ambient=104 F"], "ambient", "40 °C", "40 °C"),
        ("conductor-ampacity", ["size=6 AWG"], "material", "copper", "copper"),
        ("instrument-uncertainty", ["reading=240 V", "percent=1.5"], "percent", "1.5 %", "1.5 %"),
        ("instrument-uncertainty", ["reading=240 V", "percent=1.5"], "absolute", "none", "none"),
        (
            "system-curve",
            ["airflow=1 m3/s", "static=1 Pa", "new_airflow=1 m3/s", "exponent=1.8"],
            "exponent",
            "1.80",
            "1.80",
        ),
        (
            "fan-law",
            ["airflow=1 m3/s", "static=1 Pa", "power=1 W", "speed_ratio=0.75"],
            "speed_ratio",
            "0.75",
            "0.75",
        ),
        ("voltage-unbalance", ["voltages=462 V,463 V,455 V"], "voltages", "462.0 V + 463.0 V + 455.0 V", ""),
        ("control-load", ["rating=40 VA", "loads=0.5 A, 10 VA"], "loads", "0.50 A + 10.0 VA", ""),
        ("conformity", ["value=5", "expanded=1.25", "lower=4"], "expanded", "1.25", "1.25"),
        (
            "thermal-capacity",
            ["floor_area=2000 ft2", "construction=VERY_heavy"],
            "construction",
            "very heavy",
            "",
        ),
        (
            "thermal-capacity",
            ["floor_area=1 m2", "construction=very-heavy"],
            "construction",
            "very heavy",
            "",
        ),
    ],
)
def test_an_input_is_shown_as_people_write_it(
    name: str, pairs: list[str], place: str, ip: str, si: str
) -> None:
    """In the reader's units, columns as the code prints them, lists as sums, what is left out as none."""
    given = read(name, *pairs)[place]
    assert given.shown("ip") == ip
    assert given.shown("si") == (si or ip)


@pytest.mark.parametrize(
    ("pairs", "kind", "value"),
    [
        (["value=5", "expanded=1", "upper=6"], "ratio", 5.0),
        (["value=5 V", "expanded=1 V", "upper=6 V"], "voltage", 5.0),
        (["value=5 ft", "expanded=1 ft", "upper=2 m"], "length", 1.524),
        (["value=10 in", "expanded=1 in", "upper=12 in"], "length", 0.254),
        (["value=1 in", "expanded=10 Pa", "upper=300 Pa"], "static_pressure", 249.08891),
        (["value=50 Pa", "expanded=5 Pa", "upper=60 Pa"], "static_pressure", 50.0),
        (["value=50 F", "expanded=1.8 F", "upper=60 F"], "temperature", 10.0),
        (["value=9 delta_degF", "expanded=1.8 F", "upper=60 delta_degF"], "temperature_difference", 5.0),
        (["value=1 kW", "expanded=1 W", "upper=2 kW"], "electric_power", 1000.0),
    ],
)
def test_inputs_of_free_kind_agree_on_one(pairs: list[str], kind: str, value: float) -> None:
    """An inch among inches is a length, beside pascals a water column; the U of a level is a difference."""
    found = read("conformity", *pairs)
    assert [item.kind for item in found["value"].items] == [kind]
    assert found["value"].items[0].value == pytest.approx(value, rel=1e-6)
    assert found["upper"].items[0].kind == kind
    expected = "temperature_difference" if kind == "temperature" else kind
    assert found["expanded"].items[0].kind == expected


def test_the_uncertainty_of_a_temperature_has_no_zero_of_its_own() -> None:
    """A U of 1.8 °F is 1 K, not -16.8 °C."""
    assert read("conformity", "value=50 F", "expanded=1.8 F", "upper=60 F")["expanded"].items[
        0
    ].value == pytest.approx(1.0)


OHM = ["power=1 kW", "voltage=240 V"]
DUCT = ["external_static=1 Pa", "total_effective_length=1 m"]


@pytest.mark.parametrize(
    ("name", "pairs", "input_name", "why", "expected"),
    [
        (
            "heater-current",
            [*OHM, "zork=1"],
            "zork",
            "heater-current has no such input",
            "power, voltage, phases",
        ),
        ("heater-current", ["voltage=240 V"], "power", "missing", "an electric power in kW"),
        ("heater-current", ["power=1 kW"], "voltage", "missing", "a voltage in V"),
        (
            "heater-current",
            ["power=", "voltage=240 V"],
            "power",
            "nothing was typed",
            "an electric power in kW",
        ),
        ("standard-pressure", [], "altitude", "missing", "a length in ft or m"),
        ("fan-efficacy", ["power=1 W"], "airflow", "missing", "an airflow in cfm or L/s"),
        (
            "friction-rate",
            DUCT,
            "losses",
            "missing",
            "a static pressure in in. w.c. or Pa, several separated by commas",
        ),
        (
            "friction-rate",
            [*DUCT, "losses=1 Pa,,2 Pa"],
            "losses",
            "an empty item",
            "several separated by commas",
        ),
        ("friction-rate", [*DUCT, "losses=1 Pa, "], "losses", "an empty item", "several separated by commas"),
        ("friction-rate", [*DUCT, "losses= "], "losses", "nothing was typed", "several separated by commas"),
        ("conductor-ampacity", [], "size", "missing", 'a size such as "6 AWG"'),
        ("conductor-ampacity", ["size=6"], "size", "6", "8 AWG"),
        (
            "conductor-ampacity",
            ["size=6 AWG", "material=tin"],
            "material",
            "'tin' is not on offer",
            "copper or aluminium",
        ),
        ("instrument-uncertainty", ["percent=1"], "reading", "missing", "a quantity with its unit"),
        (
            "instrument-uncertainty",
            ["reading=120", "percent=1"],
            "reading",
            "'120' cannot be read",
            "a quantity with its unit",
        ),
        ("instrument-uncertainty", ["reading=zork", "percent=1"], "reading", "zork", ""),
        (
            "instrument-uncertainty",
            ["reading=1 V ± 1 V", "percent=1"],
            "reading",
            "a ± has no meaning here",
            "the value alone",
        ),
        (
            "conformity",
            ["value=zork", "expanded=1"],
            "value",
            "'zork' cannot be read",
            "a plain number or a quantity with its unit",
        ),
        (
            "conformity",
            ["value=5 V ± 1 V", "expanded=1 V"],
            "value",
            "a ± has no meaning here",
            "the value alone",
        ),
        (
            "conformity",
            ["value=5; 6 V", "expanded=1 V"],
            "value",
            "repeated readings have no meaning here",
            "one value",
        ),
        ("conformity", ["value=5 V", "expanded=1 A", "upper=6 V"], "expanded", "A", "V"),
        ("conformity", ["value=5 V", "expanded=1 V", "upper=6 A"], "upper", "A", "V"),
        ("conformity", ["value=5 in", "expanded=1 in", "upper=6 A"], "upper", "not of length", "length"),
        ("heater-current", [*OHM, "phases=1 ± 1"], "phases", "a ± has no meaning here", "the value alone"),
        (
            "heater-current",
            [*OHM, "phases=1; 3"],
            "phases",
            "repeated readings have no meaning here",
            "one value",
        ),
        ("control-load", ["rating=40 VA", "loads=5 V"], "loads", "not of apparent power", "VA, kVA"),
        ("heater-current", ["power=1 kW", "voltage=1e200; 3e200 V"], "voltage", "too large", "a usual size"),
        ("heater-current", ["power=1 kW", "voltage=1 V ± 1.7e308 V"], "voltage", "too large", "a usual size"),
    ],
)
def test_what_cannot_be_read_is_refused_with_what_could(
    name: str, pairs: list[str], input_name: str, why: str, expected: str
) -> None:
    """The input at fault, what is wrong with it, and in which units a right one would be."""
    found = refusal(name, *pairs)
    assert found[0] == input_name
    assert why in found[1]
    assert expected in found[2]
