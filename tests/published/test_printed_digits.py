"""The helper that turns printed digits into a tolerance."""

from __future__ import annotations

import pytest

from published.printed import about, printed, tolerance

pytestmark = pytest.mark.own_arithmetic


@pytest.mark.parametrize(
    ("digits", "half"),
    [
        ("4500", 0.5),
        ("2.25", 0.005),
        ("8.321E-1", 5e-5),
        ("1.013E+5", 50.0),
        ("107 478", 0.5),
        ("0.10", 0.005),
    ],
)
def test_a_rounded_number_leaves_half_a_unit_of_its_last_digit_open(digits, half):
    """Trailing zeros count as printed, and an exponent moves the last digit."""
    assert tolerance(digits) == pytest.approx(half, rel=1e-12)


def test_what_would_be_printed_so_is_equal_and_the_rest_is_not():
    """2.53 is what 2.525 and 2.5349 round to, not 2.524 nor 2.536; a cut number leaves a whole unit open."""
    assert printed("2.53") == 2.525
    assert printed("2.53") == 2.5349
    assert printed("2.53") != 2.524
    assert printed("2.53") != 2.536
    assert printed("773.3") != 773.39
    assert printed("773.3", units=1) == 773.39


def test_a_part_never_binds_closer_than_the_digits():
    """A part of a number widens what its digits leave open and never narrows it."""
    assert about("1.00", 1e-6) == 1.0049
    assert about("1.00", 0.01) == 1.009
    assert about("1.00", 0.01) != 1.011
