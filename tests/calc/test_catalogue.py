"""The catalogue agrees with the functions it lists."""

from __future__ import annotations

import doctest
import importlib
import inspect
import re

import pytest

import asleft.calc as calculations
from asleft.calc.catalogue import SUFFIXES, catalogue
from asleft.calc.guards import input_name
from asleft.calc.steps import steps_of
from asleft.calc.typed import LOOSE
from asleft.calc.working import answer
from asleft.quantity import KINDS, unit_of
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


def test_an_entry_keeps_its_words_in_their_places():
    """Sensible heat, for one: subject, title, formula, source and limits are each what they are called."""
    entry = catalogue()["sensible-heat"]
    assert entry.subject == "heat"
    assert entry.title.startswith("Sensible heat")
    assert "1.08" in entry.formula
    assert "ASHRAE" in entry.source
    assert "site pressure" in entry.limits


@pytest.mark.parametrize("name", NAMES)
def test_what_an_entry_leaves_out_is_no(name):
    """Yes or no, never neither: lists, options, differences, steps and shared instruments."""
    calculation = catalogue()[name]
    flags = [calculation.shared_instrument, *(result.exact for result in calculation.results)]
    for entry in calculation.inputs:
        flags += [entry.optional, entry.list, entry.difference]
    assert {type(flag) for flag in flags} == {bool}
    assert calculation.shared_instrument == (name == "total-external-static")


def test_every_table_is_read_by_a_calculation():
    """No published table lies idle; two serve invented sites where the NEC does not govern."""
    read = {table for entry in catalogue().values() for table in entry.tables}
    assert read | {"capacities_iec", "device_sizes_iec"} == set(table_names())


UNITS = {suffix: unit_of(kind, "base") for kind, suffix in SUFFIXES.items()}

EXPORTED = [
    name for name in calculations.__all__ if inspect.isfunction(inspect.unwrap(getattr(calculations, name)))
]


def unit_named(parameter: str) -> str | None:
    """Give the unit that a parameter's name ends in."""
    if input_name(parameter) == parameter:
        return None
    if "_per_" in parameter:
        return parameter.replace("_per_", "/")
    return UNITS[parameter.rpartition("_")[2]]


@pytest.mark.parametrize("name", EXPORTED)
def test_a_docstring_is_a_contract(name):
    """Formula, every parameter with its unit, limits, numbered references that are cited, an example."""
    function = getattr(calculations, name)
    text = inspect.getdoc(function) or ""
    parts = ["\nFormula: ", "\n:param ", "\n:returns: ", "\nLimits: ", "\nReferences:\n[1] ", "\n>>> "]
    places = [text.find(part) for part in parts]
    assert -1 not in places
    assert places == sorted(places)
    described = dict(re.findall(r"^:param (\w+): (.+)$", text, re.MULTILINE))
    assert list(described) == list(inspect.signature(function).parameters)
    for parameter, words in described.items():
        unit = unit_named(parameter)
        assert unit is None or f"[{unit}]" in words
    numbers = [int(found) for found in re.findall(r"^\[(\d+)\] \S", text, re.MULTILINE)]
    assert numbers == list(range(1, len(numbers) + 1))
    cited = re.findall(r"\[([\d, ]+)\]", text[: places[4]])
    assert {int(found) for group in cited for found in group.split(",")} == set(numbers)


@pytest.mark.parametrize("name", EXPORTED)
def test_the_example_of_a_docstring_holds(name):
    """What it says comes out does."""
    function = getattr(calculations, name)
    room = importlib.import_module(function.__module__)
    examples = doctest.DocTestFinder(recurse=False).find(
        inspect.unwrap(function), name, module=False, globs=vars(room).copy()
    )
    assert sum(len(found.examples) for found in examples)
    results = [doctest.DocTestRunner().run(found) for found in examples]
    assert not sum(result.failed for result in results)


@pytest.mark.parametrize("name", NAMES)
def test_docstring_signature_and_catalogue_agree(name):
    """The parameters described are the inputs listed, each with the unit of its kind; results likewise."""
    calculation = catalogue()[name]
    text = inspect.getdoc(calculation.function) or ""
    described = re.findall(r"^:param (\w+):", text, re.MULTILINE)
    listed = [entry.parameter() for entry in calculation.inputs]
    listed += [entry.parameter(entry.or_kind) for entry in calculation.inputs if entry.or_kind]
    assert sorted(described) == sorted(listed)
    returns = text[text.index(":returns:") : text.index("\nLimits:")]
    for result in calculation.results:
        unit = UNITS.get(SUFFIXES.get(result.kind, ""))
        assert unit is None or f"[{unit}]" in returns


def test_everything_exported_exists():
    """The package exports what it says."""
    assert all(hasattr(calculations, name) for name in calculations.__all__)
