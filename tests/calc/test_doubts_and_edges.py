"""What must hold of the calculations at exact edges, and as their inputs become less certain."""

from __future__ import annotations

import math
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from asleft.calc import (
    branch_circuit,
    conformity,
    divided_parts,
    expanded_from_limit,
    instrument_uncertainty,
    mean_of_readings,
    operating_point,
)
from asleft.calc.catalogue import catalogue
from asleft.calc.working import answer
from asleft.tables import ambient_factor, device_sizes

RELAXED = settings(deadline=None)
FEW = settings(max_examples=20, deadline=None, suppress_health_check=[HealthCheck.too_slow])

MORE = st.floats(1.001, 3)
UNDOUBTED = ("count", "size", "word")


def doubted(name: str, parts: dict[str, float]) -> dict[str, str]:
    """Type the worked example of a calculation, these inputs known to within these parts of their values."""
    example = dict(pair.split("=", 1) for pair in catalogue()[name].example)
    for label, part in parts.items():
        texts = example[label].split(",")
        example[label] = ",".join(f"{t} ± {abs(_number(t)) * part!r}{_unit(t)}" for t in texts)
    return example


def _number(text: str) -> float:
    return float(text.split()[0])


def _unit(text: str) -> str:
    return " " + text.split(" ", 1)[1] if " " in text else ""


def uncertain_inputs(name: str) -> list[str]:
    """Name the inputs of a worked example that may carry a ±."""
    calculation = catalogue()[name]
    example = dict(pair.split("=", 1) for pair in calculation.example)
    return [
        entry.name for entry in calculation.inputs if entry.name in example and entry.kind not in UNDOUBTED
    ]


CARRYING = [
    name
    for name, entry in catalogue().items()
    if name not in ("instrument-uncertainty", "conformity") and not all(r.exact for r in entry.results)
]


@pytest.mark.parametrize("name", CARRYING)
def test_doubt_never_shrinks_when_an_inputs_grows(name: str) -> None:
    """Every U of every result, whichever input becomes less certain and whatever the others are."""
    labels = uncertain_inputs(name)

    @FEW
    @given(st.lists(st.floats(1e-4, 0.01), min_size=len(labels), max_size=len(labels)), st.data(), MORE)
    def holds(sizes: list[float], data: st.DataObject, more: float) -> None:
        parts = dict(zip(labels, sizes, strict=True))
        grown = data.draw(st.sampled_from(labels))
        before = answer(name, doubted(name, parts)).outcomes
        after = answer(name, doubted(name, {**parts, grown: parts[grown] * more})).outcomes
        assert any(outcome.expanded for outcome in before)
        for one, other in zip(before, after, strict=True):
            if one.expanded is not None:
                assert other.expanded is not None
                assert other.expanded >= one.expanded * (1 - 1e-6)
                assert other.value == one.value

    holds()


@RELAXED
@given(
    st.floats(-300, 300),
    st.tuples(st.floats(0, 5), st.integers(0, 10), st.floats(0, 1), st.floats(0, 5)),
    st.sampled_from(range(4)),
    MORE,
)
def test_a_worse_instrument_is_never_surer(reading, statement, worse, more):
    """Each part of an accuracy statement, and so U of a reading and of a mean of readings."""
    percent, counts, resolution, absolute = statement
    grown: list[Any] = [percent, counts, resolution, absolute]
    grown[worse] = math.ceil(grown[worse] * more) if worse == 1 else grown[worse] * more
    good = instrument_uncertainty(reading, percent, counts, resolution, absolute)
    poor = instrument_uncertainty(reading, *grown)
    assert poor.limit >= good.limit
    assert poor.expanded >= good.expanded
    readings = [reading, reading + 1.0]
    assert mean_of_readings(readings, poor.standard).expanded >= (
        mean_of_readings(readings, good.standard).expanded
    )
    assert good.expanded == pytest.approx(expanded_from_limit(good.limit))


TENTHS = st.integers(0, 150).map(lambda n: Decimal(n) / 10)


@RELAXED
@given(
    st.sampled_from([s for s in device_sizes() if s <= 200]), TENTHS, st.sampled_from(["208", "240", "230"])
)
def test_a_circuit_of_just_a_standard_size_takes_that_size(size, blower, volts):
    """Heater and blower whose 1.25-fold sum is exactly the size in decimals, whatever binary makes of it."""
    heater = Decimal(size) / Decimal("1.25") - blower
    assume(heater > 0)
    typed = {
        "heater_power": f"{heater * Decimal(volts):f} W",
        "voltage": f"{volts} V",
        "blower_current": f"{blower:f} A",
        "termination": "75 degC",
    }
    results = {o.result.name: o.value for o in answer("branch-circuit", typed).outcomes}
    assert results["overcurrent_device"] == size
    assert results["parts"] == max(1, math.ceil(heater / 48))


