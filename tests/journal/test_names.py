"""Whatever people call a site, its file has a plain name."""

from __future__ import annotations

import re
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from asleft.journal import stem
from asleft.journal.names import LONGEST, is_safe_stem


@given(st.text(), st.text(), st.text())
def test_any_text_gives_letters_digits_and_hyphens_of_bounded_length(day: str, site: str, unit: str) -> None:
    name = stem(day, site, unit)
    assert re.fullmatch(r"[A-Za-z0-9]+(-[A-Za-z0-9]+)*", name)
    assert len(name) <= LONGEST + 2
    assert is_safe_stem(name)


@pytest.mark.parametrize(
    ("site", "unit", "name"),
    [
        ("12 Hill Road", "AH-1", "2031-05-04-12-Hill-Road-AH-1"),
        ("../../etc", "C:\\x", "2031-05-04-etc-C-x"),
        ("\u202e\x1b[31m", "", "2031-05-04-31m-unit"),
        ("漢字", "🔥", "2031-05-04-site-unit"),
        ("Æther—Łódź", "½", "2031-05-04-ther-odz-1-2"),
        ("a" * 99, "b" * 99, "2031-05-04-" + "a" * 40 + "-" + "b" * 40),
    ],
)
def test_a_name_keeps_what_it_can(site: str, unit: str, name: str) -> None:
    assert stem(date(2031, 5, 4), site, unit) == name
