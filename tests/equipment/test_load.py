"""Loading an equipment file: what is wrong is said at once, where it stands and what would be right."""

from __future__ import annotations

import hashlib
from pathlib import Path

import pytest

from asleft.equipment.load import EquipmentErrors, load, load_bytes
from equipment.sample import SAMPLE, errors_of, place, spoilt

UNITS = sorted(
    path
    for path in (Path(__file__).parents[2] / "equipment").glob("*.toml")
    if path.name != "instruments.toml"
)


@pytest.mark.parametrize("path", UNITS, ids=lambda path: path.stem)
def test_every_demo_unit_loads(path: Path) -> None:
    """The units that come with the program obey the rules for everybody's."""
    found = load(path)
    assert found.sha256 == hashlib.sha256(path.read_bytes()).hexdigest()
    assert found.text.encode() == path.read_bytes()


def test_the_sample_is_sound() -> None:
    """What the other tests spoil has nothing wrong with it."""
    assert errors_of(SAMPLE) == ()


def test_values_are_kept_in_base_units() -> None:
    """Quantities are floats in base units once loaded, and a blank cell is None."""
    found = load_bytes(SAMPLE.encode(), "sample.toml").equipment
    first, second = found.blower.tier
    assert first.at("cooling").rows[0].static_pa == pytest.approx(0.1 * 249.089, rel=1e-6)
    assert first.at("cooling").rows[0].airflow_m3s == pytest.approx(1200 * 0.4719474e-3, rel=1e-6)
    assert first.at("heating").rows[1].power_w is None
    assert second.at("cooling").rows[1] == (100.0, 0.55, 380.0)
    assert found.heat_pump is not None
    assert found.heat_pump.cut_out == pytest.approx(-20.0)
    topic = found.role("auxiliary-delay")
    assert topic is not None
    assert [option.value for option in topic.option] == [600.0, 1800.0]
    assert found.setting[1].address == ("unit",)


def test_a_file_of_another_line_ending_keeps_its_bytes_and_its_lines() -> None:
    """CRLF changes neither what is kept nor where an error is said to be."""
    data = SAMPLE.replace("\n", "\r\n").encode()
    assert load_bytes(data, "x").text.encode() == data
    text = spoilt('"216 V"', '"216 A"').replace("\n", "\r\n")
    (error,) = errors_of(text)
    assert (error.line, error.column) == place(text, '"216 A"')


FIELDS = [
    # what is spoilt, by what, where it is said to stand, field, found, expected
    (
        'lowest = "216 V"',
        'lowest = "216 A"',
        '"216 A"',
        "supply.1.lowest",
        '"216 A"',
        "a voltage with its unit",
    ),
    ('lowest = "216 V"', "lowest = 216", "216", "supply.1.lowest", "216", "a voltage with its unit"),
    ('lowest = "216 V"', 'lowest = "-216 V"', '"-216 V"', "supply.1.lowest", '"-216 V"', "a value above 0"),
    ('"216 V"', '"216; 217 V"', '"216; 217 V"', "supply.1.lowest", '"216; 217 V"', "once and without ±"),
    ('"253 V"', '"2530 V"', '"2530 V"', "supply.1.highest", '"2530 V"', "0 to 1000 V"),
    ('lowest = "216 V"\n', "", "[[supply]]", "supply.1.lowest", "nothing", "the key lowest"),
    ('"253 V"', '"253 V"\nphases = 2', "2\n\n[control", "supply.1.phases", "2", "1 or 3"),
    ('"253 V"', '"253 V"\nphases = true', "true", "supply.1.phases", "true", "a whole number without quotes"),
    ('"253 V"', '"253 V"\nfrequency = "60"', '"60"', "supply.1.frequency", '"60"', "without quotes"),
    ('lowest = "216', 'lowset = "216', "lowset", "supply.1.lowset", 'the key "lowset"', "lowest"),
    (
        "table_accuracy",
        "table_acuracy",
        "table_acu",
        "blower.table_acuracy",
        "table_acuracy",
        "table_accuracy",
    ),
    ("0.05", '"0.05"', '"0.05"', "blower.table_accuracy", '"0.05"', "a plain number"),
    ("0.05", "nan", "nan", "blower.table_accuracy", "nan", "a finite number"),
    (
        'units = ["Pa", "L/s"',
        'units = ["Pa", "V"',
        '"V"',
        "blower.tier.2.speed.1.units.2",
        '"V"',
        "an airflow in",
    ),
    (
        'units = ["Pa", "L/s", "W"]',
        "",
        "[[blower.tier.speed]]",
        "blower.tier.2.speed.1.units",
        "nothing",
        "three",
    ),
    ('1100, ""', '1100, "x"', '"x"', "blower.tier.1.speed.1.rows.2.3", '"x"', "a plain number of W"),
    ("[0.40, 1100", "[0.40, -1", "-1,", "blower.tier.1.speed.1.rows.2.2", "-1", "not below 0"),
    ("[0.40, 1100", "[inf, 1100", "inf", "blower.tier.1.speed.1.rows.2.1", "inf", "a finite number"),
    ('[0.40, 1100, ""]', "[0.40]", "[0.40]", "blower.tier.1.speed.1.rows.2", "a list of 1", "a row"),
    (
        "[[25, 600, 350], [100, 550, 380]]",
        "[]",
        "[]",
        "blower.tier.2.speed.1.rows",
        "an empty list",
        "at least 2",
    ),
    (
        'use = "cooling"',
        'use = "cool"',
        '"cool"',
        "blower.tier.1.speed.1.use",
        '"cool"',
        '"cooling", "heating"',
    ),
    (
        "feeds_blower = true",
        'feeds_blower = "yes"',
        '"yes"',
        "heater.1.circuit.1.feeds_blower",
        "yes",
        "true or",
    ),
    (
        'power = "4.8 kW"',
        'power = "4.8 kW"\nelements = 0',
        "0\n\n",
        "heater.1.stage.1.elements",
        "0",
        "at least 1",
    ),
    ('id = "K9"', 'id = "K 9"', '"K 9"', "heater.1.id", '"K 9"', "letters, digits and hyphens"),
    ('label = "Wall"', 'label = "W\\u001b[2J"', '"W\\u001b', "address.1.label", r'"W\x1b[2J"', "printable"),
    ('label = "Wall"', 'label = "\\u202egnol"', '"\\u202e', "address.1.label", r"\u202e", "printable"),
    ('shown = "at 10"', 'shown = "at 10 "', '"at 10 "', "code.1.shown", '"at 10 "', "no blank at either end"),
    ('scope = "system"', 'scope = "house"', '"house"', "address.1.scope", '"house"', '"system" or "unit"'),
    (
        'value = "10 min"',
        'value = "10"',
        '"10"\n\n[[topic',
        "topic.3.option.1.value",
        '"10"',
        "a time with its unit",
    ),
    (
        'value = "10 min"',
        "value = 10",
        '10\n\n[[topic.option]]\nid = "long"',
        "topic.3.option.1.value",
        "10",
        "a time",
    ),
    (
        "value = []",
        'value = "off"',
        '"off"\n\n[[topic.option]]\nid = "both"',
        "topic.2.option.1.value",
        "off",
        "[] for",
    ),
    (
        'value = "high"',
        "value = 2",
        '2\n\n[[topic.option]]\nid = "low"',
        "topic.1.option.2.value",
        "2",
        "blower tier",
    ),
    (
        'role = "auxiliary-delay"',
        'role = "delay"',
        '"delay"\n\n[[',
        "topic.3.role",
        '"delay"',
        '"blower-tier"',
    ),
    ('set = { wait = "10" }', "set = {}", "{}", "topic.3.option.1.set", "a table", "at least 1 pair"),
    ('reach = ["Press', 'reech = ["Press', "reech", "procedure.wall.reech", "reech", "reach"),
    ('maker = "Osmere"\n', "", "[unit]", "unit.maker", "nothing", "the key maker"),
]


