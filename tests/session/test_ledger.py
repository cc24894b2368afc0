"""As found, as left, stale, in force: all from the order of events."""

from __future__ import annotations

import pytest

from asleft.equipment.load import load_bytes
from equipment.sample import SAMPLE
from support import Told, demo_unit


def _ready() -> Told:
    told = Told(demo_unit())
    told.enter("identity.orientation", "upflow")
    told.enter("identity.kit", "cedar")
    told.found_all()
    return told


STATIC = "blower.static.supply"


def _columns(told: Told, field: str) -> tuple[int, int]:
    """Numbers of the entries as found and as left; 0 where the column is empty."""
    found, left = told.ledger.as_found(field), told.ledger.as_left(field)
    return found.n if found else 0, left.n if left else 0


def test_nothing_is_as_left_before_a_first_change() -> None:
    """A reading, a fact of papers and an answer are as found; the first change makes what it spares both."""
    told = _ready()
    reading = told.enter(STATIC, 75.0)
    fact = told.enter("identity.serial", "1")
    answer = told.enter("blower.ready.filter_in", True)
    fields = (STATIC, "identity.serial", "blower.ready.filter_in")
    assert not told.ledger.leaves
    assert [_columns(told, f) for f in fields] == [(reading, 0), (fact, 0), (answer, 0)]
    told.event("noted", text="the door was shut")
    told.event("powered", state="off")
    told.event("noted", text="no way", refused="electrical.line.l1_l2")
    assert [_columns(told, f) for f in fields] == [(reading, 0), (fact, 0), (answer, 0)]
    told.event("wrote", setting="patience", address="unit", shown="notch 3")
    assert told.ledger.leaves
    assert [_columns(told, f) for f in fields] == [(reading,) * 2, (fact,) * 2, (answer,) * 2]


def test_a_repair_is_a_first_change_and_a_write_taken_back_is_none() -> None:
    """Either changes the unit; what was retracted never happened."""
    told = _ready()
    n = told.enter(STATIC, 75.0)
    mended = told.event("noted", text="filter cleaned", mends="BL-1 unit", affects=["blower.power"])
    assert told.ledger.changed
    assert _columns(told, STATIC) == (n, n)
    told.event("retracted", of=mended, why="mistyped")
    assert not told.ledger.changed
    assert _columns(told, STATIC) == (n, 0)


def test_a_record_signed_without_a_change_shows_both() -> None:
    """The story is over: what was found is what is left. An entry behind the signature opens it again."""
    told = _ready()
    n = told.enter(STATIC, 75.0)
    told.event("signed", outcome="not commissioned")
    assert not told.ledger.changed
    assert _columns(told, STATIC) == (n, n)
    told.event("noted", text="one thing more")
    assert _columns(told, STATIC) == (n, 0)


def test_what_the_sign_off_asks_is_only_as_left() -> None:
    """Whether test holes are plugged was no question when the unit was found."""
    told = _ready()
    n = told.enter("signoff.holes_plugged", True)
    assert _columns(told, "signoff.holes_plugged") == (0, n)


def test_a_choice_is_as_found_what_it_was_before_the_first_write_that_affects_it() -> None:
    """Writes of other topics do not count; a topic of which nothing was written has what was found."""
    told = _ready()
    tier, delay = demo_unit().role("blower-tier"), demo_unit().role("auxiliary-delay")
    assert tier is not None
    assert delay is not None
    first, other = told.ledger.in_force(tier), told.ledger.options(tier)[2]
    kept = told.ledger.in_force(delay)
    assert first is not None
    assert kept is not None
    assert first.id != other.id
    assert (told.ledger.found_option(tier), told.ledger.left_option(tier)) == (first, None)
    for setting, value in other.set.items():
        told.event("wrote", setting=setting, address="unit", shown=value)
    assert (told.ledger.found_option(tier), told.ledger.left_option(tier)) == (first, other)
    assert (told.ledger.found_option(delay), told.ledger.left_option(delay)) == (kept, kept)
    for setting, value in first.set.items():
        told.event("wrote", setting=setting, address="unit", shown=value)
    assert (told.ledger.found_option(tier), told.ledger.left_option(tier)) == (first, first)


