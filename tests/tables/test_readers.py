"""What the readers of the published tables give: each figure in its place, each gap told."""

from __future__ import annotations

import pytest

from asleft.tables import (
    TableError,
    ambient_factor,
    base_voltage,
    bundling_factor,
    conductor,
    constructions,
    device_sizes,
    heat_pump_points,
    iec_capacities,
    iec_device_sizes,
    iec_nominals,
    iec_supply_range,
    motor_derating,
    supply_range,
    table_names,
    table_source,
    wiring,
)


@pytest.mark.parametrize(
    ("call", "found", "expected"),
    [
        (lambda: conductor("7 AWG", "copper"), "7 AWG", "6 AWG"),
        (lambda: conductor("6 AWG", "tin"), "tin", "copper or aluminium"),
        (lambda: ambient_factor(70.5, 90), "70.5 degC", "at most 70 degC"),
        (lambda: ambient_factor(70.5, 60), "70.5 degC", "at most 55 degC"),
        (lambda: ambient_factor(58.0, 60), "58 degC", "at most 55 degC"),
    ],
)
def test_a_missing_entry_is_told_with_what_there_is(call, found, expected):
    """What was asked for and what the table holds, each in its place and both in the message."""
    with pytest.raises(TableError) as caught:
        call()
    error = caught.value
    assert error.found == found
    assert found in error.why
    assert expected in error.expected
    assert str(error) == f"{error.why}; expected {error.expected}"


def test_a_source_keeps_title_publication_edition_and_sight_apart():
    """The device sizes, for one: what they are, the section that lists them, its edition, how it was seen."""
    source = table_source("device_sizes")
    assert source.name == "device_sizes"
    assert source.title.startswith("Standard ampere ratings")
    assert source.source == "NEC (NFPA 70) 240.6(A)"
    assert source.edition.startswith("2023")
    assert source.seen.startswith("seen in")


def test_a_conductor_is_wholly_described():
    """6 AWG copper: its name, metal, table and the length and temperature for which that gives ohms."""
    row = conductor("6 AWG", "copper")
    assert (row.size, row.material, row.largest_device_a) == ("6 AWG", "copper", None)
    tabled = row.resistance
    assert (tabled.ohm, tabled.length, tabled.length_m) == (0.491, "1000 ft", 304.8)
    assert (tabled.at_c, tabled.to_c, tabled.coefficient) == (75.0, 75.0, 0.00323)
    bare = conductor("6 mm2", "copper")
    assert (bare.size, bare.material) == ("6 mm2", "copper")
    metric = bare.resistance
    assert (metric.ohm, metric.length, metric.length_m) == (3.08, "km", 1000.0)
    assert (metric.at_c, metric.to_c, metric.coefficient) == (20.0, 75.0, 0.00323)
    assert conductor("6 AWG", "aluminium").resistance.coefficient == 0.0033


def test_heat_pumps_are_tested_at_47_35_and_17():
    """Degrees Fahrenheit, warmest first."""
    assert heat_pump_points() == (47.0, 35.0, 17.0)


def test_ranges_are_tabled_on_120_volts():
    """The four ranges of the 120 V base, and those of the other standard, of 230 and 400 V."""
    base = base_voltage()
    assert base == 120.0
    for place, name, limits in [
        ("service", "A", (114, 126)),
        ("service", "B", (110, 127)),
        ("terminals", "A", (108, 126)),
        ("terminals", "B", (104, 127)),
    ]:
        assert [part * base for part in supply_range(place, name)] == pytest.approx(limits)
    assert iec_supply_range("service") == (0.9, 1.1)
    assert iec_supply_range("terminals") == (0.86, 1.1)
    assert iec_nominals() == {230.0, 400.0}


def test_motor_derating_is_read_off_the_curve():
    """No derating to 1 %, then 0.95, 0.88, 0.82 and 0.75 at 2, 3, 4 and 5 %."""
    points = [(0.0, 1.0), (0.01, 1.0), (0.02, 0.95), (0.03, 0.88), (0.04, 0.82), (0.05, 0.75)]
    assert list(motor_derating()) == points


@pytest.mark.parametrize(
    ("top_c", "factors"),
    [(60, (None, 0.58, 0.71)), (65, (None, 0.47, 0.65)), (70, (None, 0.33, 0.58))],
)
def test_the_hottest_ambient_factors_are_the_printed_ones(top_c, factors):
    """At 56 to 70 degC, where a hundredth is much: nothing for 60 degC insulation."""
    for column, factor in zip((60, 75, 90), factors, strict=True):
        if factor is not None:
            assert ambient_factor(float(top_c), column) == factor


def test_what_is_not_allowed_is_written_as_nought():
    """Above 55 degC insulation for 60 degC has no factor: 0 in the file, as its comment says."""
    bands = wiring.raw_table("ambient_factors")["band"]
    assert [band["factor"][0] for band in bands if band["top_c"] > 55] == [0.0, 0.0, 0.0]


@pytest.mark.parametrize(
    ("count", "factor"),
    [
        (3, 1.0),
        (4, 0.8),
        (6, 0.8),
        (7, 0.7),
        (9, 0.7),
        (10, 0.5),
        (20, 0.5),
        (21, 0.45),
        (30, 0.45),
        (31, 0.4),
    ],
)
def test_bundles_change_where_the_table_does(count, factor):
    """Last and first of each row: 4 to 6, 7 to 9, 10 to 20, 21 to 30, 31 and more."""
    assert bundling_factor(count) == factor


def test_tables_are_named_in_alphabetical_order():
    """The list of tables is whole and in order."""
    names = table_names()
    assert {"ambient_factors", "conductors_awg", "device_sizes", "supply_ranges"} < set(names)
    assert list(names) == sorted(names)


def test_figures_come_as_floats_however_they_are_written():
    """A whole number in a file is a measure like any other."""
    row, metric = conductor("14 AWG", "copper"), conductor("6 mm2", "copper")
    figures = [
        *device_sizes(),
        *constructions().values(),
        *heat_pump_points(),
        *iec_nominals(),
        *iec_device_sizes(),
        *iec_capacities(3).values(),
        *row.ampacity_a.values(),
        row.largest_device_a,
        row.resistance.at_c,
        metric.resistance.at_c,
        base_voltage(),
        bundling_factor(3),
    ]
    assert {type(figure) for figure in figures} == {float}


@pytest.mark.parametrize(
    ("table", "damaged", "read"),
    [
        ("ambient_factors", {"band": [{"top_c": 30, "factor": [1.0, 1.0]}]}, wiring._bands),
        ("motor_derating", {"unbalance": [0.0, 0.01, 0.02], "factor": [1.0, 1.0]}, motor_derating),
    ],
)
def test_a_row_that_lost_a_figure_is_not_read_short(monkeypatch, table, damaged, read):
    """Two figures where three belong: which one is missing nobody can say."""
    monkeypatch.setattr(wiring, "raw_table", {table: damaged}.__getitem__)
    with pytest.raises(ValueError, match="zip"):
        read.__wrapped__()
