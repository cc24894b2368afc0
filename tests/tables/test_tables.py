"""Published tables."""

from __future__ import annotations

import dataclasses
import math
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
    iec_capacities,
    iec_device_sizes,
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


# Written down a second time, from the published tables, in their own layout: a slip of the pen in the data
# files would have to be made twice. Copper 60, 75, 90 degC, aluminium 60, 75, 90 degC; ohm per 1000 ft.
TABLE_310_16 = """
14    15  20  25    -   -   -
12    20  25  30   15  20  25
10    30  35  40   25  30  35
8     40  50  55   35  40  45
6     55  65  75   40  50  55
4     70  85  95   55  65  75
3     85 100 115   65  75  85
2     95 115 130   75  90 100
1    110 130 145   85 100 115
1/0  125 150 170  100 120 135
2/0  145 175 195  115 135 150
3/0  165 200 225  130 155 175
4/0  195 230 260  150 180 205
"""
TABLE_8 = """
18  7.95   -
16  4.99   -
14  3.14   -
12  1.98   3.25
10  1.24   2.04
8   0.778  1.28
6   0.491  0.808
4   0.308  0.508
3   0.245  0.403
2   0.194  0.319
1   0.154  0.253
1/0 0.122  0.201
2/0 0.0967 0.159
3/0 0.0766 0.126
4/0 0.0608 0.100
"""


def test_every_ampacity_is_the_printed_one():
    """All thirteen sizes, both metals, all three columns, and no size more."""
    for column, material in enumerate(MATERIALS):
        printed = {}
        for name, *cells in map(str.split, TABLE_310_16.strip().splitlines()):
            own = cells[3 * column : 3 * column + 3]
            if "-" not in own:
                printed[f"{name} AWG"] = dict(zip((60, 75, 90), map(float, own), strict=True))
        held = {name: dict(row.ampacity_a) for name, row in conductors(material).items() if row.ampacity_a}
        assert held == printed


def test_every_resistance_is_the_printed_one():
    """A thousand feet of each size at 75 degC, stranded and uncoated, 1000 ft being 304.8 m."""
    for column, material in enumerate(MATERIALS):
        printed = {
            f"{name} AWG": float(cells[column])
            for name, *cells in map(str.split, TABLE_8.strip().splitlines())
            if cells[column] != "-"
        }
        held = {
            name: row.ohm_per_m * 304.8 for name, row in conductors(material).items() if name.endswith("AWG")
        }
        assert held == pytest.approx(printed, rel=1e-12)


@pytest.mark.parametrize(
    ("name", "ohm_per_km"),
    [("1.5", 12.1), ("2.5", 7.41), ("4", 4.61), ("6", 3.08), ("10", 1.83), ("16", 1.15), ("25", 0.727)],
)
def test_every_metric_resistance_is_the_printed_one(name, ohm_per_km):
    """As tabled at 20 degC, and at 75 degC by R75 = R20 / (1 + 0.00323 (20 - 75))."""
    row = conductor(f"{name} mm2", "copper")
    assert (row.resistance.ohm, row.resistance.length, row.resistance.at_c) == (ohm_per_km, "km", 20.0)
    assert row.ohm_per_m == pytest.approx(ohm_per_km / 1000 / (1 + 0.00323 * (20 - 75)), rel=1e-12)
    assert row.largest_device_a is None
    assert not row.ampacity_a


@pytest.mark.parametrize(("material", "factor"), [("copper", 12.87), ("aluminium", 21.15)])
def test_resistances_follow_the_gauge(material, factor):
    """Ohm per 1000 ft is a constant of the metal over thousands of circular mils; the gauge sets the latter.

    A wire of gauge n is 5 x 92^((36 - n) / 39) mils across. Three printed digits hold that to 1 %.
    """
    for name, row in conductors(material).items():
        size, _, system = name.partition(" ")
        if system == "AWG":
            gauge = 1 - int(size[0]) if size.endswith("/0") else int(size)
            mils = 5 * 92 ** ((36 - gauge) / 39)
            assert row.ohm_per_m * 304.8 * mils**2 / 1000 == pytest.approx(factor, rel=0.01)


@pytest.mark.parametrize("column", COLUMNS)
@pytest.mark.parametrize("top_c", range(10, 75, 5))
def test_ambient_factors_follow_their_equation(column, top_c):
    """The code's own equation, root of (column - ambient) over (column - 30), at the top of each band.

    Printed to two digits, and only where a third of the heat or more can still flow.
    """
    square = (column - top_c) / (column - 30)
    if top_c > 55 and column == 60:
        with pytest.raises(TableError):
            ambient_factor(float(top_c), column)
        return
    for ambient_c in (top_c, top_c - 4.9):
        assert ambient_factor(ambient_c, column) == pytest.approx(math.sqrt(square), abs=0.0051)
    assert ambient_factor(top_c, column) != ambient_factor(top_c - 5.1, column) or top_c == 10


def test_small_conductors_have_their_caps():
    """14, 12 and 10 AWG copper 15, 20 and 30 A; 12 and 10 AWG aluminium 15 and 25 A; no other is capped."""
    caps = {
        (material, name): row.largest_device_a
        for material in MATERIALS
        for name, row in conductors(material).items()
        if row.largest_device_a is not None
    }
    assert caps == {
        ("copper", "14 AWG"): 15.0,
        ("copper", "12 AWG"): 20.0,
        ("copper", "10 AWG"): 30.0,
        ("aluminium", "12 AWG"): 15.0,
        ("aluminium", "10 AWG"): 25.0,
    }


def test_every_device_size_is_the_printed_one():
    """By fives to 50 A, by tens to 110, by twenty-fives from 125 to 250, by fifties to 500, then 600."""
    steps = [*range(15, 50, 5), *range(50, 111, 10), *range(125, 251, 25), *range(300, 501, 50), 600]
    assert list(device_sizes()) == steps


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


def test_preferred_devices_rise_and_a_third_conductor_carries_no_more():
    """IEC 60898-1 and IEC 60364-5-52: each size above the last, three loaded conductors below two."""
    assert list(iec_device_sizes()) == sorted(set(iec_device_sizes()))
    two, three = iec_capacities(1), iec_capacities(3)
    assert list(two) == list(three) == [size for size in conductors("copper") if size.endswith("mm2")]
    assert list(two.values()) == sorted(two.values())
    assert all(three[size] < two[size] for size in two)


def test_ten_square_millimetres_carry_63_a_and_57_a():
    """Method C; 32 A and 63 A are preferred ratings, 30 A and 60 A are not."""
    assert (iec_capacities(1)["10 mm2"], iec_capacities(3)["10 mm2"]) == (63.0, 57.0)
    assert {32.0, 63.0} < set(iec_device_sizes())
    assert not {30.0, 60.0} & set(iec_device_sizes())
