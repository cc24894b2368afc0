"""Calculations by name from the command line."""

from __future__ import annotations

import io
import json
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from asleft.calc.catalogue import catalogue
from asleft.line.work import run

EXAMPLES = {name: list(found.example) for name, found in catalogue().items()}


def work(*argv, as_json=False, system="ip"):
    """Run it; give exit code, standard output and standard error."""
    out, err = io.StringIO(), io.StringIO()
    code = run(list(argv), as_json=as_json, system=system, out=out, err=err)
    return code, out.getvalue(), err.getvalue()


def results(*argv):
    """Give the results of a calculation as JSON."""
    code, out, err = work(*argv, as_json=True)
    assert (code, err) == (0, "")
    return json.loads(out, parse_constant=lambda name: pytest.fail(f"{name} is not JSON"))["results"]


def test_without_a_name_every_calculation_is_listed_by_subject():
    """The list names each calculation once, each subject once."""
    code, out, err = work()
    assert (code, err) == (0, "")
    lines = out.splitlines()
    assert sorted(line.split()[0] for line in lines if line.startswith("  ")) == sorted(EXAMPLES)
    subjects = [line for line in lines if line and not line.startswith(" ")]
    assert len(subjects) == len(set(subjects))
    listed = json.loads(work(as_json=True)[1])["calculations"]
    assert [entry["name"] for entry in listed] == list(catalogue())


@pytest.mark.parametrize("name", EXAMPLES)
def test_a_name_alone_shows_what_it_takes(name):
    """Inputs, defaults, formula, limits, source and a worked example."""
    code, out, err = work(name)
    assert (code, err) == (0, "")
    found = catalogue()[name]
    for entry in found.inputs:
        assert entry.name in out
        if entry.default is not None:
            assert f"default {entry.default}" in out
    assert found.formula in out
    assert found.source in out
    assert found.limits in out
    assert "worked example" in out
    assert json.loads(work(name, as_json=True)[1])["name"] == name


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_worked_example_works(name):
    """The example runs, in text with its working and in strict JSON with the keys that were promised."""
    code, out, err = work(name, *EXAMPLES[name])
    assert (code, err) == (0, "")
    assert catalogue()[name].formula in out
    assert catalogue()[name].source in out
    done = json.loads(work(name, *EXAMPLES[name], as_json=True)[1])
    assert set(done) == {"name", "inputs", "results", "formula", "working", "source"}
    assert list(done["results"]) == [found.name for found in catalogue()[name].results]
    assert list(done["inputs"]) == [entry.name for entry in catalogue()[name].inputs]
    for value in done["results"].values():
        if isinstance(value, dict):
            assert math.isfinite(value["value"])
            assert value["shown"]
            assert isinstance(value["unit"], str)


def test_values_are_in_base_units_and_unrounded():
    """JSON gives base units to the last digit, and what a person would read beside it."""
    answer = results("airflow-from-rise", "heater_power=9.6kW", "rise=26.3 F", "blower_power=400 W")
    assert answer["airflow"]["unit"] == "m3/s"
    assert answer["airflow"]["shown"] == "1201 cfm"
    assert answer["airflow"]["value"] == pytest.approx(
        10000 * 3600 / 1055.05585262 / (1.08 * 26.3) * 4.719474432e-4, rel=1e-12
    )


def test_words_sizes_and_what_has_no_answer():
    """Words and sizes are plain strings; what has no answer is null; never is a word."""
    assert results("branch-circuit", "heater_power=9.6 kW", "voltage=240 V")["conductor"] == "6 AWG"
    assert results("voltage-unbalance", "voltages=480 V,400 V,480 V")["derating"] is None
    house = ["heat_loss_coefficient=350 W/K", "thermal_capacity=30 MJ/K", "setback=6 F"]
    assert results("recovery-time", "surplus=1 kW", *house)["time"] == "never"
    small = ["capacity_47=90 kBtu/h", "capacity_17=80 kBtu/h", "design_load=1 kBtu/h"]
    meets = results("balance-point", *small, "design_temperature=5 F")
    assert (meets["temperature"], meets["load"]) == (None, None)
    assert meets["auxiliary_power"]["value"] == 0.0


def test_bad_news_is_a_result():
    """An overload, an unbalance or no static left is told, with exit code 0."""
    assert results("control-load", "rating=10 VA", "loads=10 VA,1 A")["fraction"]["value"] == pytest.approx(
        3.4
    )
    left = results(
        "friction-rate", "external_static=0.1 in wc", "losses=0.2 in wc", "total_effective_length=99 ft"
    )
    assert left["available_static"]["value"] < 0


