"""An instrument's accuracy, read from the line that its maker prints."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from asleft.equipment.accuracy import Accuracy, AccuracyError, parse_accuracy


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        ("voltage 0.5 % + 2 x 0.1 V", Accuracy("voltage", 0.005, 2.0, 0.1)),
        ("voltage 0.7% + 2 × 0.1 V", Accuracy("voltage", 0.7 / 100, 2.0, 0.1)),
        ("current 1.5 % + 2 x 100 mA + 0.5 A", Accuracy("current", 0.015, 2.0, 0.1, 0.5)),
        ("0.1 V", None),
        ("resistance 2 x 0.01 ohm", Accuracy("resistance", 0.0, 2.0, 0.01)),
        ("static_pressure 1 % + 1 x 0.002 inH2O", Accuracy("static_pressure", 0.01, 1.0, 0.002 * 249.089)),
        ("static pressure 2 Pa", Accuracy("static_pressure", absolute=2.0)),
        ("  airflow   3 %  ", Accuracy("airflow", 0.03)),
    ],
)
def test_a_line_is_read_into_base_units(line: str, expected: Accuracy | None) -> None:
    """Terms come in any number and order, in any unit of the kind."""
    if expected is None:
        with pytest.raises(AccuracyError, match="kind of quantity"):
            parse_accuracy(line)
        return
    found = parse_accuracy(line)
    assert found.kind == expected.kind
    for name in ("percent", "counts", "resolution", "absolute"):
        assert getattr(found, name) == pytest.approx(getattr(expected, name), rel=1e-5)


@pytest.mark.parametrize(
    ("line", "kelvin"),
    [("temperature 0.5 degC", 0.5), ("temperature 0.9 degF", 0.5), ("temperature 0.5 K", 0.5)],
)
def test_the_accuracy_of_a_temperature_is_a_difference(line: str, kelvin: float) -> None:
    """Half a degree of accuracy is not half a degree above freezing."""
    assert parse_accuracy(line).absolute == pytest.approx(kelvin)


@pytest.mark.parametrize(
    ("line", "why"),
    [
        ("", "kind of quantity"),
        ("voltage", "only a kind"),
        ("voltage ", "only a kind"),
        ("wattage 1 %", "kind of quantity"),
        ("voltage 1", "no unit"),
        ("voltage 1 A", "unit of current"),
        ("voltage 1 % + 2 %", "percent is given twice"),
        ("voltage 1 V + 2 V", "absolute is given twice"),
        ("voltage 1 x 1 V + 2 x 1 V", "given twice"),
        ("voltage 100 %", "less than 100"),
        ("voltage -1 V", "not one size"),
        ("voltage -1 %", "unit of ratio"),
        ("voltage 1 % +", "nothing was typed"),
        ("voltage + 1 %", "nothing was typed"),
        ("voltage 0 %", "nothing"),
        ("voltage 0 x 0.1 V + 0 %", "above 0"),
        ("voltage 0,5 %", "comma"),
        ("voltage 1; 2 V", "not one size"),
        ("voltage 1 V ± 2", "not one size"),
        ("voltage 1e999 V", "finite"),
        ("voltage " + "9" * 500 + " %", "too many"),
    ],
)
def test_a_line_that_says_no_accuracy_is_refused(line: str, why: str) -> None:
    """Each refusal says what was wrong, and what would be right."""
    with pytest.raises(AccuracyError) as caught:
        parse_accuracy(line)
    assert why in str(caught.value)
    assert caught.value.expected


@settings(deadline=None)  # the first odd unit loads the library of units
@given(st.text(max_size=60) | st.from_regex(r"voltage [0-9.]{0,6} ?(%|x|V)[ +0-9.%xV]{0,20}", fullmatch=True))
def test_any_text_is_read_or_refused(line: str) -> None:
    """Nothing but an accuracy of finite terms or a refusal comes out."""
    try:
        found = parse_accuracy(line)
    except AccuracyError:
        return
    terms = (found.percent, found.counts, found.resolution, found.absolute)
    assert all(math.isfinite(term) and term >= 0 for term in terms)
    assert any(terms)
