"""What is legal but odd in an equipment file is said at its place, and what is usual is not."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

import pytest

from asleft.equipment.errors import EquipmentError
from asleft.equipment.library import units
from asleft.equipment.load import load, load_bytes
from asleft.equipment.oddities import oddities
from equipment.sample import SAMPLE, place


class Odd(NamedTuple):
    """A change to the sample, the place that it makes odd, and words of what is said there."""

    change: tuple[tuple[str, str], ...]
    mark: str
    field: str
    words: str
    nth: int = 1


def changed(change: Iterable[tuple[str, str]], text: str = SAMPLE) -> str:
    for old, new in change:
        assert old in text, old
        text = text.replace(old, new, 1)
    return text


def odd(text: str) -> tuple[EquipmentError, ...]:
    return oddities(load_bytes(text.encode(), "sample.toml"))


HIGH = 'id = "high"\nlabel = "High"\n\n[[blower.tier.speed]]'
HIGH_ROWS = "[[25, 600, 350], [100, 550, 380]]"
LOW_ROWS = '[\n  [0.10, 1200, 350],\n  [0.40, 1100, ""],\n]'
IN_WC_CFM = 'units = ["inH2O", "cfm", "W"]'
PA_LS = 'units = ["Pa", "L/s", "W"]'
TIER_TOPIC = 'role = "blower-tier"'
NO_STAGES = ('set = { bank = "both" }\nvalue = ["1", "2"]', 'set = { bank = "both" }\nvalue = []')
PAIRING = SAMPLE[SAMPLE.index("[[heat_pump.pairing]]") : SAMPLE.index("[[address]]")]
HEATER = SAMPLE[SAMPLE.index("[[heater]]") : SAMPLE.index("[limits]")]
WITHOUT_A_KIT = (
    (HEATER, ""),
    ('[[topic.option]]\nid = "both"\nlabel = "Both"\nwhen = { kit = ["K9"] }\n', ""),
    (
        'set = { bank = "both" }\nvalue = ["1", "2"]\n',
        '[[topic.option]]\nid = "one"\nlabel = "One"\nset = { bank = "one" }\nvalue = []\n',
    ),
)
LONG = '\n[[topic.option]]\nid = "long"\nlabel = "Long"\nset = { wait = "30" }\nvalue = "30 min"\n'
ANOTHER = """
[[setting]]
id = "delay-2"
label = "Second"
entry = "parameter"
address = "unit"
values = ["a", "b"]

[[topic]]
id = "delay-2"
label = "Second delay"
role = "auxiliary-delay"

[[topic.option]]
id = "a"
label = "A"
set = { delay-2 = "a" }
value = "10 min"

[[topic.option]]
id = "b"
label = "B"
set = { delay-2 = "b" }
value = "30 min"
"""
LOADS = 'highest = "28 V"\ntransformer = "40 VA"\nloads = [{ label = "a", power = "30 VA" }, '

IDLE_CIRCUIT = '\n[[heater.circuit]]\nminimum = "10 A"\nmaximum = "15 A"\n'
UPFLOW, DOWNFLOW = 'when = { orientation = ["upflow"] }', 'when = { orientation = ["downflow"] }'
LOW_AT_1 = 'set = { air = "1" }\nvalue = "low"'
HIGH_AT_2 = 'set = { air = "2" }\nvalue = "high"'
THREE_PHASES_OF_480 = (
    ('nominal = "240 V"', 'nominal = "480 V"\nphases = 3'),
    ('"216 V"', '"432 V"'),
    ('"253 V"', '"506 V"'),
)
STAGE_DELAYS = "".join(
    ANOTHER.replace("auxiliary-delay", "stage-delay").replace("delay-2", name)
    for name in ("wait-1", "wait-2")
)

SMALL_KIT = """
[[heater]]
id = "K5"
label = "5 kW"
power = "4.8 kW"
voltage = "240 V"
orientations = ["upflow"]

[[heater.stage]]
id = "1"
power = "4.8 kW"