@pytest.mark.parametrize(
    ("value", "expanded", "limits", "verdict"),
    [
        ("238 V", "1.8 V", ["lower=216 V", "upper=252 V"], "pass"),
        ("5", "1", ["upper=4"], "conditional fail"),
        ("5", "1", ["upper=5"], "conditional pass"),
        ("-5", "1", ["lower=-3"], "fail"),
        ("115 F", "2 F", ["upper=46 C"], "conditional fail"),
        ("115 F", "2 delta_degF", ["upper=120 F"], "pass"),
        ("20 delta_degF", "2 F", ["upper=30 F"], "pass"),
        ("0.52 in wc", "0.02 in wc", ["upper=130 Pa"], "conditional pass"),
    ],
)
def test_conformity_takes_numbers_or_quantities_of_one_kind(value, expanded, limits, verdict):
    """Plain numbers, or quantities of whatever one kind, temperatures with differences."""
    assert results("conformity", f"value={value}", f"expanded={expanded}", *limits)["verdict"] == verdict


def test_percent_of_a_thermometer_is_of_what_it_shows():
    """1 % of 70 °F is 0.7 °F, however many degrees Celsius that is."""
    limit = results("instrument-uncertainty", "reading=70 F", "percent=1")["limit"]
    assert limit["value"] * 1.8 == pytest.approx(0.7)
    assert results("instrument-uncertainty", "reading=70 F", "percent=1 %")["limit"] == limit


def test_a_typed_plus_minus_is_carried_to_the_result():
    """The limit a becomes U = 2a/sqrt3, propagated to first order; independent inputs join in quadrature."""
    answer = results("heater-current", "power=9.6 kW ± 0.192 kW", "voltage=240 V ± 2.4 V")
    expected = 40 * math.hypot(0.02, 0.01) * 2 / math.sqrt(3)
    assert answer["current"]["uncertainty"] == pytest.approx(expected, rel=1e-6)
    assert "(U, k = 2)" in work("heater-current", "power=9.6 kW ± 0.2", "voltage=240 V")[1]
    assert "uncertainty" not in results("heater-current", "power=9.6 kW", "voltage=240 V")["current"]


def test_repeated_readings_are_averaged_with_their_scatter():
    """Readings separated by semicolons give their mean, and its standard deviation is carried."""
    answer = results("heater-current", "power=9.6 kW", "voltage=239; 240; 241 V")["current"]
    assert answer["value"] == pytest.approx(40.0)
    assert answer["uncertainty"] == pytest.approx(40 / 240 * 2 / math.sqrt(3), rel=1e-6)


def test_one_manometer_adds_its_uncertainty_linearly():
    """Two statics by one instrument share its error."""
    total = results("total-external-static", "supply=75 Pa ± 3", "return=-50 Pa ± 2")["total"]
    assert total["uncertainty"] == pytest.approx(5 * 2 / math.sqrt(3), rel=1e-6)