def test_a_choice_nobody_looked_at_before_it_was_written_has_no_as_found() -> None:
    """What it was then is not known, whatever it is now."""
    told = Told(demo_unit())
    told.enter("identity.orientation", "upflow")
    told.enter("identity.kit", "cedar")
    tier = demo_unit().role("blower-tier")
    assert tier is not None
    for setting, value in told.ledger.options(tier)[1].set.items():
        told.event("wrote", setting=setting, address="unit", shown=value)
    assert told.ledger.found_option(tier) is None
    assert told.ledger.left_option(tier) == told.ledger.options(tier)[1]


def test_a_choice_that_keeps_what_was_found_is_as_left_at_once() -> None:
    """It is decided and the control holds it; one that is not held yet is not left."""
    told = _ready()
    tier = demo_unit().role("blower-tier")
    assert tier is not None
    first = told.ledger.in_force(tier)
    assert first is not None
    told.event("chose", topic=tier.id, option=told.ledger.options(tier)[2].id)
    assert told.ledger.left_option(tier) is None
    told.event("chose", topic=tier.id, option=first.id)
    assert told.ledger.left_option(tier) == first


def test_a_setting_is_as_found_what_was_last_seen_before_anything_was_written() -> None:
    """A look that is typed anew counts before a write, not after one; nothing is left before a change."""
    told = _ready()
    told.event("found", setting="patience", address="unit", shown="notch 3")
    ledger = told.ledger
    found = ledger.found_at("patience", "unit")
    assert found is not None
    assert found.shown == ledger.shown("patience", "unit")
    assert ledger.left_at("patience", "unit") is None
    told.event("wrote", setting="trail", address="unit", shown="120")
    told.event("found", setting="patience", address="unit", shown="notch 5")
    ledger = told.ledger
    assert ledger.found_at("patience", "unit") == found
    assert ledger.left_at("patience", "unit") == ledger.shown("patience", "unit") != found.shown
    bare = Told(demo_unit())
    bare.event("wrote", setting="trail", address="unit", shown="120")
    assert bare.ledger.found_at("patience", "unit") is None
    late = bare.event("found", setting="patience", address="unit", shown="notch 5")
    bare.event("found", setting="patience", address="unit", shown="notch 3")
    assert bare.ledger.found_at("patience", "unit") == bare.ledger.acts[-2]
    assert bare.ledger.acts[-2].n == late


def test_what_an_instrument_in_hand_shows_is_as_found_until_another_takes_its_place() -> None:
    """The manometer was chosen before it was read with its ports open; another one was not read so."""
    told = _ready()

    def manometer(id: str) -> None:
        told.event(
            "used",
            field="identity.instrument.manometer",
            instrument=id,
            name=id,
            accuracy=["static_pressure 1 %"],
            calibrated_until="2033-01-31",
        )

    manometer("first")
    n = told.enter("blower.open_port", 0.5)
    assert _columns(told, "blower.open_port") == (n, 0)
    manometer("second")
    assert told.ledger.stale("blower.open_port")
    assert _columns(told, "blower.open_port") == (n, 0)
    again = told.enter("blower.open_port", 0.25)
    assert _columns(told, "blower.open_port") == (n, again)


def test_a_write_of_the_tier_parts_as_found_from_as_left() -> None:
    """The reading before is as found and stale; the one after is as left."""
    told = _ready()
    before = told.enter("blower.static.supply", 75.0)
    told.event("wrote", setting="air-letter", address="unit", shown="f")
    assert told.ledger.stale("blower.static.supply")
    assert told.ledger.as_left("blower.static.supply") is None
    after = told.enter("blower.static.supply", 91.0)
    ledger = told.ledger
    assert not ledger.stale("blower.static.supply")
    found, left = ledger.as_found("blower.static.supply"), ledger.as_left("blower.static.supply")
    assert found is not None
    assert left is not None
    assert (found.n, left.n) == (before, after)


def test_a_write_that_does_not_affect_a_reading_leaves_it_current() -> None:
    """The delay has nothing to do with static pressure."""
    told = _ready()
    told.enter("blower.static.supply", 75.0)
    told.event("wrote", setting="patience", address="unit", shown="notch 3")
    assert not told.ledger.stale("blower.static.supply")


