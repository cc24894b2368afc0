"""What one part of a file says of another must hold together."""

from __future__ import annotations

import time

import pytest

from equipment.sample import SAMPLE, errors_of, place, spoilt

CASES = [
    # name, what is spoilt, by what, mark where it stands and which of them, field, found, expected
    (
        "supply id twice",
        "[control_circuit]",
        '[[supply]]\nid = "240"\nnominal = "240 V"\nlowest = "216 V"\nhighest = "253 V"\n\n[control_circuit]',
        '"240"\n',
        2,
        "supply.2.id",
        "a second time",
        "only once",
    ),
    (
        "tier id twice",
        'id = "high"',
        'id = "low"',
        '"low"',
        2,
        "blower.tier.2.id",
        "second time",
        "only once",
    ),
    ("stage id twice", 'id = "2"', 'id = "1"', '"1"', 2, "heater.1.stage.2.id", "second time", "only once"),
    ("setting id twice", 'id = "bank"', 'id = "air"', '"air"', 2, "setting.2.id", "second time", "only once"),
    (
        "address number twice",
        'scope = "system"',
        'number = "1"',
        '"1"\n\n[[setting]]',
        1,
        "address.2.number",
        "second time",
        "only once",
    ),
    (
        "address named as an entry",
        'id = "wall"',
        'id = "code"',
        '"code"',
        1,
        "address.1.id",
        '"code"',
        "not also",
    ),
    (
        "orientation twice",
        '["upflow", "downflow"]',
        '["upflow", "upflow"]',
        '"upflow"',
        2,
        "unit.orientations.2",
        "second time",
        "only once",
    ),
    (
        "nominal outside",
        'nominal = "240 V"',
        'nominal = "260 V"',
        '"260 V"',
        1,
        "supply.1.nominal",
        '"260 V"',
        '"216 V" to "253 V"',
    ),
    (
        "supply crossed",
        'highest = "253 V"',
        'highest = "200 V"',
        '"200 V"',
        1,
        "supply.1.highest",
        '"200 V"',
        'lowest says, "216 V"',
    ),
    (
        "control nominal outside",
        'nominal = "24 V"',
        'nominal = "12 V"',
        '"12 V"',
        1,
        "control_circuit.nominal",
        '"12 V"',
        "from lowest to highest",
    ),
    (
        "airflow crossed",
        '"1400 cfm"',
        '"300 L/s"',
        '"300 L/s"',
        1,
        "blower.highest_airflow",
        '"300 L/s"',
        "800 cfm",
    ),
    (
        "rise crossed",
        'highest_rise = "60 degF"',
        'highest_rise = "2 degF"',
        '"2 degF"',
        1,
        "limits.highest_rise",
        '"2 degF"',
        "lowest_rise",
    ),
    (
        "cooling crossed",
        '"36000 Btu/h"',
        '"9000 Btu/h"',
        '"9000 Btu/h"',
        1,
        "heat_pump.pairing.1.highest_cooling",
        '"9000 Btu/h"',
        "lowest_cooling",
    ),
    (
        "tier static crossed",
        '"0.60 inH2O"',
        '"0.10 inH2O"',
        '"0.10 inH2O"',
        1,
        "blower.tier.1.highest_static",
        '"0.10 inH2O"',
        "rated_static",
    ),
    (
        "rows not increasing",
        "[0.40, 1100",
        "[0.10, 1100",
        "0.10, 1100",
        1,
        "blower.tier.1.speed.1.rows.2.1",
        "0.1 after 0.1",
        "strictly increasing",
    ),
    (
        "use twice",
        '[[blower.tier]]\nid = "high"',
        '[[blower.tier.speed]]\nuse = "cooling"\nunits = ["Pa", "L/s", '
        '"W"]\nrows = [[1, 2, 3], [2, 3, 4]]\n\n[[blower.tier]]\nid = "high"',
        '"cooling"',
        2,
        "blower.tier.1.speed.2.use",
        "second time",
        "only once",
    ),
    (
        "kit on no known supply",
        'supplies = ["240"]',
        'supplies = ["240", "24O"]',
        '"24O"',
        1,
        "heater.1.supplies.2",
        '"24O"',
        "240",
    ),
    (
        "kit in no known orientation",
        'orientations = ["upflow"]',
        'orientations = ["upflw"]',
        '"upflw"',
        1,
        "heater.1.orientations.1",
        '"upflw"',
        "upflow",
    ),
    (
        "least airflow in no known orientation",
        '{ upflow = "900',
        '{ upflo = "900',
        "upflo =",
        1,
        "heater.1.least_airflow_in.upflo",
        '"upflo"',
        "upflow",
    ),
    (
        "stages do not add up",
        '"9.6 kW"',
        '"9.8 kW"',
        '"9.8 kW"',
        1,
        "heater.1.power",
        "9.6 kW together",
        "within 1 %",
    ),
    (
        "circuit feeds no known stage",
        '["1", "2"]',
        '["1", "2", "3"]',
        '"3"',
        1,
        "heater.1.circuit.1.stages.3",
        '"3"',
        "stage of this kit",
    ),
    (
        "stage on no circuit",
        'stages = ["1", "2"]',
        'stages = ["1"]',
        '"2"',
        1,
        "heater.1.stage.2.id",
        "no circuit",
        "exactly one circuit",
    ),
    (
        "stage on two circuits",
        "[limits]",
        '[[heater.circuit]]\nstages = ["2"]\n\n[limits]',
        '"2"]',
        2,
        "heater.1.circuit.2.stages.1",
        "circuit 1 already",
        "exactly one circuit",
    ),
    (
        "blower on two circuits",
        "[limits]",
        "[[heater.circuit]]\nfeeds_blower = true\n\n[limits]",
        "true",
        2,
        "heater.1.circuit.2.feeds_blower",
        "second time",
        "one circuit",
    ),
    (
        "circuit crossed",
        'maximum = "60 A"',
        'maximum = "50 A"',
        '"50 A"',
        1,
        "heater.1.circuit.1.maximum",
        '"50 A"',
        "marked minimum",
    ),
    (
        "setting at no address",
        'address = "unit"',
        'address = "unti"',
        '"unti"',
        1,
        "setting.2.address",
        '"unti"',
        "unit",
    ),
    (
        "setting at no address of several",
        '["unit"]',
        '["unit", "attic"]',
        '"attic"',
        1,
        "setting.1.address.2",
        '"attic"',
        "one of wall, unit",
    ),
    (
        "value twice",
        '["none", "one", "both"]',
        '["none", "one", "one"]',
        '"one"',
        2,
        "setting.2.values.3",
        "second time",
        "only once",
    ),
    (
        "factory not a value",
        'factory = "1"',
        'factory = "4"',
        '"4"',
        1,
        "setting.1.factory",
        '"4"',
        "its values",
    ),
    (
        "setting without an option",
        "[[code]]",
        '[[setting]]\nid = "spare"\nlabel = "S"\nentry = "tap"\n'
        'address = "unit"\nvalues = ["a", "b"]\n\n[[code]]',
        '"spare"',
        1,
        "setting.4.id",
        "no option sets",
        "a topic",
    ),
    ("after nothing", 'after = ["air"]', 'after = ["iar"]', '"iar"', 1, "setting.2.after.1", '"iar"', "air"),
    (
        "after itself",
        'after = ["air"]',
        'after = ["bank"]',
        '["bank"]',
        1,
        "setting.2.after",
        "must follow itself",
        "an order",
    ),
    (
        "resets nothing",
        'after = ["air"]',
        'resets = ["iar"]',
        '"iar"',
        1,
        "setting.2.resets.1",
        '"iar"',
        "air",
    ),
    (
        "resets itself",
        'after = ["air"]',
        'resets = ["bank"]',
        '"bank"]',
        1,
        "setting.2.resets.1",
        "would reset itself",
        "other settings",
    ),
    (
        "resets one twice",
        'after = ["air"]',
        'resets = ["air", "air"]',
        '"air"]',
        1,
        "setting.2.resets.2",
        "a second time",
        "only once",
    ),
    (
        "resets what comes before it",
        'after = ["air"]',
        'after = ["air"]\nresets = ["air"]',
        '["air"]',
        1,
        "setting.2.after",
        "must follow itself",
        "an order",
    ),
    (
        "error text twice",
        "[[address]]",
        '[control]\nerror = [{ shown = "E1", means = "A" }, { shown = "E1", means = "B" }]\n\n[[address]]',
        '"E1"',
        2,
        "control.error.2.shown",
        "a second time",
        "only once",
    ),
    (
        "error text that is a value",
        "[[address]]",
        '[[control.error]]\nshown = "both"\nmeans = "A"\n\n[[address]]',
        '"both"\nmeans',
        1,
        "control.error.1.shown",
        "also shown for a value of bank",
        "no value",
    ),
    (
        "error text that a code shows",
        "[[address]]",
        '[[control.error]]\nshown = "at 10"\nmeans = "A"\n\n[[address]]',
        '"at 10"\nmeans',
        1,
        "control.error.1.shown",
        "also shown for a value of wait",
        "no value",
    ),
    (
        "error text without a meaning",
        "[[address]]",
        '[[control.error]]\nshown = "E1"\n\n[[address]]',
        "[[control.error]]",
        1,
        "control.error.1.means",
        "nothing",
        "the key means",
    ),
    (
        "code for no setting",
        'setting = "wait"',
        'setting = "wiat"',
        '"wiat"',
        1,
        "code.1.setting",
        "not a setting",
        "wait",
    ),
    (
        "code for a parameter",
        'setting = "wait"',
        'setting = "bank"',
        '"bank"',
        2,
        "code.1.setting",
        "not entered by code",
        "wait",
    ),
    (
        "code for no value",
        'value = "10"',
        'value = "11"',
        '"11"',
        1,
        "code.1.value",
        '"11"',
        "a value of wait",
    ),
    (
        "value without a code",
        'values = ["10", "30"]',
        'values = ["10", "20", "30"]',
        '"20"',
        1,
        "setting.3.values.2",
        "no code",
        "for each value",
    ),
    (
        "value with two codes",
        'value = "30"',
        'value = "10"',
        '"10"\nwrite',
        2,
        "code.2.value",
        "second time",
        "one code",
    ),
    ("write twice", '"W30"', '"W10"', '"W10"', 2, "code.2.write", "something else", "one thing"),
    ("write that asks", '"W30"', '"W?"', '"W?"', 2, "code.2.write", "something else", "one thing"),
    (
        "write begins like another's whole",
        '"W30"',
        '["W10", "30"]',
        '["W10"',
        1,
        "code.2.write",
        '"W10" then "30", which already means',
        "begin nothing else",
    ),
    (
        "write that begins with the query",
        '"W30"',
        '["W?", "30"]',
        '["W?"',
        1,
        "code.2.write",
        "something else",
        "begin nothing else",
    ),
    (
        "confirmation that asks",
        'write = "W30"',
        'write = "W30"\nconfirm = "W?"',
        '"W?"\nquery',
        1,
        "code.2.confirm",
        "something else",
        "one thing only",
    ),
    (
        "confirmed nowhere",
        'write = "W30"',
        'write = "W30"\nconfirm = "ok"\nconfirm_at = "unti"',
        '"unti"',
        1,
        "code.2.confirm_at",
        '"unti"',
        "address: unit",
    ),
    (
        "confirmed by nothing",
        'write = "W30"',
        'write = "W30"\nconfirm_at = "unit"',
        '"unit"\nquery',
        1,
        "code.2.confirm_at",
        "without what is keyed there",
        "or neither",
    ),
    (
        "setting of two topics",
        'set = { wait = "10" }',
        'set = { wait = "10", bank = "none" }',
        'bank = "none" }\nvalue = "10 min"',
        1,
        "topic.3.option.1.set.bank",
        'which topic "auxiliary" sets already',
        "when.setting",
    ),
    (
        "hangs on no setting",
        'when = { kit = ["K9"] }',
        'when = { setting = { aor = "1" } }',
        "aor",
        1,
        "topic.2.option.2.when.setting.aor",
        '"aor"',
        "setting: air",
    ),
    (
        "hangs on a later topic",
        'when = { kit = ["K9"] }',
        'when = { setting = { wait = "10" } }',
        'wait = "10" } }',
        1,
        "topic.2.option.2.when.setting.wait",
        "no earlier topic",
        "further up",
    ),
    (
        "hangs on its own topic",
        'when = { kit = ["K9"] }',
        'when = { setting = { bank = "none" } }',
        'bank = "none" } }',
        1,
        "topic.2.option.2.when.setting.bank",
        "no earlier topic",
        "further up",
    ),
    (
        "hangs on no value",
        'when = { kit = ["K9"] }',
        'when = { setting = { air = ["1", "4"] } }',
        '"4"',
        1,
        "topic.2.option.2.when.setting.air.2",
        '"4"',
        "a value of air",
    ),
    ("two queries", 'query = "W?"', 'query = "Q?"', '"W?"', 1, "code.2.query", '"W?"', "Q?"),
    ("shown twice", '"at 30"', '"at 10"', '"at 10"', 2, "code.2.shown", "another value", "this value alone"),
    (
        "option sets nothing known",
        '{ bank = "both" }',
        '{ bnak = "both" }',
        "bnak",
        1,
        "topic.2.option.2.set.bnak",
        '"bnak"',
        "bank",
    ),
    (
        "option sets no value",
        '{ bank = "both" }',
        '{ bank = "bth" }',
        '"bth"',
        1,
        "topic.2.option.2.set.bank",
        '"bth"',
        "both",
    ),
    (
        "option means no tier",
        'value = "high"',
        'value = "hihg"',
        '"hihg"',
        1,
        "topic.1.option.2.value",
        '"hihg"',
        "high",
    ),
    (
        "option means no stage",
        'value = ["1", "2"]',
        'value = ["1", "9"]',
        '"9"',
        1,
        "topic.2.option.2.value.2",
        '"9"',
        "one of 1, 2",
    ),
    (
        "option in no orientation",
        '["downflow"] }',
        '["donwflow"] }',
        '"donwflow"',
        1,
        "topic.1.option.3.when.orientation.1",
        '"donwflow"',
        "downflow",
    ),
    (
        "option for no kit",
        'kit = ["K9"]',
        'kit = ["K8"]',
        '"K8"',
        1,
        "topic.2.option.2.when.kit.1",
        '"K8"',
        "K9",
    ),
    (
        "options alike",
        '{ wait = "30" }',
        '{ wait = "10" }',
        '{ wait = "10" }',
        2,
        "topic.3.option.2.set",
        '"long" from "short"',
        "differs",
    ),
    (
        "options that no common setting parts",
        '{ wait = "30" }',
        '{ air = "3" }',
        '{ air = "3" }',
        1,
        "topic.3.option.2.set",
        "cannot tell",
        "differs",
    ),
    (
        "option id twice in one orientation",
        '["downflow"] }',
        '["upflow"] }',
        '"low"\nlabel = "Low"\nwhen',
        2,
        "topic.1.option.3.id",
        "second time",
        "one option",
    ),
    (
        "procedure of nothing",
        "[procedure.wall]",
        "[procedure.wlal]",
        "[procedure.wlal]",
        1,
        "procedure.wlal",
        '"wlal"',
        "wall",
    ),
    (
        "pattern that does not compile",
        '"R3-[0-9]{4}"',
        '"R3-("',
        '"R3-("',
        1,
        "unit.serial_pattern",
        "R3-(",
        "regular expression",
    ),
    (
        "pattern that could run for ever",
        '"R3-[0-9]{4}"',
        '"(a+)+b"',
        '"(a+)+b"',
        1,
        "unit.serial_pattern",
        "(a+)+b",
        "without repeated groups",
    ),
    (
        "pattern of too many choices",
        '"R3-[0-9]{4}"',
        '"a?a?a?a?a?a?a?a?a?a?a?"',
        '"a?a?',
        1,
        "unit.serial_pattern",
        "a?a?",
        "few",
    ),
]


