"""The names, defaults, units and refusals of every calculation, as outsiders call them."""

from __future__ import annotations

import io
import json
import math

import pytest

from asleft.calc.catalogue import catalogue
from asleft.line.work import run

R = "required"
O = "optional"  # noqa: E741

INPUTS = {
    "standard-pressure": {"altitude": R},
    "air-density": {"temperature": R, "altitude": "0 m", "relative_humidity": "0"},
    "sensible-heat": {"airflow": R, "temperature_change": R, "altitude": "0 m"},
    "airflow-from-rise": {"heater_power": R, "rise": R, "blower_power": "0 W", "altitude": "0 m"},
    "rise-from-airflow": {"heater_power": R, "airflow": R, "blower_power": "0 W", "altitude": "0 m"},
    "supply-limits": {"nominal": R, "measured_at": "terminals", "range": "A"},
    "voltage-unbalance": {"voltages": R},
    "heater-power": {"rated_power": R, "rated_voltage": R, "voltage": R, "phases": "1"},
    "heater-current": {"power": R, "voltage": R, "phases": "1"},
    "branch-circuit": {
        "heater_power": R,
        "voltage": R,
        "phases": "1",
        "blower_current": "0 A",
        "material": "copper",
        "termination": "60 degC",
        "insulation": "90 degC",
        "ambient": "30 degC",
        "conductors": "3",
    },
    "overcurrent-device": {"ampacity": R},
    "conductor-ampacity": {
        "size": R,
        "material": "copper",
        "termination": "60 degC",
        "insulation": "90 degC",
        "ambient": "30 degC",
        "conductors": "3",
    },
    "voltage-drop": {
        "current": R,
        "length": R,
        "size": R,
        "material": "copper",
        "phases": "1",
        "voltage": R,
    },
    "control-load": {"rating": R, "loads": R, "voltage": "24 V"},
    "total-external-static": {"supply": R, "return": R},
    "friction-rate": {"external_static": R, "losses": R, "total_effective_length": R},
    "system-curve": {"airflow": R, "static": R, "new_airflow": R, "exponent": "2"},
    "fan-law": {"airflow": R, "static": R, "power": R, "speed_ratio": "1", "density_ratio": "1"},
    "operating-point": {"fan_static": R, "fan_airflow": R, "airflow": R, "static": R, "exponent": "2"},
    "face-velocity": {"airflow": R, "width": R, "height": R},
    "fan-efficacy": {"power": R, "airflow": R},
    "balance-point": {
        "capacity_47": R,
        "capacity_17": R,
        "design_load": R,
        "design_temperature": R,
        "zero_load_temperature": "65 degF",
        "capacity_35": O,
    },
    "delay-droop": {
        "deficit": R,
        "heat_loss_coefficient": R,
        "thermal_capacity": R,
        "delay": R,
        "start_droop": "0 K",
    },
    "recovery-time": {"surplus": R, "heat_loss_coefficient": R, "thermal_capacity": R, "setback": R},
    "thermal-capacity": {"floor_area": R, "construction": R},
    "instrument-uncertainty": {
        "reading": R,
        "percent": R,
        "counts": "0",
        "resolution": O,
        "absolute": O,
    },
    "conformity": {"value": R, "expanded": R, "lower": O, "upper": O},
}

