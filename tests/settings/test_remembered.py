"""What is remembered, offered in a visit; and what a visit leaves to be remembered."""

from __future__ import annotations

from pathlib import Path
from types import MappingProxyType

import pytest

from asleft.equipment.library import find, instruments
from asleft.session.acts import Enter
from asleft.session.values import number_of
from asleft.settings import Settings
from asleft.settings.instruments import known_instrument, library
from asleft.settings.remembered import offers, own_visit, system_of, used
from asleft.settings.schema import SettingError, setting_of
from asleft.visit import Visit

OWN = "My meter | voltage 0.5 % + 2 x 0.1 V, resistance 1 % | 2031-03-31"
LISTED = {i.id: i for i in instruments()}


@pytest.fixture
def visit(tmp_path: Path) -> Visit:
    """An empty visit of Ada's."""
    return Visit.create(
        tmp_path,
        find("tarnfield-lowmoor-36"),
        LISTED,
        site="here",
        by="Ada",
        clock=lambda: "2031-05-04T09:00:00Z",
        session_id="1",
    )


@pytest.mark.parametrize(
    ("said", "unit", "system"),
    [
        ("", "tarnfield-lowmoor-36", "ip"),
        ("", "osmere-corrie-24", "ip"),
        ("auto", "quillfen-sorrel-90", "si"),
        ("si", "tarnfield-lowmoor-36", "si"),
        ("ip", "quillfen-sorrel-90", "ip"),
    ],
)
def test_units_are_as_said_else_as_the_supply_of_the_unit(said: str, unit: str, system: str) -> None:
    """A supply of 50 Hz is a metric site."""
    equipment = find(unit).equipment
    hertz = {float(s.frequency) for s in equipment.supply}
    assert hertz == ({50.0} if unit.startswith("quillfen-sorrel") else {60.0})
    assert system_of(Settings(units=said), equipment) == system


def test_what_is_offered_is_what_a_visit_takes(visit: Visit) -> None:
    """Every remembered value, submitted as it is offered, is taken."""
    settings = Settings(
        technician="Ada",
        code="NEC 2023",
        altitude="365 m",
        instruments=MappingProxyType({"meter": OWN, "clamp": "clamp-corwen"}),
    )
    offered = offers(settings, visit.instruments)
    assert set(offered) == {
        Enter("identity.technician"),
        Enter("identity.code"),
        Enter("identity.altitude"),
        Enter("identity.instrument.meter"),
        Enter("identity.instrument.clamp"),
    }
    for act, text in offered.items():
        visit.submit(act, text)
    altitude = visit.view.ledger.current("identity.altitude")
    assert altitude is not None
    assert number_of(altitude.value) == pytest.approx(365.0)
    assert dict(used(visit, 0, settings)) == {}
    visit.close()


def test_an_instrument_that_is_not_listed_for_the_job_is_not_offered() -> None:
    """Gone from the list, or another kind of instrument."""
    settings = Settings(instruments=MappingProxyType({"meter": "gone", "clamp": "meter-corwen"}))
    assert offers(settings, LISTED) == {}


def test_what_was_taken_into_use_in_this_visit_is_to_be_remembered(visit: Visit) -> None:
    """Listed by its id, an own one in full so that it can be offered again; not what was there before."""
    visit.enter("identity.instrument.clamp", "clamp-corwen")
    since = visit.view.state.last_n
    visit.enter("identity.instrument.meter", OWN)
    visit.enter("identity.instrument.manometer", "manometer-pell")
    changes = used(visit, since, Settings())
    assert changes == {
        "instruments.meter": OWN,
        "instruments.manometer": "manometer-pell",
    }
    visit.undo()
    assert set(used(visit, since, Settings())) == {"instruments.meter"}
    bare = "No papers | | "
    visit.enter("identity.instrument.thermometer", bare)
    kept = used(visit, since, Settings())["instruments.thermometer"]
    visit.enter("identity.instrument.thermometer", kept)
    assert visit.view.state.instrument("thermometer").name == "No papers"  # type: ignore[union-attr]
    visit.close()


def test_only_a_real_visit_that_this_person_alone_wrote_in_is_ones_own(visit: Visit) -> None:
    """Not a demo, and not what a colleague began."""
    visit.enter("identity.site", "Mill Lane")
    state = visit.view.state
    assert own_visit(state, "job", ("Ada",))
    assert not own_visit(state, "demo", ("Ada",))
    assert not own_visit(state, "job", ("Bea",))
    visit.close()


def test_the_library_lists_ones_own_instruments_first_and_says_what_each_reads(own_home: Path) -> None:
    """An own one of the same id takes the other's place; a file that is wrong is told and left out."""
    assert [one.id for one in library().of("clamp")] == ["clamp-corwen"]
    folder = own_home / "equipment"
    folder.mkdir(parents=True)
    (folder / "instruments.toml").write_text(
        'format = 1\n[[instrument]]\nid = "mine"\nname = "Mine [/red]"\nrole = "clamp"\n'
        'accuracy = ["current 1 % + 0.1 A"]\ncalibrated_until = 2031-01-01\n[[instrument]]\nid = 3\n'
    )
    listed = library().of("clamp")
    assert [(one.id, one.own) for one in listed] == [("mine", True), ("clamp-corwen", False)]
    assert listed[0].described == "current 1 % + 0.1 A; until 2031-01-01"
    (folder / "instruments.toml").write_text("format = 2")
    assert [one.id for one in library().of("clamp")] == ["clamp-corwen"]
    assert "instruments.toml cannot be listed" in library().trouble


def test_what_is_listed_is_what_the_models_read() -> None:
    """Listing looks at the same file without them."""
    assert {(one.id, one.name, one.role, one.accuracy) for one in library().listed} == {
        (one.id, one.name, one.role, one.accuracy) for one in LISTED.values()
    }


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("gone", "listed: meter-corwen, meter-unmarked"),
        ("clamp-corwen", "listed: meter-corwen"),
        ("| voltage 1 %", "a name before the first |"),
        ("X | volts 1 %", "a kind first"),
        ("X | current 1 %", "an accuracy for voltage"),
        ("X | voltage 1 % | 2031-02-30", "a day as YYYY-MM-DD"),
        ("X | voltage 1 % | 20310201", "a day as YYYY-MM-DD"),
    ],
)
def test_an_instrument_that_no_visit_would_take_is_refused(text: str, expected: str) -> None:
    """With what would be right."""
    with pytest.raises(SettingError) as refused:
        known_instrument(setting_of("instruments.meter"), text, library())
    assert expected in refused.value.expected


@pytest.mark.parametrize("text", ["", "meter-corwen", OWN, "No papers | |", "X|voltage 1 %|2031-01-01"])
def test_an_instrument_that_a_visit_takes_is_taken(text: str, visit: Visit) -> None:
    """Checked against the visit itself."""
    assert known_instrument(setting_of("instruments.meter"), text, library()) == text
    if text:
        visit.enter("identity.instrument.meter", text)
    visit.close()