REFUSALS = [
    (["nope"], "nope"),
    (["nope", "a=1"], "nope"),
    (["heater-current", "power=9.6 kW"], "voltage"),
    (["heater-current", "power=9.6 kW", "voltage=240 V", "zork=1"], "zork"),
    (["heater-current", "power=9.6 kW", "voltage=240 V", "power=9.6 kW"], "power"),
    (["heater-current", "garbage"], "garbage"),
    (["heater-current", "=5"], "=5"),
    (["heater-current", ""], "''"),
    (["heater-current", "power=", "voltage=240 V"], "power"),
    (["heater-current", "power=9.6", "voltage=240 V"], "power"),
    (["heater-current", "power=1,5 kW", "voltage=240 V"], "power"),
    (["heater-current", "power=-1 kW", "voltage=240 V"], "power"),
    (["heater-current", "power=1 kW", "voltage=0 V"], "voltage"),
    (["heater-current", "power=1 kW", "voltage=240 V", "phases=2"], "phases"),
    (["heater-current", "power=1 kW", "voltage=240 V", "phases=1.5"], "phases"),
    (["heater-current", "power=nan kW", "voltage=240 V"], "power"),
    (["heater-current", "power=1e999 kW", "voltage=240 V"], "power"),
    (["heater-current", "power=1e300 kW", "voltage=1e-300 V"], "power"),
    (["heater-current", "power=3 cfm", "voltage=240 V"], "power"),
    (["standard-pressure", "altitude=12 km"], "altitude"),
    (["standard-pressure", "altitude=-1.1 km"], "altitude"),
    (["air-density", "temperature=-300 C"], "temperature"),
    (["air-density", "temperature=20 delta_degC"], "temperature"),
    (["air-density", "temperature=20 C", "relative_humidity=50"], "relative_humidity"),
    (["conductor-ampacity", "size=6"], "size"),
    (["conductor-ampacity", "size=7 AWG"], "size"),
    (["conductor-ampacity", "size=6 AWG", "termination=61 degC"], "termination"),
    (["conductor-ampacity", "size=6 AWG", "ambient=71 degC"], "ambient"),
    (["conductor-ampacity", "size=6 AWG", "conductors=3.5"], "conductors"),
    (["conductor-ampacity", "size=6 AWG", "material=silver"], "material"),
    (["overcurrent-device", "ampacity=601 A"], "ampacity"),
    (["voltage-unbalance", "voltages=480 V,,472 V"], "voltages"),
    (["voltage-unbalance", "voltages="], "voltages"),
    (["voltage-unbalance", "voltages=480 V,472 V"], "voltages"),
    (["airflow-from-rise", "heater_power=9.6 kW", "rise=0 F"], "rise"),
    (["airflow-from-rise", "heater_power=9.6 kW", "rise=-5 F"], "rise"),
    (["conformity", "value=5", "expanded=1"], "lower"),
    (["conformity", "value=5", "expanded=1", "lower=6", "upper=4"], "lower"),
    (["conformity", "value=5 V", "expanded=1", "lower=4 V"], "expanded"),
    (["conformity", "value=5 V", "expanded=1 A", "lower=4 V"], "expanded"),
    (["conformity", "value=5 V", "expanded=1 V", "lower=4 A"], "lower"),
    (["conformity", "value=5 V ± 1", "expanded=1 V", "lower=4 V"], "value"),
    (["instrument-uncertainty", "reading=120", "percent=1"], "reading"),
    (["instrument-uncertainty", "reading=120 V", "percent=-1"], "percent"),
    (["instrument-uncertainty", "reading=120 V", "percent=1", "counts=1.5", "resolution=0.1 V"], "counts"),
    (
        ["operating-point", "fan_static=50 Pa", "fan_airflow=500 L/s", "airflow=1 m3/s", "static=1 Pa"],
        "fan_static",
    ),
]


@pytest.mark.parametrize(("argv", "name"), REFUSALS)
@pytest.mark.parametrize("as_json", [False, True])
def test_a_refusal_is_one_short_line_that_names_the_input(argv, name, as_json):
    """Exit code 2, one line on standard error, nothing on standard output, JSON or not."""
    code, out, err = work(*argv, as_json=as_json)
    assert (code, out) == (2, "")
    assert err.count("\n") == 1
    assert err.endswith("\n")
    assert name in err
    assert len(err) <= 201


def test_hostile_text_stays_on_one_printable_line():
    """Escapes and line feeds in what was typed are never sent to the terminal."""
    for hostile in ("\x1b[31m", "a\nb", "\u202e", "x" * 5000, "[/]"):
        for argv in (
            [hostile],
            ["heater-current", hostile],
            ["heater-current", f"{hostile}=1"],
            ["heater-current", f"power={hostile}"],
            ["thermal-capacity", "floor_area=1 m2", f"construction={hostile}"],
        ):
            code, out, err = work(*argv)
            assert (code, out) == (2, "")
            assert err.count("\n") == 1
            assert err.strip("\n").isprintable()
            assert len(err) <= 201


@settings(deadline=None)  # the units library is read when first needed
@given(st.sampled_from(sorted(EXAMPLES)), st.text(max_size=30), st.integers(0, 8))
def test_any_text_is_answered_or_refused(name, text, place):
    """Whatever stands for an input, there is an answer in strict JSON or one line that refuses it."""
    pairs = list(EXAMPLES[name])
    key = pairs[place % len(pairs)].partition("=")[0]
    pairs[place % len(pairs)] = f"{key}={text}"
    code, out, err = work(name, *pairs, as_json=True)
    if code == 0:
        json.loads(out, parse_constant=lambda constant: pytest.fail(constant))
    else:
        assert (code, out, err.count("\n")) == (2, "", 1)


def test_si_is_shown_when_asked():
    """The other system of units is shown first when wanted."""
    code, out, _ = work("fan-efficacy", "power=400 W", "airflow=1200 cfm", system="si")
    assert code == 0
    assert "0.71 W/(L/s)" in out


def test_an_old_terminal_gets_marks_it_can_show():
    """A stream that cannot encode a sign gets a stand-in, not a crash."""
    raw = io.BytesIO()
    out = io.TextIOWrapper(raw, encoding="ascii", write_through=True)
    assert run(["heater-current", "power=9.6 kW ± 0.1", "voltage=240 V"], out=out, err=io.StringIO()) == 0
    assert b"current  40.00 A ? " in raw.getvalue()
