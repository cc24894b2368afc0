"""Published tables."""

from __future__ import annotations

import dataclasses
from itertools import pairwise

import pytest

from asleft.tables import (
    COLUMNS,
    MATERIALS,
    TableError,
    ambient_factor,
    bundling_factor,
    conductor,
    conductors,
    constructions,
    device_sizes,
    motor_derating,
    supply_range,
    table_names,
    table_source,
)


@pytest.mark.parametrize("name", table_names())
def test_every_table_names_its_source(name):
    """Each table says what it is, where it comes from, in which edition, and whether that was seen."""
    source = table_source(name)
    assert all(getattr(source, field.name).strip() for field in dataclasses.fields(source))
    assert "seen" in source.seen or "from memory" in source.seen


def test_device_sizes_rise():
    """Standard devices go from 15 to 600 A, each larger than the last."""
    sizes = device_sizes()
    assert (sizes[0], sizes[-1]) == (15.0, 600.0)
    assert list(sizes) == sorted(set(sizes))


@pytest.mark.parametrize("material", MATERIALS)
def test_ampacity_rises_with_size_and_temperature(material):
    """A thicker conductor and a hotter column carry more; resistance falls."""
    rows = [row for row in conductors(material).values() if row.ampacity_a]
    for thinner, thicker in pairwise(rows):
        assert thinner.ohm_per_m > thicker.ohm_per_m
        assert all(thinner.ampacity_a[column] < thicker.ampacity_a[column] for column in COLUMNS)
    assert all(row.ampacity_a[60] < row.ampacity_a[75] < row.ampacity_a[90] for row in rows)


@pytest.mark.parametrize(
    ("ambient_c", "column", "factor"),
    [
        (30.0, 60, 1.0),
        (30.5, 60, 0.91),
        (35.0, 90, 0.96),
        (10.0, 60, 1.29),
        (-20.0, 75, 1.20),
        (70.0, 90, 0.58),
    ],
)
def test_ambient_band(ambient_c, column, factor):
    """The first band whose top is at or above the ambient counts."""
    assert ambient_factor(ambient_c, column) == factor


@pytest.mark.parametrize(("ambient_c", "column"), [(55.1, 60), (70.1, 75), (71.0, 90)])
def test_no_ambient_factor_beyond_the_table(ambient_c, column):
    """Hotter than the column's last band there is no factor."""
    with pytest.raises(TableError):
        ambient_factor(ambient_c, column)


@pytest.mark.parametrize(
    ("count", "factor"),
    [
        (1, 1.0),
        (3, 1.0),
        (4, 0.8),
        (6, 0.8),
        (7, 0.7),
        (10, 0.5),
        (21, 0.45),
        (40, 0.4),
        (41, 0.35),
        (500, 0.35),
    ],
)
def test_bundling(count, factor):
    """More conductors together carry less each, the last row without end."""
    assert bundling_factor(count) == factor


def test_metric_copper_is_taken_to_75_degrees():
    """A metric size's resistance at 20 degC is multiplied by 1.216."""
    assert conductor("6 mm2", "copper").ohm_per_m == pytest.approx(3.08e-3 * 1.216, rel=1e-4)


def test_sizes_without_an_entry_are_refused():
    """A size or material that is not tabled is refused by name."""
    for size, material in [
        ("7 AWG", "copper"),
        ("14 AWG", "aluminium"),
        ("6 mm2", "aluminium"),
        ("6 AWG", "tin"),
    ]:
        with pytest.raises(TableError):
            conductor(size, material)


def test_what_is_read_cannot_be_changed():
    """Nobody can change a table for everybody else."""
    with pytest.raises(TypeError):
        conductors("copper")["6 AWG"] = None  # type: ignore[index]
    with pytest.raises(dataclasses.FrozenInstanceError):
        conductor("6 AWG", "copper").size = "8 AWG"  # type: ignore[misc]
    with pytest.raises(TypeError):
        constructions()["medium"] = 1.0  # type: ignore[index]


def test_supply_ranges_nest():
    """Range A lies inside range B, and the service inside the terminals at the low end."""
    for place in ("service", "terminals"):
        low_a, high_a = supply_range(place, "A")
        low_b, high_b = supply_range(place, "B")
        assert low_b < low_a < high_a < high_b
    assert supply_range("terminals", "A")[0] < supply_range("service", "A")[0]


def test_motor_derating_falls():
    """The more unbalance, the less a motor may give."""
    factors = [factor for _, factor in motor_derating()]
    assert factors == sorted(factors, reverse=True)
