"""Conductor sizes as typed."""

from __future__ import annotations

import pytest

from asleft.quantity import QuantityError, parse_size


@pytest.mark.parametrize(
    ("text", "size"),
    [
        ("8 AWG", "8 AWG"),
        ("8awg", "8 AWG"),
        ("#8", "8 AWG"),
        ("AWG 8", "8 AWG"),
        ("1/0", "1/0 AWG"),
        ("4/0 AWG", "4/0 AWG"),
        ("6 mm2", "6 mm2"),
        ("6 mm²", "6 mm2"),
        ("2.5mm2", "2.5 mm2"),
        ("6.0 mm2", "6 mm2"),
        ("250 kcmil", "250 kcmil"),
    ],
)
def test_reads_a_size(text, size):
    """Each way of writing a size gives its one name, and that name reads as itself."""
    assert parse_size(text) == size
    assert parse_size(size) == size


@pytest.mark.parametrize(
    "text", ["6", "2.5", "", "AWG", "5/0", "6 mm", "1,5 mm2", "six AWG", "-8 AWG", "8 AWG 10"]
)
def test_refuses_what_is_not_a_size(text):
    """A bare number may be a gauge or square millimetres, so it is refused like any other riddle."""
    with pytest.raises(QuantityError):
        parse_size(text)