@pytest.mark.parametrize(("old", "new", "mark", "field", "found", "expected"), FIELDS)
def test_a_spoilt_field_is_said_where_it_stands(
    old: str, new: str, mark: str, field: str, found: str, expected: str
) -> None:
    """Each wrong value or key is complained of once, at its exact line and column."""
    text = spoilt(old, new)
    about = [error for error in errors_of(text) if error.field == field]
    assert len(about) == 1
    error = about[0]
    nth = 2 if mark == "[[blower.tier.speed]]" else 1
    assert (error.line, error.column) == place(text, mark, nth)
    assert found in error.found
    assert expected in error.expected


def test_everything_wrong_is_said_at_once_in_the_order_of_the_file() -> None:
    """Wrong shapes and wrong references come in one go, sorted by where they stand."""
    text = (
        spoilt('"216 V"', '"216 A"')
        .replace('supplies = ["240"]', 'supplies = ["230"]')
        .replace('set = { air = "2" }\nvalue = "high"', 'set = { ari = "2" }\nvalue = "hihg"')
        .replace('label = "Delay"', 'lable = "Delay"')
        .replace("[procedure.wall]", "[procedure.wal]")
    )
    fields = [error.field for error in errors_of(text)]
    assert fields == [
        "supply.1.lowest",
        "heater.1.supplies.1",
        "topic.1.option.2.set.ari",
        "topic.1.option.2.value",
        "topic.3.label",
        "topic.3.lable",
        "procedure.wal",
    ]


def test_an_error_is_one_line_of_file_place_field_found_and_expected() -> None:
    """The words follow one pattern that an editor can jump to."""
    with pytest.raises(EquipmentErrors) as caught:
        load_bytes(spoilt('nominal = "240 V"', 'nominel = "240 V"').encode(), "my unit.toml")
    lines = str(caught.value).splitlines()
    assert lines[1] == 'my unit.toml:13:1: supply.1.nominel: found the key "nominel", expected nominal'
    assert isinstance(caught.value, ValueError)


@pytest.mark.parametrize(
    ("missing", "expected"),
    [
        ("[unit]", "a table [unit]"),
        ("[[supply]]", "at least one table [[supply]]"),
        ("[[blower.tier]]", "at least one table [[blower.tier]]"),
    ],
)
def test_the_compulsory_parts_are_named(missing: str, expected: str) -> None:
    """A file without its unit, supply or tier is told which table to write."""
    parts = {
        "[unit]": '[unit]\nid = "a"\nmaker = "A"\nmodel = "B"\n',
        "[[supply]]": '[[supply]]\nid = "s"\nnominal = "240 V"\nlowest = "216 V"\nhighest = "253 V"\n',
        "[[blower.tier]]": (
            '[blower]\n[[blower.tier]]\nid = "t"\nlabel = "T"\n[[blower.tier.speed]]\nuse = "cooling"\n'
            'units = ["Pa", "L/s", "W"]\nrows = [[1, 2, 3], [2, 2, 3]]\n'
        ),
    }
    assert errors_of("format = 1\n" + "".join(parts.values())) == ()
    without = "".join(
        "[blower]\n" * (key == "[[blower.tier]]") if key == missing else parts[key] for key in parts
    )
    (error,) = errors_of("format = 1\n" + without)
    assert (error.found, error.expected) == ("nothing", expected)
