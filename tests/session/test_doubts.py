"""What a write leaves unsure, what it puts back, and what is meant then."""

from __future__ import annotations

from asleft.checks.finding import Finding
from asleft.equipment.model import Control, ControlError, Equipment
from asleft.sequence.guards import ENABLING, acts_of_write
from asleft.session.doubts import no_value
from asleft.visit import look
from checks.visits import undone, visit
from support import Told, demo_unit

STEP = ("air-letter", "unit")


def _resetting(leader: str, *reset: str, **factory: str) -> Equipment:
    """The demo unit, one setting of which resets others."""
    unit = demo_unit()
    changed = tuple(
        s.model_copy(
            update={
                **({"resets": reset} if s.id == leader else {}),
                **({"factory": value} if (value := factory.get(s.id.replace("-", "_"))) else {}),
            }
        )
        for s in unit.setting
    )
    return unit.model_copy(update={"setting": changed})


def test_a_write_leaves_what_follows_unsure_until_it_is_seen() -> None:
    """Only what follows, and only until then."""
    told = Told(demo_unit())
    told.found_all()
    assert not told.ledger.unsure(*STEP)
    told.event("wrote", setting="trail", address="unit", shown="60")
    assert told.ledger.unsure(*STEP)
    assert not told.ledger.unsure("trail", "unit")
    assert told.ledger.left_at(*STEP) is None
    told.event("read_back", setting="air-letter", address="unit", shown="c")
    assert not told.ledger.unsure(*STEP)
    assert told.ledger.left_at(*STEP) == "c"


def test_what_comes_into_force_later_leaves_it_unsure_then_too() -> None:
    """A leader that waits for a power cycle may move what was read back before the cycle."""
    told = Told(demo_unit())
    told.found_all()
    told.event("wrote", setting="bank-size", address="system", shown="cedar")
    told.event("read_back", setting="bank-use", address="system", shown="none")
    assert not told.ledger.unsure("bank-use", "system")
    told.event("powered", state="off")
    told.event("powered", state="on")
    assert told.ledger.unsure("bank-use", "system")


def test_a_reset_setting_is_taken_to_hold_its_factory_value_until_it_is_seen() -> None:
    """What was seen before the reset no longer counts, what is seen after it does."""
    told = Told(_resetting("trail", "air-letter"))
    told.found_all(air_letter="a")
    told.event("wrote", setting="trail", address="unit", shown="60")
    assert (told.ledger.shown(*STEP), told.ledger.held(*STEP)) == ("a", "c")
    told.event("read_back", setting="air-letter", address="unit", shown="a")
    assert told.ledger.held(*STEP) == "a"


def test_what_a_write_resets_comes_after_it() -> None:
    """Before it, the write would be in vain."""
    unit = _resetting("trail", "air-letter")
    setting = unit.setting_of("air-letter")
    assert setting is not None
    assert [s.id for s, _ in unit.before(setting, "unit")] == ["trail"]


def test_where_nothing_was_chosen_what_a_write_cleared_is_put_back_as_found() -> None:
    """And that is no write that nobody meant."""
    told = visit(undone("chose", topic="sensor"), equipment=_resetting("frost-gate", "listening"))
    found = told.ledger.found_at("listening", "unit")
    assert found is not None
    assert ("listening", "unit") not in told.ledger.planned()
    told.event("wrote", setting="frost-gate", address="unit", shown="25")
    told.event("read_back", setting="listening", address="unit", shown="far")
    assert told.ledger.planned()["listening", "unit"] == found.shown
    fourth = _finding(told, "SQ-4 setting.listening@unit")
    assert fourth.failed
    assert not fourth.mendable
    told.event("wrote", setting="listening", address="unit", shown=found.shown)
    assert _finding(told, "SQ-2 setting.listening@unit").verdict == "pass"
    assert _finding(told, "SQ-3 setting.listening@unit").verdict == "not measured"


def _finding(told: Told, key: str) -> Finding:
    found = look(told.equipment, told.state).finding(key)
    assert found is not None
    return found


def test_a_write_that_resets_heat_to_on_is_the_guarded_act() -> None:
    """What a write leaves behind is what guards judge."""
    heat = demo_unit().role("auxiliary-heat")
    assert heat is not None
    off = next(o for o in heat.option if not o.value)
    on = next(o for o in heat.option if o.value)
    unit = _resetting("trail", *off.set, **{id.replace("-", "_"): value for id, value in on.set.items()})
    told = Told(unit)
    told.found_all(**{id.replace("-", "_"): value for id, value in off.set.items()})
    assert ENABLING in acts_of_write(told.ledger, "trail", "90")
    plain = Told(demo_unit())
    plain.found_all()
    assert ENABLING not in acts_of_write(plain.ledger, "trail", "90")


def test_what_may_have_moved_keeps_no_heat_off() -> None:
    """Unless its factory value keeps heat off too: what is cleared goes back to that."""

    def acts(factory: str) -> tuple[str, ...]:
        told = Told(_resetting("trail", bank_use=factory))
        told.found_all(bank_use="none", bank_size="bare")
        told.event("wrote", setting="bank-size", address="system", shown="ash")
        return acts_of_write(told.ledger, "bank-size", "cedar")

    assert ENABLING not in acts("none")
    assert ENABLING in acts("both")


def test_heat_that_may_have_moved_is_not_surely_off() -> None:
    """A unit is not left with power on by what the control held before a later write."""
    told = Told(demo_unit())
    heat = demo_unit().role("auxiliary-heat")
    assert heat is not None
    off = next(o for o in heat.option if not o.value)
    told.found_all(**{id.replace("-", "_"): value for id, value in off.set.items()})
    assert told.ledger.surely_in_force(heat) is not None
    told.event("wrote", setting="bank-size", address="system", shown="bare")
    assert told.ledger.surely_in_force(heat) is None


def test_a_text_that_is_no_value_is_told_as_such() -> None:
    """By the equipment file where that knows it; a value, and what a code shows for one, are none."""
    locked = ControlError(shown="E 1", means="Locked.", do="Unlock it.")
    unit = demo_unit().model_copy(update={"control": Control(error=(locked,))})
    assert no_value(unit, "patience", "notch 3") is None
    assert no_value(unit, "patience", "16") is None
    assert no_value(unit, "patience", "E 1") == ("E 1", "Locked.", "Unlock it.")
    assert no_value(unit, "patience", "E 2") == ("E 2", "not a value of this setting", "")