# The example in base units: every result, its unit and its value, worked by hand from the formula.
RESULTS = [
    ("standard-pressure", ["altitude=1000 m"], {"pressure": (89875, "Pa", 1)}),
    ("standard-pressure", ["altitude=0 ft"], {"pressure": (101325, "Pa", 1e-9)}),
    ("air-density", ["temperature=20 C"], {"density": (101325 / 287.042 / 293.15, "kg/m3", 1e-9)}),
    (
        "sensible-heat",
        ["airflow=1200 cfm", "temperature_change=20 delta_degF"],
        {"heat_rate": (25920 * 1055.05585262 / 3600, "W", 1e-6)},
    ),
    (
        "sensible-heat",
        ["airflow=1200 cfm", "temperature_change=-20 F"],
        {"heat_rate": (-25920 * 1055.05585262 / 3600, "W", 1e-6)},
    ),
    (
        "rise-from-airflow",
        ["heater_power=25920 Btu/h", "airflow=1200 cfm"],
        {"rise": (20 / 1.8, "K", 1e-9)},
    ),
    (
        "airflow-from-rise",
        ["heater_power=25920 Btu/h", "rise=20 F"],
        {"airflow": (1200 * 0.0283168465920 / 60, "m3/s", 1e-9)},
    ),
    ("supply-limits", ["nominal=240 V"], {"lowest": (216, "V", 1e-9), "highest": (252, "V", 1e-9)}),
    (
        "supply-limits",
        ["nominal=208 V", "measured_at=service", "range=B"],
        {"lowest": (208 * 110 / 120, "V", 1e-9), "highest": (208 * 127 / 120, "V", 1e-9)},
    ),
    ("supply-limits", ["nominal=230 V"], {"lowest": (197.8, "V", 1e-9), "highest": (253, "V", 1e-9)}),
    (
        "voltage-unbalance",
        ["voltages=462 V,463 V, 455 V"],
        {"unbalance": (5 / 460, "", 1e-12), "derating": (1.0, "", 0.02)},
    ),
    (
        "heater-power",
        ["rated_power=10 kW", "rated_voltage=240 V", "voltage=208 V"],
        {
            "power": (10000 * (208 / 240) ** 2, "W", 1e-9),
            "resistance": (5.76, "ohm", 1e-12),
            "current": (208 / 5.76, "A", 1e-9),
            "fraction": ((208 / 240) ** 2, "", 1e-12),
        },
    ),
    ("heater-current", ["power=9.6 kW", "voltage=240 V"], {"current": (40, "A", 1e-9)}),
    (
        "heater-current",
        ["power=9.6 kW", "voltage=240 V", "phases=3"],
        {"current": (40 / math.sqrt(3), "A", 1e-9)},
    ),
    (
        "branch-circuit",
        ["heater_power=9.6 kW", "voltage=240 V", "blower_current=3 A"],
        {
            "load_current": (43, "A", 1e-9),
            "minimum_ampacity": (53.75, "A", 1e-9),
            "overcurrent_device": (60, "A", 1e-9),
            "conductor": "6 AWG",
            "parts": (1, "", 0),
        },
    ),
    (
        "branch-circuit",
        ["heater_power=11.52 kW", "voltage=240 V"],
        {
            "load_current": (48, "A", 1e-9),
            "minimum_ampacity": (60, "A", 1e-9),
            "overcurrent_device": (60, "A", 1e-9),
            "conductor": "4 AWG",
            "parts": (1, "", 0),
        },
    ),
    ("overcurrent-device", ["ampacity=53.75 A"], {"size": (60, "A", 0)}),
    ("conductor-ampacity", ["size=1/0"], {"ampacity": (125, "A", 1e-9)}),
    ("conductor-ampacity", ["size=8 AWG", "ambient=30.5 C"], {"ampacity": (40, "A", 1e-9)}),
    (
        "conductor-ampacity",
        ["size=8 AWG", "ambient=30.5 C", "conductors=7", "termination=75 C"],
        {"ampacity": (55 * 0.96 * 0.7, "A", 1e-9)},
    ),
    (
        "voltage-drop",
        ["current=4 A", "length=100 ft", "size=16 AWG", "voltage=24 V"],
        {"drop": (3.992, "V", 1e-9), "fraction": (3.992 / 24, "", 1e-9)},
    ),
    (
        "voltage-drop",
        ["current=10 A", "length=100 m", "size=6 mm2", "voltage=230 V"],
        {
            "drop": (2 * 3.08 / (1 - 0.00323 * 55), "V", 1e-9),
            "fraction": (2 * 3.08 / (1 - 0.00323 * 55) / 230, "", 1e-9),
        },
    ),
    (
        "control-load",
        ["rating=40 VA", "loads=10 VA,5 VA,0.5 A"],
        {"load": (27, "VA", 1e-9), "fraction": (0.675, "", 1e-9)},
    ),
    ("total-external-static", ["supply=75 Pa", "return=-50 Pa"], {"total": (125, "Pa", 1e-9)}),
    ("total-external-static", ["supply=-75 Pa", "return=50 Pa"], {"total": (-25, "Pa", 1e-9)}),
    (
        "friction-rate",
        ["external_static=0.5 in wc", "losses=0.1 in wc,0.08 in wc", "total_effective_length=300 ft"],
        {
            "available_static": (0.32 * 249.08891, "Pa", 1e-9),
            "friction_rate": (0.32 * 249.08891 / 300 / 0.3048, "Pa/m", 1e-9),
        },
    ),
    (
        "system-curve",
        ["airflow=1 m3/s", "static=100 Pa", "new_airflow=2 m3/s"],
        {"static": (400, "Pa", 1e-9)},
    ),
    (
        "fan-law",
        ["airflow=1 m3/s", "static=100 Pa", "power=400 W", "speed_ratio=0.5", "density_ratio=0.8"],
        {"airflow": (0.5, "m3/s", 1e-9), "static": (20, "Pa", 1e-9), "power": (40, "W", 1e-9)},
    ),
    (
        "operating-point",
        ["fan_static=50 Pa,150 Pa", "fan_airflow=600 L/s,500 L/s", "airflow=0.5 m3/s", "static=150 Pa"],
        {"airflow": (0.5, "m3/s", 1e-9), "static": (150, "Pa", 1e-9)},
    ),
    ("face-velocity", ["airflow=600 L/s", "width=0.5 m", "height=600 mm"], {"velocity": (2, "m/s", 1e-9)}),
    ("fan-efficacy", ["power=400 W", "airflow=0.5 m3/s"], {"efficacy": (800, "W/(m3/s)", 1e-9)}),
    (
        "balance-point",
        ["capacity_47=36 MBH", "capacity_17=22 MBH", "design_load=40 MBH", "design_temperature=5 F"],
        {
            "temperature": ((25.823529 - 32) / 1.8, "degC", 1e-5),
            "load": (26117.647 * 1055.05585262 / 3600, "W", 1e-3),
            "design_capacity": (16400 * 1055.05585262 / 3600, "W", 1e-6),
            "auxiliary_power": (23600 * 1055.05585262 / 3600, "W", 1e-6),
        },
    ),
    (
        "balance-point",
        [
            "capacity_47=20 MBH",
            "capacity_17=60 MBH",
            "design_load=40 MBH",
            "design_temperature=5 F",
        ],
        {
            "temperature": ((59 - 32) / 1.8, "degC", 1e-9),
            "load": (4000 * 1055.05585262 / 3600, "W", 1e-6),
            "design_capacity": (76000 * 1055.05585262 / 3600, "W", 1e-6),
            "auxiliary_power": (0, "W", 0),
        },
    ),
    (
        "delay-droop",
        ["deficit=7 kW", "heat_loss_coefficient=350 W/K", "thermal_capacity=8 MJ/K", "delay=24 min"],
        {
            "droop": (20 * (1 - math.exp(-1440 * 350 / 8e6)), "K", 1e-9),
            "time_constant": (8e6 / 350, "s", 1e-9),
        },
    ),
    (
        "recovery-time",
        ["surplus=6 kW", "heat_loss_coefficient=350 W/K", "thermal_capacity=30 MJ/K", "setback=4 K"],
        {"time": (-30e6 / 350 * math.log(1 - 1400 / 6000), "s", 1e-6)},
    ),
    (
        "recovery-time",
        ["surplus=1.4 kW", "heat_loss_coefficient=350 W/K", "thermal_capacity=30 MJ/K", "setback=4 K"],
        {"time": "never"},
    ),
    (
        "thermal-capacity",
        ["floor_area=100 m2", "construction=very heavy"],
        {"thermal_capacity": (37e6, "J/K", 1e-6)},
    ),
    (
        "instrument-uncertainty",
        ["reading=-120 V", "percent=0.7", "counts=2", "resolution=0.1 V", "absolute=0.1 V"],
        {
            "limit": (1.14, "V", 1e-12),
            "standard": (1.14 / math.sqrt(3), "V", 1e-12),
            "expanded": (2.28 / math.sqrt(3), "V", 1e-12),
        },
    ),
    (
        "conformity",
        ["value=5", "expanded=2", "upper=6"],
        {"verdict": "conditional pass", "probability": (0.8413447, "", 1e-6)},
    ),
]


