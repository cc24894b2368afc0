"""What is typed is read into an event, or refused with what would be right; nothing is guessed."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from asleft.session.values import Amount, number_of
from asleft.visit import Refused, Visit

Play = Callable[[str], None]


@pytest.mark.parametrize(
    ("left", "typed", "says"),
    [
        ("identity.altitude", "1,5 ft", "comma"),
        ("identity.altitude", "12 V", "length"),
        ("identity.altitude", "999999 ft", "36000 ft"),
        ("identity.altitude", "", "Altitude"),
        ("identity.altitud", "12 ft", "identity.altitude"),
        ("identity.kit", "HK", "one of"),
        ("identity.kit", "none of them", "one of"),
        ("identity.site", "a\x1b[31mred", "U+001B"),
        ("identity.site", "left\u202eright", "U+202E"),
        ("identity.site", "x" * 401, "400"),
        ("identity.instrument.meter", "clamp-corwen", "meter-corwen"),
        ("identity.instrument.meter", "mine | voltage rather good |", "voltage"),
        ("identity.instrument.meter", "mine | voltage 1 % | soon", "YYYY-MM-DD"),
        ("choose:tiers", "mild", "tier"),
        ("choose:tier", "huge", "one of"),
        ("found:tril@unit", "60", "trail@unit"),
        ("power", "maybe", "on, off"),
        ("sign", "done", "commissioned"),
        ("acknowledge:EL-1", "no", "yes"),
        ("acknowledge:EL-2", "yes", "EL-1"),
        ("waive:EL-1/unit", "in a hurry", "hold"),
        ("waive:ZZ-1/unit", "why", "no finding"),
        ("mended:EL-2/unit", "done", "nothing to mend"),
        ("retract:7", "typo", "no event"),
        ("frobnicate:x", "y", "choose:TOPIC"),
    ],
)
def test_bad_input_is_refused_with_what_would_be_right(
    visit: Visit, left: str, typed: str, says: str
) -> None:
    """And nothing is written."""
    size = visit.path.stat().st_size
    with pytest.raises(Refused) as refused:
        visit.enter(left, typed)
    assert says in str(refused.value)
    assert visit.path.stat().st_size == size
    assert visit.view.state.last_n == 0


def test_what_was_typed_stands_beside_what_it_means(visit: Visit) -> None:
    """The base unit in the file, the words of the person beside it."""
    visit.enter("identity.altitude", "1 200 ft")
    text = visit.path.read_text("utf-8")
    assert 'typed = "1 200 ft"' in text
    assert "value = 365.76" in text
    assert 'unit = "m"' in text


def test_a_bare_number_means_the_unit_on_the_screen(visit: Visit) -> None:
    """Feet in one system, metres in the other."""
    visit.enter("identity.altitude", "100", system="ip")
    feet = visit.view.ledger.current("identity.altitude")
    visit.enter("identity.altitude", "100", system="si")
    metres = visit.view.ledger.current("identity.altitude")
    assert feet is not None
    assert metres is not None
    assert number_of(feet.value) == pytest.approx(30.48)
    assert metres.value == Amount(100.0, "m")


def test_repeats_and_a_plus_minus_are_kept(visit: Visit) -> None:
    """The readings one by one, the limit in the base unit."""
    visit.enter("identity.altitude", "100 m; 102 m; 104 m")
    entry = visit.view.ledger.current("identity.altitude")
    assert entry is not None
    assert entry.readings == (100.0, 102.0, 104.0)
    assert entry.value == Amount(102.0, "m")
    visit.enter("heat.design_load", "40000 ± 2000", system="ip")
    load = visit.view.ledger.current("heat.design_load")
    assert load is not None
    assert load.plus_minus == pytest.approx(2000 * 0.29307107)


def test_an_instrument_of_ones_own_is_described_in_a_line(visit: Visit) -> None:
    """Name, accuracy and date; unknown accuracy is allowed and stays unknown."""
    visit.enter("identity.instrument.meter", "Bench 3 | voltage 0.5 % + 2 x 0.1 V | 2030-01-31")
    used = visit.view.state.instrument("meter")
    assert used is not None
    assert used.accuracy == ("voltage 0.5 % + 2 x 0.1 V",)
    assert used.calibrated_until == "2030-01-31"
    visit.enter("identity.instrument.meter", "Bench 4 |")
    other = visit.view.state.instrument("meter")
    assert other is not None
    assert other.accuracy == ()


def test_a_choice_may_be_typed_short_if_it_stays_plain(visit: Visit) -> None:
    """EL can only be one kit; nothing at all could be several."""
    visit.enter("identity.kit", "el")
    assert visit.view.ledger.situation.kit == "elm"
    with pytest.raises(Refused):
        visit.enter("identity.kit", "e m")


_TEXT = st.text(max_size=60)


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    left=st.one_of(_TEXT, st.sampled_from(["power", "sign", "note", "identity.site", "choose:tier"])),
    typed=_TEXT,
)
def test_anything_at_all_is_taken_or_refused(visit: Visit, left: str, typed: str) -> None:
    """No text of a person or a program raises anything else."""
    before = visit.view.state.last_n
    try:
        visit.enter(left, typed)
    except Refused:
        assert visit.view.state.last_n == before
    else:
        assert visit.view.state.last_n == before + 1


@pytest.mark.parametrize(
    ("role", "accuracy", "wanted"),
    [
        ("manometer", "temperature 1 degF", "static pressure"),
        ("meter", "current 1 %", "voltage"),
        ("clamp", "voltage 1 %", "current"),
        ("thermometer", "static_pressure 1 %", "temperature"),
        ("anemometer", "current 1 %", "velocity"),
    ],
)
def test_an_instrument_says_how_well_it_reads_what_it_is_used_for(
    visit: Visit, role: str, accuracy: str, wanted: str
) -> None:
    """An accuracy for another quantity alone is a slip; none at all is an instrument of unknown accuracy."""
    with pytest.raises(Refused, match=f"no accuracy for {wanted}"):
        visit.enter(f"identity.instrument.{role}", f"Mine | {accuracy} | 2031-01-31")
    visit.enter(f"identity.instrument.{role}", "Mine | | 2031-01-31")


def test_a_lone_sign_is_no_text(visit: Visit) -> None:
    """Somebody who asks for help with it is told what to type."""
    with pytest.raises(Refused, match="no letter and no digit"):
        visit.enter("identity.model", "?")


@pytest.mark.parametrize("limit", ["1e300", "1e155", "1e999", "0", "1001"])
def test_a_plus_minus_that_says_nothing_is_refused(visit: Visit, limit: str) -> None:
    """It would say that the reading may be anything, or is exact; the next entry goes on as before."""
    with pytest.raises(Refused):
        visit.enter("electrical.panel.l1_l2", f"208 ± {limit} V")
    visit.enter("identity.site", "Mill")
    assert visit.view.state.latest("electrical.panel.l1_l2") is None
