"""Which guarded acts a write is."""

from __future__ import annotations

from asleft.sequence.guards import ENABLING, HANDS, acts_of_write
from asleft.session.ledger import Ledger
from support import Told, demo_unit


def looked(**shown: str) -> Ledger:
    """A visit to a unit with the larger kit, some settings looked at."""
    told = Told(demo_unit())
    told.enter("identity.kit", "HK96")
    told.enter("identity.orientation", "upflow")
    for id, value in shown.items():
        told.event("found", setting=id.replace("_", "-"), address="unit", shown=value)
    return told.ledger


def test_naming_the_kit_allows_no_heat_while_another_setting_keeps_it_off() -> None:
    """The control knows which kit is fitted and still runs none of it."""
    assert acts_of_write(looked(bank_use="none"), "bank-size", "096") == ()


def test_naming_the_kit_allows_heat_where_nothing_is_known_to_keep_it_off() -> None:
    """What was not looked at, or stands at heat, might run it."""
    assert acts_of_write(looked(), "bank-size", "096") == (ENABLING,)
    assert acts_of_write(looked(bank_use="both"), "bank-size", "096") == (ENABLING,)


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
                s.model_copy(update={"power": "off"}) if s.id == "air-band" else s for s in unit.setting
            )
        }
    )
    assert acts_of_write(Ledger(inside, Told(inside).state), "air-band", "2") == (HANDS,)