LINE, TO_GROUND, WIRE = "electrical.line.l1_l2", "electrical.line.l1_ground", "electrical.circuit.1.conductor"


@pytest.mark.parametrize(
    ("mends", "part", "stale"),
    [
        ("EL-2 unit", {}, {LINE, TO_GROUND, STATIC}),
        ("EL-2 unit", {"part": "supply"}, {LINE, TO_GROUND, STATIC}),
        ("EL-2 unit", {"part": "circuit.1"}, {LINE, TO_GROUND, STATIC, WIRE}),
        ("EL-2 unit", {"part": "filter"}, {LINE, STATIC}),
        ("EL-6 unit.idle", {}, {LINE}),
        ("ID-2 unit", {}, {LINE}),
        ("BL-5 unit", {}, {LINE, STATIC}),
    ],
)
def test_a_mend_makes_stale_what_its_finding_rests_on_and_what_its_part_reaches(
    mends: str, part: dict[str, str], stale: set[str]
) -> None:
    """The part named, else every one that the finding can mean; the rest stands."""
    told = _ready()
    told.enter(LINE, 240.0)
    told.enter(TO_GROUND, 120.0)
    told.enter(WIRE, "6 AWG")
    told.enter(STATIC, 75.0)
    told.event("noted", text="done", mends=mends, affects=[LINE], **part)
    assert {id for id in (LINE, TO_GROUND, WIRE, STATIC) if told.ledger.stale(id)} == stale
    told.event("retracted", of=told.state.last_n, why="mistyped")
    assert not [id for id in (LINE, TO_GROUND, WIRE, STATIC) if told.ledger.stale(id)]


def test_the_option_in_force_needs_all_of_its_settings() -> None:
    """A pair of parameters, half changed, is no option on offer."""
    told = _ready()
    tier = demo_unit().role("blower-tier")
    assert tier is not None
    for setting, value in tier.options("upflow", "cedar")[2].set.items():
        told.event("wrote", setting=setting, address="unit", shown=value)
    option = told.ledger.in_force(tier)
    assert option is not None
    assert option.id == tier.options("upflow", "cedar")[2].id
    told.event("wrote", setting="air-letter", address="unit", shown="e")
    assert told.ledger.in_force(tier) is None


def test_a_coded_setting_is_known_by_its_value_not_by_its_display() -> None:
    """What the control displays is translated by the code table."""
    told = _ready()
    code = demo_unit().code[1]
    told.event("read_back", setting=code.setting, address="system", shown=code.shown)
    assert told.ledger.shown(code.setting, "system") == code.value


def test_fields_appear_and_go_with_what_is_fitted() -> None:
    """No kit, no heat fields; two circuits, two breakers to read."""
    told = Told(demo_unit())
    assert not any(id.startswith("heat.stage") for id in told.ledger.fields)
    for kit in demo_unit().heater:
        told.enter("identity.kit", kit.id)
        devices = [id for id in told.ledger.fields if id.endswith(".device")]
        assert len(devices) == len(kit.circuit)
    told.enter("identity.kit", "none")
    assert not any(id.startswith("heat.stage") for id in told.ledger.fields)


def test_what_a_topic_offers_hangs_on_what_another_is_to_set() -> None:
    """By the choice taken, else by what was last seen; unknown, nothing is on offer."""
    text = SAMPLE.replace(
        'value = "10 min"', 'value = "10 min"\nwhen = { setting = { bank = "none" } }'
    ).replace('value = "30 min"', 'value = "30 min"\nwhen = { setting = { bank = ["one", "both"] } }')
    told = Told(load_bytes(text.encode(), "hung.toml").equipment)
    delay = told.equipment.role("auxiliary-delay")
    assert delay is not None
    assert told.ledger.options(delay) == ()
    told.event("found", setting="bank", address="unit", shown="none")
    assert [o.id for o in told.ledger.options(delay)] == ["short"]
    told.event("found", setting="wait", address="wall", shown="at 30")
    assert told.ledger.in_force(delay) is None
    told.enter("identity.kit", "K9")
    told.event("chose", topic="auxiliary", option="both")
    assert [o.id for o in told.ledger.options(delay)] == ["long"]