"""

ODDITIES = {
    "several tiers and no choice": Odd(
        ((TIER_TOPIC, 'role = "other"'),), "[[blower.tier]]", "blower.tier.2", "2 tiers and no topic", 2
    ),
    "a tier that no option means": Odd(
        (('set = { air = "2" }\nvalue = "high"', 'set = { air = "2" }\nvalue = "low"'),),
        '"high"',
        "blower.tier.2.id",
        'which no option of topic "tier" means',
    ),
    "a tier that less air and more power set behind another": Odd(
        ((IN_WC_CFM, PA_LS), (LOW_ROWS, "[[25, 599, 351], [50, 560, 400]]")),
        '"low"',
        "blower.tier.1.id",
        'moves more air than "high" or takes less power',
    ),
    "two tiers of one table": Odd(
        ((IN_WC_CFM, PA_LS), (LOW_ROWS, HIGH_ROWS), ('highest_static = "0.60 inH2O"\n', "")),
        '"high"',
        "blower.tier.2.id",
        'moves more air than "low"',
    ),
    "two tiers of one table without powers": Odd(
        (
            (IN_WC_CFM, PA_LS),
            (LOW_ROWS, '[[25, 600, ""], [100, 550, ""]]'),
            ('highest_static = "0.60 inH2O"\n', ""),
            (HIGH_ROWS, '[[25, 600, ""], [100, 550, ""]]'),
        ),
        '"high"',
        "blower.tier.2.id",
        'moves more air than "low"',
    ),
    "one airflow in a table": Odd(
        ((HIGH_ROWS, '[[25, 600, 350], [100, "", 380]]'),),
        "[[25, 600, 350]",
        "blower.tier.2.speed.1.rows",
        "airflow in 1 of the rows",
    ),
    "a narrow table": Odd(
        (("[0.40, 1100", "[0.109, 1190"),),
        "[\n  [0.10",
        "blower.tier.1.speed.1.rows",
        "statics of 0.1 to 0.109 inH2O alone",
    ),
    "a table below the allowed airflow": Odd(
        ((HIGH_ROWS, "[[25, 370, 350], [100, 340, 380]]"),),
        "[[25, 370",
        "blower.tier.2.speed.1.rows",
        "airflow of 340 to 370 L/s, all below the lowest allowed",
    ),
    "a table above the allowed airflow": Odd(
        ((HIGH_ROWS, "[[25, 720, 350], [100, 670, 380]]"),),
        "[[25, 720",
        "blower.tier.2.speed.1.rows",
        "airflow of 670 to 720 L/s, all above the highest allowed",
    ),
    "a tier that may work at no static of its table": Odd(
        (('rated_static = "0.20 inH2O"\nhighest_static = "0.60 inH2O"', 'highest_static = "0.06 inH2O"'),),
        '"0.06 inH2O"',
        "blower.tier.1.highest_static",
        "below every static of the fan table",
    ),
    "tables of one tier that share no static": Odd(
        (
            (
                HIGH_ROWS,
                f'{HIGH_ROWS}\n\n[[blower.tier.speed]]\nuse = "heating"\n{PA_LS}\n'
                "rows = [[110, 600, 400], [150, 590, 420]]",
            ),
        ),
        "[[110, 600",
        "blower.tier.2.speed.2.rows",
        "none of which the table for cooling holds",
    ),
    "a capacity that no table can serve": Odd(
        (
            ('serial_pattern = "R3-[0-9]{4}"', 'cooling_capacity = "10 kW"'),
            ('lowest_cooling = "30000 Btu/h"\nhighest_cooling = "36000 Btu/h"\n', ""),
            ("1200, 350", "920, 350"),
            ("1100,", "910,"),
            (HIGH_ROWS, "[[25, 440, 350], [100, 430, 380]]"),
        ),
        '"10 kW"',
        "unit.cooling_capacity",
        "asks for 995.2 to 1280 cfm, while the fan tables hold 910 to 932.3",
    ),
    "a kit that needs more air than any tier moves": Odd(
        (('upflow = "900 cfm"', 'upflow = "1300 cfm"'),),
        '"1300 cfm"',
        "heater.1.least_airflow_in.upflow",
        "more than any fan table holds for heating",
    ),
    "a kit of three phases where none are": Odd(
        (('supplies = ["240"]\norientations', "phases = 3\norientations"),),
        "3\norientations",
        "heater.1.phases",
        "every supply of the unit has one phase",
    ),
    "a kit of three phases on a supply of one": Odd(
        (('supplies = ["240"]\norientations', 'phases = 3\nsupplies = ["240"]\norientations'),),
        '"240"]\norientations',
        "heater.1.supplies.1",
        "a supply of one phase for a kit of three",
    ),
    "a supply above what the kit stands": Odd(
        (
            ('voltage = "240 V"\nsupplies', 'voltage = "208 V"\nsupplies'),
            ('minimum = "55.4 A"', 'minimum = "59 A"'),
        ),
        '"240"]\norientations',
        "heater.1.supplies.1",
        "a supply of 240 V for a kit of 208 V",
    ),
    "a kit for every supply that one of them overloads": Odd(
        (
            ('voltage = "240 V"\nsupplies = ["240"]', 'voltage = "208 V"'),
            ('minimum = "55.4 A"', 'minimum = "59 A"'),
        ),
        '"208 V"',
        "heater.1.voltage",
        "a supply of 240 V for a kit of 208 V",
    ),
    "a least airflow where the kit may not stand": Odd(
        (('least_airflow_in = { upflow = "900 cfm" }', 'least_airflow_in = { downflow = "900 cfm" }'),),
        'downflow = "900',
        "heater.1.least_airflow_in.downflow",
        "in which the kit is not allowed",
    ),
    "a circuit that feeds nothing": Odd(
        (('maximum = "60 A"\n', f'maximum = "60 A"\n{IDLE_CIRCUIT}'),),
        "[[heater.circuit]]",
        "heater.1.circuit.2",
        "feeds neither a stage nor the blower",
        2,
    ),
    "a minimum below 125 % of the load": Odd(
        (('minimum = "55.4 A"', 'minimum = "48.9 A"'),),
        '"48.9 A"',
        "heater.1.circuit.1.minimum",
        "below 125 % of what the circuit carries",
    ),
    "no standard device between the two marks": Odd(
        (('maximum = "60 A"', 'maximum = "59 A"'),),
        '"59 A"',
        "heater.1.circuit.1.maximum",
        "no standard device between it and the marked minimum",
    ),
    "loads above the control transformer": Odd(
        (('highest = "28 V"\n', f'{LOADS}{{ label = "b", power = "12.5 VA" }}]\n'),),
        '"40 VA"',
        "control_circuit.transformer",
        "with loads of 42.5 VA together",
    ),
    "a heat pump without an outdoor unit": Odd(
        ((PAIRING, ""),), "[heat_pump]", "heat_pump", "a heat pump without an outdoor unit"
    ),
    "a cut-out above a temperature with a capacity": Odd(
        (('cut_out = "-4 degF"', 'cut_out = "17.1 degF"'),),
        '"17.1 degF"',
        "heat_pump.cut_out",
        "while capacity_17 says what it gives at 17 °F",
    ),
    "a role played twice": Odd(
        (("[procedure.wall]", f"{ANOTHER}\n[procedure.wall]"),),
        '"auxiliary-delay"',
        "topic.4.role",
        'while checks look at topic "delay" alone',
        2,
    ),
    "a question with one answer": Odd(((LONG, ""),), '"delay"', "topic.3.id", "a question with one answer"),
    "a differential that belongs to no lockout": Odd(
        (('role = "auxiliary-delay"', 'role = "auxiliary-delay"\ndifferential = "3 degF"'),),
        '"3 degF"',
        "topic.3.differential",
        'on a topic of role "auxiliary-delay"',
    ),
    "no option for a kit that may be fitted": Odd(
        (
            (f"{UPFLOW}\n{LOW_AT_1}", f"{DOWNFLOW}\n{LOW_AT_1}"),
            (f"{UPFLOW}\n{HIGH_AT_2}", f"{DOWNFLOW}\n{HIGH_AT_2}"),
            (
                'id = "low"\nlabel = "Low"\n' + DOWNFLOW + '\nset = { air = "2" }',
                'id = "third"\nlabel = "Low"\n' + DOWNFLOW + '\nset = { air = "3" }',
            ),
        ),
        '"tier"',
        "topic.1.id",
        'without an option for kit "K9" in upflow',
    ),
    "an option with a stage that a kit lacks": Odd(
        (
            ("[limits]", SMALL_KIT + "[limits]"),
            (
                '[[topic.option]]\nid = "both"\nlabel = "Both"\nwhen = { kit = ["K9"] }\n',
                '[[topic.option]]\nid = "one"\nlabel = "One"\nset = { bank = "one" }\nvalue = ["1"]\n\n'
                '[[topic.option]]\nid = "both"\nlabel = "Both"\n',
            ),
        ),
        '"K5"',
        "heater.2.id",
        "means stages that the kit has not",
    ),
    "a kit that no option switches on": Odd(
        (NO_STAGES,), '"K9"', "heater.1.id", 'which no option of topic "auxiliary" switches on'
    ),
    "an address without a setting": Odd(
        (("[[setting]]", '[[address]]\nid = "loft"\nlabel = "Loft"\n\n[[setting]]'),),
        '"loft"',
        "address.3.id",
        "at which no setting lives",
    ),
    "a procedure for what nothing is": Odd(
        (("[procedure.code]", '[procedure.jumper]\nchange = ["Lift it."]\n\n[procedure.code]'),),
        "[procedure.jumper]",
        "procedure.jumper",
        "a way in which no setting is entered",
    ),
}


@pytest.mark.parametrize("name", ODDITIES)
def test_what_is_odd_is_said_at_its_place(name: str) -> None:
    """One change to a file without oddities gives one warning, at the change."""
    case = ODDITIES[name]
    text = changed(case.change)
    (found,) = odd(text)
    assert (found.field, found.line, found.column) == (case.field, *place(text, case.mark, case.nth))
    assert case.words in found.found
    assert found.expected


def test_a_usual_file_has_nothing_odd() -> None:
    """Nor has any unit that comes with the program."""
    assert odd(SAMPLE) == ()
    for known in units():
        assert oddities(load(known.path)) == (), known.id


USUAL = {
    "less air for less power": ((IN_WC_CFM, PA_LS), (LOW_ROWS, "[[25, 599, 351], [50, 560, 340]]")),
    "the same table, allowed a higher static": (
        (IN_WC_CFM, PA_LS),
        (LOW_ROWS, "[[25, 600, 360], [100, 550, 390]]"),
        (HIGH, HIGH.replace("\n\n", '\nhighest_static = "0.50 inH2O"\n\n')),
    ),
    "the same table, rated at a higher static": (
        (IN_WC_CFM, PA_LS),
        (LOW_ROWS, "[[25, 600, 360], [100, 550, 390]]"),
        (HIGH, HIGH.replace("\n\n", '\nrated_static = "0.15 inH2O"\n\n')),
    ),
    "less air where powers are blank": (
        (IN_WC_CFM, PA_LS),
        (LOW_ROWS, '[[25, 590, ""], [100, 540, ""]]'),
        (HIGH_ROWS, '[[25, 600, ""], [100, 550, ""]]'),
    ),
    "a table just wide enough": (("[0.40, 1100", "[0.111, 1190"),),
    "a cut-out at the last capacity": (('cut_out = "-4 degF"', 'cut_out = "17 degF"'),),
    "a cut-out above it in another scale": (('cut_out = "-4 degF"', 'cut_out = "-9 degC"'),),
    "a standard device at the maximum": (('maximum = "60 A"', 'maximum = "60.0 A"'), ('"55.4 A"', '"60 A"')),
    "a kit of 240 V on 208 V": (
        ('nominal = "240 V"\nlowest = "216 V"', 'nominal = "208 V"\nlowest = "187 V"'),
    ),
    "a kit of one phase on three lines": (*THREE_PHASES_OF_480, ('voltage = "240 V"', 'voltage = "277 V"')),
    "loads that fill the transformer": (
        ('highest = "28 V"\n', f'{LOADS}{{ label = "b", power = "10 VA" }}]\n'),
    ),
    "two topics by which nothing is judged": (("[procedure.wall]", f"{STAGE_DELAYS}\n[procedure.wall]"),),
    "a preferred device where power alternates 50 times": (
        ('nominal = "240 V"', 'nominal = "240 V"\nfrequency = 50'),
        ('maximum = "60 A"', 'maximum = "63 A"'),
    ),
}


@pytest.mark.parametrize("name", USUAL)
def test_what_is_usual_is_not_called_odd(name: str) -> None:
    """The near side of each bound."""
    assert odd(changed(USUAL[name])) == ()


def test_limits_of_heat_without_a_kit_are_odd() -> None:
    """Each is said where it stands."""
    text = changed(WITHOUT_A_KIT)
    assert [(o.field, o.line, o.column) for o in odd(text)] == [
        ("limits.lowest_rise", *place(text, '"5 degF"')),
        ("limits.highest_rise", *place(text, '"60 degF"')),
    ]
    without = text.replace('lowest_rise = "5 degF"\nhighest_rise = "60 degF"\n', "")
    assert odd(without) == ()


def test_the_next_standard_device_is_named_by_the_frequency() -> None:
    """60 A by NEC 240.6(A), 63 A by IEC 60898-1."""
    at_60 = changed((('maximum = "60 A"', 'maximum = "56 A"'),))
    assert "the next standard size is 60 A" in odd(at_60)[0].expected
    at_50 = at_60.replace('nominal = "240 V"', 'nominal = "240 V"\nfrequency = 50', 1)
    assert "the next standard size is 63 A" in odd(at_50)[0].expected


def test_oddities_stand_in_the_order_of_the_file() -> None:
    """Whatever looks for them."""
    text = changed(
        (
            ('maximum = "60 A"', 'maximum = "59 A"'),
            (LONG, ""),
            ('cut_out = "-4 degF"', 'cut_out = "40 degF"'),
            ('upflow = "900 cfm"', 'upflow = "1500 cfm"'),
        )
    )
    found = odd(text)
    assert [o.line for o in found] == sorted(o.line for o in found)
    assert len(found) == 4
    assert {o.file for o in found} == {"sample.toml"}
