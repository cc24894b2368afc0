"""Instruments in a trainee's hands: what a display makes of what is there."""

from __future__ import annotations

import pytest

from asleft.drill.classroom.hands import (
    Held,
    hurts,
    instruments_kept,
    places,
    range_of,
    ranges_of,
    right,
    shown,
)
from asleft.drill.site import site
from asleft.equipment.library import find, units
from asleft.session.fields import applicable, templates
from played import place_of

UNIT = find("tarnfield-lowmoor-36").equipment
FIELDS = applicable(UNIT, site(1, UNIT).situation)
LINE, TO_GROUND = FIELDS["electrical.line.l1_l2"], FIELDS["electrical.line.l1_ground"]
OHMS = FIELDS["electrical.ground.resistance"]


def test_every_measured_field_has_an_instrument_with_a_dial_for_it() -> None:
    """And that dial has a range that finds its own."""
    for field in templates():
        if field.instrument:
            kept = instruments_kept()[field.instrument]
            assert kept.reads[field.kind] in kept.dials[1:]
            assert ranges_of(field.instrument, kept.reads[field.kind])[0] == "auto"


def test_every_range_is_a_display_of_plausible_digits() -> None:
    """From some hundred to ten thousand steps, as displays of four digits have."""
    for kept in instruments_kept().values():
        for kind, dial in kept.reads.items():
            for name in kept.ranges[dial]:
                if (known := range_of(name, kind)) is not None:
                    assert 100 <= known.most / known.step <= 10_000


@pytest.mark.parametrize(
    ("held", "truth", "display"),
    [
        (Held("V ac", "auto", LINE.id), 238.27, 238.27),
        (Held("V ac", "1000 V 1 V", LINE.id), 238.27, 238.0),
        (Held("V ac", "600 V 0.1 V", LINE.id), 238.27, 238.3),
        (Held("V ac", "60 V 0.01 V", LINE.id), 238.27, None),
        (Held("V ac", "60 V 0.01 V", LINE.id), 60.0, 60.0),
        (Held("V ac", "60 V 0.01 V", LINE.id), -60.1, None),
        (Held("V dc", "auto", LINE.id), 238.27, 0.0),
    ],
)
def test_a_display_shows_what_its_dial_and_range_can(held: Held, truth: float, display: float | None) -> None:
    """The truth to its last digit, nothing on a wrong dial, no number where it holds less than there is."""
    found = shown(held, LINE, truth)
    assert found == (None if display is None else pytest.approx(display))


def test_ohms_hurt_where_there_may_be_volts() -> None:
    """On every place read with power on; with power off they are what is wanted."""
    assert hurts(Held("ohm", "auto", LINE.id), LINE)
    assert not hurts(Held("V ac", "auto", LINE.id), LINE)
    assert not hurts(Held("ohm", "auto", OHMS.id), OHMS)


def test_leads_go_where_the_same_instrument_is_used_in_the_same_state() -> None:
    """Among them the place that the row asks for."""
    for known in units():
        equipment = find(known.id).equipment
        fields = applicable(equipment, place_of(1, known.id).situation)
        for field in fields.values():
            if field.instrument:
                found = places(fields, field)
                assert field in found
                assert {(f.instrument, f.state) for f in found} == {(field.instrument, field.state)}
    assert TO_GROUND in places(FIELDS, LINE)
    assert OHMS not in places(FIELDS, LINE)


def test_set_right_it_shows_what_is_there() -> None:
    """Whatever a row asks for."""
    for field in FIELDS.values():
        if field.instrument:
            assert shown(right(field), field, 12.5) == 12.5