@pytest.mark.parametrize(
    ("old", "new", "mark", "nth", "field", "found", "expected"),
    [c[1:] for c in CASES],
    ids=[c[0] for c in CASES],
)
def test_a_broken_reference_is_said_where_it_stands(
    old: str, new: str, mark: str, nth: int, field: str, found: str, expected: str
) -> None:
    """Each contradiction is complained of once, at its exact line and column."""
    text = spoilt(old, new)
    about = [error for error in errors_of(text) if error.field == field]
    assert len(about) == 1, errors_of(text)
    error = about[0]
    assert (error.line, error.column) == place(text, mark, nth)
    assert found in error.found
    assert expected in error.expected


def test_settings_that_wait_for_one_another_are_named_and_no_others() -> None:
    """A circle names its own members, not what merely leads to it or from it."""
    text = SAMPLE.replace('factory = "1"\n', 'factory = "1"\nafter = ["bank", "wait"]\n')
    assert [error.field for error in errors_of(text)] == ["setting.1.after", "setting.2.after"]


def test_options_of_different_orientations_may_look_alike() -> None:
    """The same value may mean one tier upflow and another downflow."""
    assert 'air = "2"' in SAMPLE.replace('{ air = "2" }', "", 1)
    assert errors_of(SAMPLE) == ()