def ask(*argv: str, as_json: bool = True) -> tuple[int, str, str]:
    """Exit code, standard output and standard error."""
    out, err = io.StringIO(), io.StringIO()
    return run(list(argv), as_json=as_json, out=out, err=err), out.getvalue(), err.getvalue()


@pytest.mark.parametrize("name", INPUTS)
def test_inputs_and_defaults_are_the_fixed_ones(name: str) -> None:
    """Names in order, what must be given, what may be left out, what stands when it is."""
    found = {
        entry.name: R if entry.default is None and not entry.optional else entry.default or O
        for entry in catalogue()[name].inputs
    }
    assert found == INPUTS[name]


@pytest.mark.parametrize(("name", "pairs", "wanted"), RESULTS)
def test_results_have_their_names_units_and_values(name: str, pairs: list[str], wanted: dict) -> None:
    """Every result by its fixed name, in its base unit; words as strings."""
    code, out, err = ask(name, *pairs)
    assert (code, err) == (0, "")
    results = json.loads(out, parse_constant=pytest.fail)["results"]
    assert list(results) == list(wanted)
    for result, expected in wanted.items():
        if isinstance(expected, str):
            assert results[result] == expected
        else:
            value, unit, within = expected
            assert results[result]["unit"] == unit
            assert results[result]["value"] == pytest.approx(value, rel=0, abs=within)


