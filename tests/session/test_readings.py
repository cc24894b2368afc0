"""What a reading is known to be: its instrument's limit, its repeats, a typed limit, or nobody knows."""

from __future__ import annotations

from math import sqrt
from statistics import mean, stdev
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from asleft.session.readings import Known, known
from support import Told, demo_unit

LINE = "electrical.line.l1_l2"
SUPPLY = "blower.static.supply"
INCH_PA = 249.089
METER = ["voltage 0.5 % + 2 x 0.1 V", "resistance 1 % + 2 x 0.01 ohm"]


def visit(role: str = "meter", accuracy: list[str] | None = None) -> Told:
    """A visit with one instrument in use."""
    told = Told(demo_unit())
    use(told, role, METER if accuracy is None else accuracy)
    return told


def use(told: Told, role: str, accuracy: list[str]) -> None:
    """An instrument described, under the name `it`."""
    told.event(
        "used", field=f"identity.instrument.{role}", instrument="it", name="Invented", accuracy=accuracy
    )


def read(told: Told, field: str, value: Any, **more: Any) -> Known:
    """A field entered by the instrument `it`, and what is then known of it."""
    told.enter(field, value, instrument="it", **more)
    found = known(told.ledger, field)
    assert found is not None
    return found


def test_one_reading_has_the_limit_of_its_instrument() -> None:
    """0.5 % of 240 V and two counts of 0.1 V: a = 1.4 V, U = 2 a / root 3 = 1.617 V (JCGM 100, 4.3.7)."""
    found = read(visit(), LINE, 240.0)
    assert (found.value, found.unknown_accuracy, found.field, found.kind) == (240.0, False, LINE, "voltage")
    assert found.expanded == pytest.approx(1.6166, abs=5e-5)


def test_a_limit_in_inches_of_water_is_a_limit_in_pascals() -> None:
    """1 % of 0.300 in. w.c. and one count of 0.002: a = 0.005 in. w.c. = 1.2454 Pa."""
    found = read(visit("manometer", ["static_pressure 1 % + 1 x 0.002 inH2O"]), SUPPLY, 0.300 * INCH_PA)
    assert found.expanded == pytest.approx(2 * 0.005 * INCH_PA / sqrt(3), rel=1e-6)


def test_a_percentage_is_of_the_magnitude() -> None:
    """A return static below zero is known as well as one above."""
    above, below = (
        read(visit("manometer", ["static_pressure 2 %"]), "blower.static.return", sign * 50.0)
        for sign in (1, -1)
    )
    assert below.expanded == pytest.approx(above.expanded) == pytest.approx(2 * 1.0 / sqrt(3))


def test_repeats_add_the_standard_deviation_of_their_mean() -> None:
    """238.1, 238.4, 238.2 V: s of the mean 0.0882 V beside u = (1.191 + 0.2)/root 3 (JCGM 100, 4.2)."""
    readings = [238.1, 238.4, 238.2]
    found = read(visit(), LINE, mean(readings), readings=readings)
    by_hand = 2 * sqrt(((0.005 * mean(readings) + 0.2) / sqrt(3)) ** 2 + stdev(readings) ** 2 / 3)
    assert found.expanded == pytest.approx(by_hand, rel=1e-12)


@given(st.lists(st.floats(100.0, 300.0), min_size=2, max_size=8))
def test_repeats_never_beat_the_instrument(readings: list[float]) -> None:
    """An average of many is never known better than the instrument's own part."""
    value = mean(readings)
    assert (
        read(visit(), LINE, value, readings=readings).expanded >= 2 * (0.005 * value + 0.2) / sqrt(3) - 1e-9
    )


def test_a_typed_limit_is_a_limit_not_an_uncertainty() -> None:
    """Job data of 40 000 +- 3000: u = a / root 3, U = 2 u; and it is no reading of unknown accuracy."""
    told = Told(demo_unit())
    told.enter("heat.design_load", 40000.0, plus_minus=3000.0)
    found = known(told.ledger, "heat.design_load")
    assert found is not None
    assert (found.expanded, found.unknown_accuracy) == (pytest.approx(3464.10, abs=0.01), False)


def test_plain_job_data_is_taken_as_given() -> None:
    """What a paper says has no uncertainty of ours."""
    told = Told(demo_unit())
    told.enter("heat.design_load", 40000.0)
    found = known(told.ledger, "heat.design_load")
    assert found is not None
    assert (found.expanded, found.unknown_accuracy) == (0.0, False)


@pytest.mark.parametrize(("typed", "limit"), [(3.0, 3.0), (0.1, 1.4)])
def test_a_typed_limit_widens_an_instrument_and_never_narrows_it(typed: float, limit: float) -> None:
    """240 V by a meter of 1.4 V: a typed 3 V counts, a typed 0.1 V does not."""
    found = read(visit(), LINE, 240.0, plus_minus=typed)
    assert (found.expanded, found.unknown_accuracy) == (pytest.approx(2 * limit / sqrt(3)), False)


@pytest.mark.parametrize("accuracy", [[], ["resistance 1 %"]])
def test_an_instrument_that_does_not_say_is_of_unknown_accuracy(accuracy: list[str]) -> None:
    """No accuracy at all, or none for this kind."""
    found = read(visit(accuracy=accuracy), LINE, 240.0)
    assert (found.expanded, found.unknown_accuracy) == (0.0, True)


def test_a_typed_limit_does_not_make_an_unknown_instrument_known() -> None:
    """It is counted, and the accuracy stays unknown."""
    found = read(visit(accuracy=[]), LINE, 240.0, plus_minus=3.0)
    assert (found.expanded, found.unknown_accuracy) == (pytest.approx(6.0 / sqrt(3)), True)


def test_repeats_of_an_unknown_instrument_still_show_their_scatter() -> None:
    """Nobody knows how well it reads, but how it scatters was seen."""
    readings = [236.0, 240.0, 244.0]
    found = read(visit(accuracy=[]), LINE, 240.0, readings=readings)
    assert (found.expanded, found.unknown_accuracy) == (pytest.approx(2 * 4.0 / sqrt(3)), True)


def test_a_reading_by_no_instrument_is_of_unknown_accuracy() -> None:
    """A measured field entered before any instrument was named."""
    told = Told(demo_unit())
    told.enter(LINE, 240.0)
    found = known(told.ledger, LINE)
    assert found is not None
    assert found.unknown_accuracy


def test_an_instrument_counts_as_it_was_described_before_the_reading() -> None:
    """Described anew afterwards, it does not change what it read."""
    told = visit()
    before = read(told, LINE, 240.0)
    use(told, "meter", ["voltage 5 %"])
    assert known(told.ledger, LINE) == before
    assert read(told, LINE, 240.0).expanded == pytest.approx(2 * 12.0 / sqrt(3))


def test_words_and_yes_or_no_are_no_numbers() -> None:
    """Neither is what was never entered."""
    told = Told(demo_unit())
    told.enter("identity.site", "1200")
    told.enter("blower.ready.filter_in", True)
    for field in ("identity.site", "blower.ready.filter_in", LINE):
        assert known(told.ledger, field) is None


def test_a_reading_that_a_write_made_stale_is_not_known() -> None:
    """The static was read, then the tier was written."""
    told = visit("manometer", ["static_pressure 1 %"])
    read(told, SUPPLY, 75.0)
    told.event("wrote", setting="air-letter", address="unit", shown="a")
    assert known(told.ledger, SUPPLY) is None
    assert read(told, SUPPLY, 80.0).value == 80.0
