"""A choice is named by its key or its first letters; what names none or several stays as it was typed."""

from __future__ import annotations

import pytest

from asleft.face.rows import Row
from asleft.session.acts import Choose, Enter

FOUR = ("Hush", "Mild", "Firm", "Full")


@pytest.mark.parametrize(
    ("choices", "typed", "meant"),
    [
        (("yes", "no"), "y", "yes"),
        (("yes", "no"), "N", "no"),
        (("yes",), "y", "yes"),
        (("yes",), "n", "n"),
        (FOUR, "2", "Mild"),
        (FOUR, "h", "Hush"),
        (FOUR, " FU ", "Full"),
        (FOUR, "f", "f"),
        (FOUR, "5", "5"),
        (FOUR, "mild", "Mild"),
        (FOUR, "", ""),
        (("208", "240"), "2", "2"),
        (("208", "240"), "24", "240"),
        (("208", "240"), "208", "208"),
        (("Two", "Twofold"), "two", "Two"),
        ((), "y", "y"),
    ],
)
def test_what_was_typed_names_a_choice(choices: tuple[str, ...], typed: str, meant: str) -> None:
    """Never another than the one that was meant."""
    assert Row(Choose("x"), "X", choices=choices).meant(typed) == meant


def test_numbers_name_no_choice_where_choices_are_numbers() -> None:
    """2 might be the second or the start of 208."""
    assert Row(Enter("f"), "F", choices=("208", "240")).choice_keys == ("", "")
    assert Row(Enter("f"), "F", choices=FOUR).choice_keys == ("1", "2", "3", "4")