def test_every_calculation_has_a_row() -> None:
    """None is left out of the tables above."""
    assert set(INPUTS) == set(catalogue()) == {name for name, _, _ in RESULTS}


MAY_BE_NEGATIVE = {
    "altitude",
    "temperature",
    "temperature_change",
    "supply",
    "return",
    "external_static",
    "losses",
    "static",
    "termination",
    "insulation",
    "ambient",
    "design_temperature",
    "zero_load_temperature",
    "start_droop",
    "value",
    "lower",
    "upper",
    "reading",
    "fan_static",
}
"""Statics, altitude, temperatures and their changes, values judged: all else refuses to be negative."""

NUMBERS = [
    (name, entry.name)
    for name, found in catalogue().items()
    for entry in found.inputs
    if entry.kind not in ("word", "size") and entry.name not in MAY_BE_NEGATIVE
]


@pytest.mark.parametrize(("name", "key"), NUMBERS)
@pytest.mark.parametrize("as_json", [True, False])
def test_a_negative_is_refused_where_it_has_no_meaning(name: str, key: str, as_json: bool) -> None:
    """One line that names the input, nothing on standard output."""
    pairs = dict(pair.split("=", 1) for pair in catalogue()[name].example)
    entry = next(entry for entry in catalogue()[name].inputs if entry.name == key)
    usual = pairs.get(key) or entry.default
    if usual is None:
        usual = {"capacity_35": "25 kBtu/h", "absolute": "0.1 V"}[key]
    pairs[key] = "-1" + usual.split(",")[0].lstrip("-0123456789.")
    if entry.list and key != "loads":
        pairs[key] += "," + ",".join(usual.split(",")[1:])
    code, out, err = ask(name, *(f"{k}={v}" for k, v in pairs.items()), as_json=as_json)
    assert (code, out, err.count("\n")) == (2, "", 1)
    assert err.startswith(f"work: {key}:")


DIVIDES = [
    ("airflow-from-rise", "rise=0 K"),
    ("rise-from-airflow", "airflow=0 cfm"),
    ("supply-limits", "nominal=0 V"),
    ("voltage-unbalance", "voltages=0 V,0 V,0 V"),
    ("heater-power", "rated_power=0 W"),
    ("heater-power", "rated_voltage=0 V"),
    ("heater-current", "voltage=0 V"),
    ("branch-circuit", "voltage=0 V"),
    ("voltage-drop", "voltage=0 V"),
    ("control-load", "rating=0 VA"),
    ("friction-rate", "total_effective_length=0 ft"),
    ("system-curve", "airflow=0 cfm"),
    ("operating-point", "airflow=0 cfm"),
    ("face-velocity", "width=0 m"),
    ("face-velocity", "height=0 m"),
    ("fan-efficacy", "airflow=0 cfm"),
    ("balance-point", "design_temperature=65 F"),
    ("delay-droop", "heat_loss_coefficient=0 W/K"),
    ("delay-droop", "thermal_capacity=0 J/K"),
    ("recovery-time", "heat_loss_coefficient=0 W/K"),
    ("recovery-time", "thermal_capacity=0 J/K"),
]

