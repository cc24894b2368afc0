"""Hostile bytes give a clear error and nothing else."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from asleft.equipment.errors import described, printable
from equipment.sample import SAMPLE, errors_of, place, spoilt


@pytest.mark.parametrize(
    ("data", "line", "column", "found"),
    [
        (b"\xef\xbb\xbfformat = 1", 1, 1, "a byte order mark"),
        (b"format = 1\nid = '\xc3\xa9\xff'", 2, 8, "the byte 0xff"),
        (b"format = 1\n\n\x00", 3, 1, "not TOML"),
        (b"format = 1\nunit = = 3", 2, 8, "not TOML"),
        (b"format = 1\nformat = 1", 2, 11, "not TOML"),
        (b" " * 2_000_001, 1, 1, "a file too large"),
        (b"", 1, 1, "nothing"),
        (b"format = 2", 1, 10, "2"),
        (b"format = true", 1, 10, "true"),
        (b'x = 1\nformat = "1"', 2, 10, '"1"'),
        (b"format = 1.0", 1, 10, "1.0"),
        (b"a = " + b"[" * 100_000, 1, 1, "nested too deeply"),
        (b"a = " + b"{a=" * 100_000, 1, 1, "nested too deeply"),
        (b".".join([b"a"] * 50_000) + b" = 1", 1, 1, "nested too deeply"),
        (b"format = 1\nb = " + b"[" * 60 + b"]" * 60, 2, 20, "nested too deeply"),
        (b"[" + b".".join([b"a"] * 60) + b"]", 1, 1, "nested too deeply"),
        (b"format = " + b"9" * 5000, 1, 1, "out of bounds"),
        (b"format = 0x" + b"f" * 5000, 1, 10, "a very long number"),
        (b"format = 1\na = [" + b"1," * 100_000 + b"]", 2, 5, "a list of 100000"),
        (b"format = 1\n" + b"".join(b"k%d = 1\n" % n for n in range(30_000)), 1, 1, "too many values"),
    ],
)
def test_a_file_that_is_no_equipment_file_gives_one_clear_error(
    data: bytes, line: int, column: int, found: str
) -> None:
    """One error, with its place."""
    (error,) = errors_of(data)
    assert (error.line, error.column) == (line, column)
    assert found in error.found


def test_a_long_text_is_shortened_in_the_message() -> None:
    """A megabyte in the wrong place does not fill the screen."""
    for text in (
        spoilt('"216 V"', f'"{"9" * 1_000_000}"'),
        spoilt('maker = "Osmere"', f'maker = "{"a" * 1_000_000}"'),
        spoilt('maker = "Osmere"', f'"{"a" * 1_000_000}" = "x"'),
        spoilt('set = { air = "1" }', f'set = {{ "{"a" * 1_000_000}" = "1" }}'),
        spoilt("R3-[0-9]{4}", "a" * 1_000_000),
    ):
        errors = errors_of(text)
        assert errors
        assert all(len(str(error)) < 900 for error in errors)


@pytest.mark.parametrize(
    "hostile", ["[/b]", "[@click=app.quit]x[/]", "\\u001b[31m", "<script>", "\\u202e", "{x}"]
)
def test_markup_and_escapes_come_out_printable(hostile: str) -> None:
    """Whatever stands in the file, a message holds printable characters only, and markup as it stood."""
    for text in (
        spoilt('"216 V"', f'"{hostile}"'),
        spoilt('lowest = "216 V"', f'"{hostile}" = "216 V"'),
        spoilt('value = "high"', f'value = "{hostile}"'),
        spoilt('{ bank = "both" }', f'{{ "{hostile}" = "both" }}'),
        spoilt("[procedure.wall]", f'[procedure."{hostile}"]'),
        spoilt('setting = "wait"', f'setting = "{hostile}"'),
        spoilt('supplies = ["240"]', f'supplies = ["{hostile}"]'),
    ):
        errors = errors_of(text, "\x1b[0m.toml")
        assert errors
        assert all(str(error).isprintable() for error in errors)


def test_a_place_is_counted_in_characters() -> None:
    """A wide or accented character before the fault counts as one column."""
    text = SAMPLE.replace(
        'least_airflow_in = { upflow = "900 cfm" }',
        'least_airflow_in = { \'upflow\' = "9 é", "ü" = "1 cfm" }',
    )
    assert {(e.line, e.column) for e in errors_of(text)} == {place(text, '"9 é"'), place(text, '"ü"')}


@pytest.mark.parametrize(
    "value", ["1", "true", "[]", "[[]]", "{}", '""', "[1, {}]", "1979-05-27", "nan", "[{id = 1}]"]
)
@pytest.mark.parametrize(
    "section",
    [
        "unit",
        "supply",
        "control_circuit",
        "blower",
        "heater",
        "limits",
        "heat_pump",
        "address",
        "setting",
        "code",
        "topic",
        "procedure",
    ],
)
def test_a_section_of_the_wrong_shape_never_fails_otherwise(section: str, value: str) -> None:
    """Every section may hold anything at all: it is complained of in words."""
    assert errors_of(f"format = 1\n{section} = {value}\n")
    inner = [
        "blower.tier",
        "heater.stage",
        "heater.circuit",
        "topic.option",
        "heat_pump.pairing",
        "blower.tier.speed",
    ]
    for key in (key for key in inner if key.startswith(section)):
        outer, _, last = key.rpartition(".")
        head = "[blower]" if outer == "blower" else f"[[{outer}]]"
        assert errors_of(f"format = 1\n{head}\n{last} = {value}\n")


@settings(max_examples=150, deadline=None)
@given(st.data())
def test_a_file_with_any_piece_replaced_loads_or_is_refused(data: st.DataObject) -> None:
    """No damage to a sound file leads to anything but a loaded unit or to errors inside the file."""
    lines = SAMPLE.splitlines()
    for _ in range(data.draw(st.integers(1, 3))):
        index = data.draw(st.integers(0, len(lines) - 1))
        key = lines[index].partition(" = ")[0]
        piece = data.draw(
            st.sampled_from(
                ["1", "true", "[]", "{}", '"x"', "-1", "inf", '["a"]', "[[1]]", "{ a = 1 }", '"1 V"']
            )
        )
        lines[index] = data.draw(st.sampled_from(["", f"{key} = {piece}", lines[index] + " # x", piece]))
    text = "\n".join(lines)
    for error in errors_of(text):
        assert 1 <= error.line <= len(lines) + 1
        assert error.column >= 1
        assert str(error).isprintable()


@given(st.text(max_size=200))
def test_any_text_comes_out_printable_and_short(text: str) -> None:
    """Printable, one line, and no longer than its bound allows."""
    assert printable(text).isprintable()
    assert len(printable(text)) <= 61 * 10
    assert described(text).isprintable()
