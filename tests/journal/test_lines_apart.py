"""Equipment lines parsed apart, once for many files, are what the file as a whole says."""

from __future__ import annotations

import sys
from typing import Any

import hypothesis.strategies as st
import pytest
import tomli
from hypothesis import given

import asleft.journal.classify  # noqa: F401  the function of the same name stands before the module

module: Any = sys.modules["asleft.journal.classify"]
loaded = module._loaded

HEADER = """format = 1

[session]
id = "a"

[equipment]
sha256 = "b"
lines = [
    "[unit]",
    "id = 'x' # ]",
]

[chain]
link = "c"

[[event]]
n = 1
"""
MARKS = ("\nlines = [", "\n]\n", "lines = []\n", "[equipment]\n", "x = [\n")
PIECES = st.sampled_from((*MARKS, '"""', "'''", "[", "]", '"', ",", "\n", "# ", "1"))


def said(parse: Any, text: str) -> object:
    """What a parser says of a text."""
    try:
        return parse(text)
    except tomli.TOMLDecodeError:
        return "no TOML"


def test_a_header_as_it_is_written() -> None:
    """The same document, and a list of its own each time."""
    assert loaded(HEADER) == tomli.loads(HEADER)
    loaded(HEADER)["equipment"]["lines"].clear()
    assert loaded(HEADER) == tomli.loads(HEADER)


@pytest.mark.parametrize(
    "text",
    [
        HEADER.replace("lines = [", "lines=[").replace('id = "a"', 'id = """\nlines = [\n]\n"""'),
        HEADER.replace('id = "a"', 'lines = [\n"x",\n]').replace("lines = [\n    ", "lines=[\n    "),
        HEADER.replace('    "[unit]",', '    ["[unit]",\n]\n,'),
        HEADER.replace("[equipment]", "[other]"),
        HEADER.replace("lines = [\n", "lines = []\nother = [\n"),
        HEADER.replace("[equipment]\n", "equipment = 1\n"),
        HEADER.replace("]\n\n[chain]", "\n\n[chain]"),
        HEADER.replace("lines = [", "x = [\nlines = ["),
        "lines = [\n]\n",
        "\nlines = [\n]\n",
        "",
    ],
)
def test_what_is_forged_is_read_as_a_whole(text: str) -> None:
    """Wherever the mark of the lines stands."""
    assert said(loaded, text) == said(tomli.loads, text)


def test_equipment_lines_of_megabytes_are_read_and_not_kept() -> None:
    """Files of a hostile tree are forgotten one after another."""
    text = HEADER.replace("lines = [\n", "lines = [\n" + f'    "{"x" * 1000}",\n' * 1000)
    kept = module._lines_of.cache_info().currsize
    assert loaded(text) == tomli.loads(text)
    assert module._lines_of.cache_info().currsize == kept
    assert loaded(HEADER) == tomli.loads(HEADER)


@given(st.lists(st.tuples(st.integers(0, len(HEADER)), st.integers(0, 6), PIECES), max_size=4))
def test_whatever_is_put_in_or_left_out(changes: list[tuple[int, int, str]]) -> None:
    """Parsed apart or not, it is the same document or none."""
    text = HEADER
    for at, gone, piece in changes:
        text = text[:at] + piece + text[at + gone :]
    assert said(loaded, text) == said(tomli.loads, text)
