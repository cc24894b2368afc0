"""The catalogue agrees with the functions it lists."""

from __future__ import annotations

import inspect

import pytest

import asleft.calc as calculations
from asleft.calc.catalogue import SUFFIXES, catalogue
from asleft.calc.steps import steps_of
from asleft.calc.typed import LOOSE
from asleft.calc.working import answer
from asleft.quantity import KINDS
from asleft.tables import table_names

NAMES = [
    "standard-pressure",
    "air-density",
    "sensible-heat",
    "airflow-from-rise",
    "rise-from-airflow",
    "supply-limits",
    "voltage-unbalance",
    "heater-power",
    "heater-current",
    "branch-circuit",
    "overcurrent-device",
    "conductor-ampacity",
    "voltage-drop",
    "control-load",
    "total-external-static",
    "friction-rate",
    "system-curve",
    "fan-law",
    "operating-point",
    "face-velocity",
    "fan-efficacy",
    "balance-point",
    "delay-droop",
    "recovery-time",
    "thermal-capacity",
    "instrument-uncertainty",
    "conformity",
]


def test_the_fixed_names_are_all_there():
    """Names are a contract: none is missing and none is extra."""
    assert sorted(catalogue()) == sorted(NAMES)


@pytest.mark.parametrize("name", NAMES)
def test_inputs_are_the_functions_parameters(name):
    """Each input is a parameter of that name with its unit, and what has a default there has one here."""
    calculation = catalogue()[name]
    parameters = inspect.signature(calculation.function).parameters
    expected = {entry.parameter(): entry for entry in calculation.inputs}
    expected |= {entry.parameter(entry.or_kind): entry for entry in calculation.inputs if entry.or_kind}
    assert set(parameters) == set(expected)
    for parameter, entry in expected.items():
        optional = parameters[parameter].default is not inspect.Parameter.empty
        assert optional == (entry.default is not None or entry.optional or entry.or_kind is not None)


@pytest.mark.parametrize("name", NAMES)
def test_results_are_what_the_function_gives(name):
    """Each field of the result is a result of that name with its unit."""
    calculation = catalogue()[name]
    pairs = dict(pair.split("=", 1) for pair in calculation.example)
    done = answer(name, pairs)
    result = calculation.function
    returned = inspect.get_annotations(result, eval_str=True)["return"]
    fields = getattr(returned, "_fields", None)
    if fields:
        wanted = [
            f"{found.name}_{SUFFIXES[found.kind]}" if found.kind in SUFFIXES else found.name
            for found in calculation.results
        ]
        assert list(fields)[: len(wanted)] == wanted
    else:
        assert len(calculation.results) == 1
    assert len(done.outcomes) == len(calculation.results)
    assert all(outcome.shown() for outcome in done.outcomes)


@pytest.mark.parametrize("name", NAMES)
def test_entries_are_complete(name):
    """Each entry says its formula, source and limits, and its kinds exist."""
    calculation = catalogue()[name]
    assert calculation.formula
    assert calculation.source
    assert calculation.limits
    kinds = {*KINDS, *LOOSE, "word", "size"}
    assert {entry.kind for entry in (*calculation.inputs, *calculation.results)} <= kinds
    assert set(calculation.tables) <= set(table_names())
    assert steps_of(name)


def test_every_table_is_read_by_a_calculation():
    """No published table lies idle."""
    assert {table for entry in catalogue().values() for table in entry.tables} == set(table_names())


@pytest.mark.parametrize("name", NAMES)
def test_docstrings_name_every_parameter_and_the_source(name):
    """A function's docstring is its contract."""
    function = catalogue()[name].function
    text = inspect.getdoc(function) or ""
    for parameter in inspect.signature(function).parameters:
        assert f":param {parameter}:" in text
    assert "Source:" in text
    assert ">>>" in text


def test_everything_exported_exists():
    """The package exports what it says."""
    assert all(hasattr(calculations, name) for name in calculations.__all__)
