"""Which guarded acts a write is."""

from __future__ import annotations

import pytest

from asleft.checks.finding import ACTS
from asleft.sequence.guards import (
    COMMISSIONED,
    ENABLING,
    ENERGISING,
    HANDS,
    ISOLATED,
    LIVE,
    LOADS,
    NOT_COMMISSIONED,
    POWER_ON,
    acts_of_field,
    acts_of_write,
    power_of_field,
)
from asleft.session.fields import Field
from asleft.session.ledger import Ledger
from support import Told, demo_unit

HEAT = ("loads on", "energising heat", "enabling heat")
ACTS_NAMED = (
    "live readings",
    "recording isolation",
    "hands inside",
    "power on",
    "loads on",
    "energising heat",
    "enabling heat",
    "signing as commissioned",
    "signing as not commissioned",
)


def looked(**shown: str) -> Ledger:
    """A visit to a unit with the larger kit, some settings looked at."""
    told = Told(demo_unit())
    told.enter("identity.kit", "cedar")
    told.enter("identity.orientation", "upflow")
    for id, value in shown.items():
        setting = told.equipment.setting_of(id.replace("_", "-"))
        assert setting is not None
        told.event("found", setting=setting.id, address=setting.address[0], shown=value)
    return told.ledger


def test_naming_the_kit_allows_no_heat_while_another_setting_keeps_it_off() -> None:
    """The control knows which kit is fitted and still runs none of it."""
    assert acts_of_write(looked(bank_use="none"), "bank-size", "cedar") == ()


def test_naming_the_kit_allows_heat_where_nothing_is_known_to_keep_it_off() -> None:
    """What was not looked at, or stands at heat, might run it."""
    assert acts_of_write(looked(), "bank-size", "cedar") == (ENABLING,)
    assert acts_of_write(looked(bank_use="both"), "bank-size", "cedar") == (ENABLING,)


def test_letting_stages_run_allows_heat_and_shutting_them_off_does_not() -> None:
    """Whatever the control held before."""
    assert acts_of_write(looked(bank_use="none"), "bank-use", "both") == (ENABLING,)
    assert acts_of_write(looked(bank_use="both"), "bank-use", "none") == ()


def test_heat_in_defrost_and_on_a_lost_link_are_heat() -> None:
    """Each by its own setting."""
    for setting, on, off in (("thaw-warmth", "yes", "no"), ("silent-line", "warm", "rest")):
        ledger = looked(**{setting.replace("-", "_"): off})
        assert acts_of_write(ledger, setting, on) == (ENABLING,)
        assert acts_of_write(ledger, setting, off) == ()


def test_what_is_written_with_power_off_is_hands_inside() -> None:
    """Also where it allows no heat."""
    unit = demo_unit()
    inside = unit.model_copy(
        update={
            "setting": tuple(
                s.model_copy(update={"power": "off"}) if s.id == "trail" else s for s in unit.setting
            )
        }
    )
    assert acts_of_write(Ledger(inside, Told(inside).state), "trail", "120") == (HANDS,)


@pytest.mark.parametrize(
    ("state", "kind", "instrument", "acts", "power"),
    [
        ("", "text", "", (), ""),
        ("", "voltage", "meter", (), ""),
        ("dead", "voltage", "meter", ("live readings",), "off"),
        ("dead", "yes_no", "", ("live readings",), "off"),
        ("isolated", "resistance", "meter", ("hands inside",), "off"),
        ("isolated", "yes_no", "", ("hands inside",), "off"),
        ("isolated", "voltage", "meter", ("live readings",), "off"),
        ("idle", "voltage", "meter", ("live readings",), "on"),
        ("idle", "current", "clamp", ("live readings",), "on"),
        ("idle", "yes_no", "", (), "on"),
        ("idle", "static_pressure", "manometer", (), "on"),
        ("blower", "current", "clamp", ("live readings", "loads on"), "on"),
        ("blower", "static_pressure", "manometer", ("loads on",), "on"),
        ("heat_pump", "temperature", "thermometer", ("loads on",), "on"),
        ("heat.1", "temperature", "thermometer", HEAT, "on"),
        ("heat", "voltage", "meter", ("live readings", *HEAT), "on"),
        ("after.60", "current", "clamp", ("live readings", *HEAT), "on"),
        ("defrost", "yes_no", "", HEAT, "on"),
        ("ordinary", "yes_no", "", HEAT, "on"),
    ],
)
def test_taking_a_field_is_what_its_state_and_its_instrument_make_it(
    state: str, kind: str, instrument: str, acts: tuple[str, ...], power: str
) -> None:
    """Volts where there should be none are read as live ones; heat on is three acts at once."""
    field = Field("f", kind, "F", "", state, instrument)
    assert acts_of_field(field) == acts
    assert power_of_field(field) == power


def test_the_acts_have_their_names() -> None:
    """The checks name them so in what they lock."""
    named = (LIVE, ISOLATED, HANDS, POWER_ON, LOADS, ENERGISING, ENABLING, COMMISSIONED, NOT_COMMISSIONED)
    assert named == ACTS_NAMED
    assert set(ACTS_NAMED) == set(ACTS)


def test_a_setting_that_nobody_knows_allows_nothing() -> None:
    """There is nothing to set."""
    assert acts_of_write(looked(), "no-such", "1") == ()


def test_a_value_that_off_carries_too_allows_no_heat_by_itself() -> None:
    """The same kit's off, or the off of any kit."""
    unit = demo_unit()
    topic = unit.role("auxiliary-heat")
    assert topic is not None
    for option in topic.option:
        for setting, value in option.set.items():
            off = [o.set.get(setting) for o in topic.option if not o.value]
            acts = acts_of_write(looked(), setting, value)
            assert (ENABLING in acts) == (bool(option.value) and value not in off), (
                option.id,
                setting,
                value,
            )


def test_what_is_known_to_be_heat_stays_heat() -> None:
    """Off by another setting counts only where no option that heats stands too."""
    assert acts_of_write(looked(bank_use="one"), "bank-size", "cedar") == (ENABLING,)
    assert acts_of_write(looked(bank_size="bare"), "bank-use", "both") == (ENABLING,)
    assert acts_of_write(looked(bank_size="bare", bank_use="none"), "bank-use", "one") == (ENABLING,)
    assert acts_of_write(looked(), "trail", "90") == ()
    assert acts_of_write(looked(), "trail", "120") == ()