@RELAXED
@given(st.integers(1, 10), st.lists(st.floats(0.01, 1), min_size=1, max_size=12))
def test_heaters_of_whole_parts_of_48_amperes_are_not_divided_further(parts, shares):
    """Shares that are n times 48 A but for binary rounding make n parts; 0.01 A more makes n + 1."""
    total = math.fsum(shares)
    amperes = sum(48.0 * parts * share / total for share in shares)
    assert divided_parts(amperes) == parts
    assert divided_parts(amperes + 0.01) == parts + 1


@pytest.mark.parametrize("phases", [1, 3])
def test_48_amperes_is_one_part_on_a_60_ampere_device(phases):
    """48.0 A is not divided and takes 60 A, on one phase and on three; 48.1 A is divided and takes 70 A."""
    factor = 1.0 if phases == 1 else math.sqrt(3)
    edge = branch_circuit(48.0 * 240.0 * factor, 240.0, phases)
    over = branch_circuit(48.1 * 240.0 * factor, 240.0, phases)
    assert (edge.overcurrent_device_a, edge.parts) == (60.0, 1)
    assert (over.overcurrent_device_a, over.parts) == (70.0, 2)


@RELAXED
@given(
    st.integers(-3000, 3000).map(lambda n: Decimal(n) / 1000),
    st.sampled_from(["in. w.c.", "Pa"]),
    st.floats(0.001, 10),
)
def test_exactly_on_a_limit_passes_as_far_as_it_is_known(value, unit, expanded):
    """With the limit typed in the other unit: a pass without uncertainty, a conditional pass with any."""
    pascals = value * Decimal("249.08891") if unit == "in. w.c." else value
    number, limit = f"{value:f} {unit}", f"{pascals:f} Pa"
    for side in ("lower", "upper"):
        sure = answer("conformity", {"value": number, "expanded": "0 Pa", side: limit})
        unsure = answer("conformity", {"value": number, "expanded": f"{expanded!r} Pa", side: limit})
        assert (sure.outcomes[0].value, sure.outcomes[1].value) == ("pass", 1.0)
        assert unsure.outcomes[0].value == "conditional pass"
        assert unsure.outcomes[1].value == pytest.approx(0.5, abs=1e-6)


@RELAXED
@given(st.integers(-400, 400), st.integers(1, 400))
def test_inside_or_outside_by_just_u_counts_as_such(tenths, doubt_tenths):
    """Inside by exactly U passes outright; outside by exactly U still only conditionally fails."""
    limit, expanded = tenths / 10, doubt_tenths / 10
    assert conformity((tenths - doubt_tenths) / 10, expanded, upper=limit).verdict == "pass"
    assert conformity((tenths + doubt_tenths) / 10, expanded, upper=limit).verdict == "conditional fail"
    assert conformity((tenths + doubt_tenths) / 10, expanded, lower=limit).verdict == "pass"
    assert conformity((tenths - doubt_tenths) / 10, expanded, lower=limit).verdict == "conditional fail"


@pytest.mark.parametrize(
    ("fahrenheit", "factor"),
    [("86", 1.0), ("95", 0.96), ("104", 0.91), ("113", 0.87), ("122", 0.82), ("131", 0.76), ("158", 0.58)],
)
def test_the_top_of_an_ambient_band_belongs_to_it_in_either_unit(fahrenheit, factor):
    """86 degF is 30 degC and still takes no derating; factors as printed for 90 degC insulation."""
    celsius = (Decimal(fahrenheit) - 32) * 5 / 9
    for typed in (f"{fahrenheit} degF", f"{celsius:f} degC"):
        found = answer(
            "conductor-ampacity", {"size": "6 AWG", "termination": "90 degC", "ambient": typed}
        ).outcomes[0]
        assert found.value == pytest.approx(75.0 * factor)
    assert ambient_factor(float(celsius), 90) == factor


@RELAXED
@given(st.floats(20, 80), st.floats(50, 200), st.floats(0.3, 1), st.floats(0.05, 0.2), st.floats(0.5, 2.5))
def test_a_system_through_an_end_of_the_table_is_still_on_it(start, step, flow, less, exponent):
    """The first and the last row are points of the table, whatever rounding does to the curve."""
    statics, flows = [start, start + step], [flow, flow - less]
    for static, airflow in zip(statics, flows, strict=True):
        met = operating_point(statics, flows, airflow, static, exponent)
        assert met == pytest.approx((airflow, static))