ODD = [
    ("air-density", "temperature=-273.15 C"),
    ("air-density", "temperature=294 K"),
    ("air-density", "temperature=20 delta_degF"),
    ("sensible-heat", "airflow=1,200 cfm"),
    ("voltage-unbalance", "voltages=462,463,455 V"),
    ("voltage-unbalance", "voltages=462 V,463 V,455 V,"),
    ("voltage-unbalance", "voltages=,"),
    ("control-load", "loads=10 W"),
    ("control-load", "loads=10"),
    ("branch-circuit", "heater_power=1 MW"),
    ("branch-circuit", "conductors=0"),
    ("branch-circuit", "termination=61 C"),
    ("branch-circuit", "ambient=71 C"),
    ("voltage-drop", "size=6"),
    ("voltage-drop", "size=250 kcmil"),
    ("conductor-ampacity", "size=16 AWG"),
    ("conductor-ampacity", "size=6 mm2"),
    ("operating-point", "fan_static=0.5 in wc,0.3 in wc,0.7 in wc"),
    ("operating-point", "fan_static=0.3 in wc,0.5 in wc"),
    ("operating-point", "static=9 in wc"),
    ("heater-power", "phases=2"),
    ("voltage-drop", "phases=2"),
    ("heater-power", "phases=1 ± 0"),
    ("heater-power", "rated_power=9.6"),
    ("heater-power", "rated_power=inf kW"),
    ("heater-power", "voltage=1e308 V"),
    ("instrument-uncertainty", "reading=120"),
    ("instrument-uncertainty", "resolution=0.1 A"),
    ("instrument-uncertainty", "counts=2.5"),
    ("conformity", "lower=253 V"),
    ("conformity", "lower=1 A"),
    ("thermal-capacity", "construction="),
    ("thermal-capacity", "construction=brick"),
    ("fan-law", "speed_ratio=1e200"),
]


@pytest.mark.parametrize(("name", "pair"), DIVIDES + ODD)
@pytest.mark.parametrize("as_json", [True, False])
def test_the_input_at_fault_is_named(name: str, pair: str, as_json: bool) -> None:
    """Zero where it divides, a missing unit, a comma, no table entry, no such size: one line each."""
    key = pair.split("=")[0]
    others = [given for given in catalogue()[name].example if given.split("=")[0] != key]
    code, out, err = ask(name, *others, pair, as_json=as_json)
    assert (code, out, err.count("\n")) == (2, "", 1)
    named = {"fan_static=0.3 in wc,0.5 in wc": "fan_airflow"}.get(pair, key)
    assert err.startswith(f"work: {named}:")
    assert len(err) <= 201


@pytest.mark.parametrize("name", INPUTS)
def test_every_input_that_must_be_given_is_missed(name: str) -> None:
    """Leaving one out names it; giving one twice names it, though both agree."""
    example = catalogue()[name].example
    for pair in example:
        key = pair.split("=")[0]
        others = [given for given in example if given != pair]
        if INPUTS[name][key] == R and others:
            code, out, err = ask(name, *others)
            assert (code, out) == (2, "")
            assert err.startswith(f"work: {key}: missing")
        code, out, err = ask(name, *example, pair)
        assert (code, out) == (2, "")
        assert err.startswith(f"work: {key}: given twice")


def test_every_printed_plus_minus_says_what_it_is() -> None:
    """A ± stands before U, with k = 2, in digits that show it; a typed one is called a limit."""
    _, out, _ = ask("total-external-static", "supply=0.30 in wc ± 0.001", "return=-0.2 in wc", as_json=False)
    shown = [line for line in out.splitlines() if "±" in line]
    assert shown == ["total  0.5000 in. w.c. ± 0.0012 in. w.c. (U, k = 2)  = 125 Pa"]
    assert "known to within 0.001 in. w.c. = 2 × 0.001 in. w.c. / sqrt(3)" in out


def test_an_uncertainty_beyond_all_bounds_is_refused() -> None:
    """A limit so wide that U is not finite names its input."""
    code, out, err = ask("heater-current", "power=1e300 W ± 1e300 W", "voltage=1e-300 V ± 1 V")
    assert (code, out) == (2, "")
    assert err.startswith(("work: power:", "work: voltage:"))


def test_tables_are_listed_with_where_they_were_seen() -> None:
    """All of them, or those that one calculation reads, in text and in JSON."""
    out, err = io.StringIO(), io.StringIO()
    assert run([], tables=True, as_json=True, out=out, err=err) == 0
    listed = json.loads(out.getvalue())["tables"]
    assert {row for entry in listed for row in entry} == {"name", "title", "source", "edition", "seen"}
    assert all(all(entry.values()) for entry in listed)
    text = io.StringIO()
    assert run([], tables=True, out=text, err=err) == 0
    for entry in listed:
        assert entry["name"] in text.getvalue().splitlines()
    one = io.StringIO()
    assert run(["conductor-ampacity"], tables=True, as_json=True, out=one, err=err) == 0
    assert [entry["name"] for entry in json.loads(one.getvalue())["tables"]] == list(
        catalogue()["conductor-ampacity"].tables
    )
    assert "conductors_awg" in ask("conductor-ampacity", as_json=False)[1]
    assert run(["conductor-ampacity", "size=6 AWG"], tables=True, out=io.StringIO(), err=err) == 2
    assert err.getvalue().startswith("work: size=6 AWG:")