def test_two_settings_may_share_a_query_that_tells_them_apart() -> None:
    """What is shown back, not what is asked, must differ."""
    second = """
[[setting]]
id = "rest"
label = "Rest"
entry = "code"
address = "wall"
values = ["a", "b"]

[[topic]]
id = "rest"
label = "Rest"
role = "other"
option = [{ id = "a", label = "A", set = { rest = "a" } }, { id = "b", label = "B", set = { rest = "b" } }]
"""
    codes = "".join(
        f'\n[[code]]\nsetting = "rest"\nvalue = "{v}"\nwrite = "R{v}"\nquery = "W?"\nshown = "rest {v}"\n'
        for v in "ab"
    )
    assert errors_of(SAMPLE + second + codes) == ()
    assert [error.field for error in errors_of(SAMPLE + second + codes.replace('"Ra"', '"W10"'))] == [
        "code.3.write"
    ]


def test_stage_powers_may_differ_from_the_kit_by_the_rounding_of_a_plate() -> None:
    """One per cent is let pass."""
    assert errors_of(spoilt('"9.6 kW"', '"9.69 kW"')) == ()


def test_many_options_are_compared_in_little_time() -> None:
    """A hostile topic costs seconds at most."""
    options = "".join(
        f'[[topic.option]]\nid = "o{n}"\nlabel = "O"\nset = {{ air = "3" }}\n' for n in range(490)
    )
    started = time.perf_counter()
    assert errors_of(SAMPLE + '[[topic]]\nid = "m"\nlabel = "M"\nrole = "other"\n' + options)
    assert time.perf_counter() - started < 5


def test_settings_of_other_values_keep_options_apart() -> None:
    """The same values may carry two answers where another setting tells which of them is meant."""
    hang = 'set = { wait = "10" }\nvalue = "10 min"'
    apart = SAMPLE.replace(hang, hang + '\nwhen = { setting = { air = "1" } }').replace(
        'set = { wait = "30" }\nvalue = "30 min"',
        'set = { wait = "10" }\nvalue = "30 min"\nwhen = { setting = { air = ["2", "3"] } }',
    )
    assert errors_of(apart) == ()
    together = apart.replace('air = ["2", "3"]', 'air = ["1", "3"]')
    (error,) = errors_of(together)
    assert error.field == "topic.3.option.2.set"
    assert "cannot tell" in str(error)
