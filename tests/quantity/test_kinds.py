"""Kinds of quantity and their table of spellings."""

from __future__ import annotations

import math
import subprocess
import sys

import pint
import pytest

from asleft.quantity import KINDS, QuantityError, from_unit, parse, to_unit, unit_of

REGISTRY = pint.UnitRegistry(cache_folder=None)
UNITS = [(kind, unit) for kind in KINDS.values() for unit in kind.units.values()]


@pytest.mark.parametrize(("kind", "unit"), UNITS, ids=[f"{kind.id}-{unit.name}" for kind, unit in UNITS])
def test_every_factor_agrees_with_pint(kind, unit):
    """The size of each unit in the table is what the pint library computes (independent implementation)."""
    base = next(found for found in kind.units.values() if found.over == found.under)
    if kind.id == "temperature":
        for typed in (-40.0, 0.0, 72.5):
            expected = REGISTRY.Quantity(typed, unit.pint).to(base.pint).magnitude
            assert unit.to_base(typed) == pytest.approx(expected, abs=1e-9)
        return
    size = REGISTRY.Quantity(1.0, REGISTRY.parse_expression(unit.pint).units)
    scale = REGISTRY.parse_expression(unit.pint).magnitude
    expected = size.to(REGISTRY.parse_expression(base.pint).units).magnitude * scale
    assert unit.to_base(1.0) == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize(
    ("kind", "value", "unit", "base"),
    [
        ("static_pressure", 1.0, "in. w.c.", 249.089),
        ("airflow", 1.0, "cfm", 0.4719474e-3),
        ("heat_rate", 3.412142, "Btu/h", 1.0),
        ("heat_rate", 1.0, "ton", 3516.85),
        ("heat_rate", 1.0, "MBH", 293.0711),
        ("electric_power", 1.0, "ton", 3516.85),
    ],
)
def test_conventional_factors(kind, value, unit, base):
    """The factors that the trade quotes hold to the digits quoted."""
    assert from_unit(value, kind, unit) == pytest.approx(base, rel=2e-6)
    assert to_unit(base, kind, unit) == pytest.approx(value, rel=2e-6)


def test_every_spelling_reads_and_no_spelling_folds_onto_another_prefix():
    """Each spelling reads as its own unit, and upper case never turns milli into mega."""
    for kind in KINDS.values():
        for key, unit in kind.exact.items():
            if key:
                assert parse(f"2 {key}", kind.id).value == pytest.approx(unit.to_base(2.0))
    assert parse("1 mohm", "resistance").value == 0.001
    assert parse("1 Mohm", "resistance").value == 1e6


def test_shown_units_belong_to_their_kind():
    """Every unit in which a kind is shown is one that can be typed, and gives the value back."""
    for kind in KINDS.values():
        for system in ("ip", "si", "base"):
            unit = unit_of(kind.id, system)
            if unit:
                assert to_unit(from_unit(3.25, kind.id, unit), kind.id, unit) == pytest.approx(3.25)


def test_plausible_range_bounds():
    """The plausible range of a kind is held in base units."""
    assert KINDS["temperature"].lowest == pytest.approx(-51.111, abs=1e-3)
    assert KINDS["airflow"].highest == pytest.approx(4.719474432)
    assert KINDS["area"].lowest is None


def test_unknown_kind_and_system_are_refused():
    """A kind or a system of units that does not exist is refused by name."""
    with pytest.raises(QuantityError, match="zork"):
        parse("1 V", "zork")
    with pytest.raises(QuantityError, match="imperial"):
        unit_of("voltage", "imperial")


def test_importing_loads_neither_pint_nor_pydantic():
    """Reading a usual quantity costs no heavy import."""
    code = (
        "import sys, asleft.quantity as q; q.parse('0.5 in wc', 'static_pressure');"
        "q.parse_size('6 AWG'); q.show(1.0, 'airflow');"
        "print(sorted({'pint', 'pydantic', 'textual', 'numpy'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_a_unit_outside_the_table_is_read_through_pint():
    """A unit that our table does not list is read exactly as pint reads it."""
    assert parse("2 fathom", "length").value == pytest.approx(
        REGISTRY.Quantity(2.0, "fathom").to("m").magnitude
    )
    assert math.isclose(parse("5 gallon/minute", "airflow").value, 5 * 3.785411784e-3 / 60, rel_tol=1e-12)
