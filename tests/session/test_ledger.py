"""As found, as left, stale, in force: all from the order of events."""

from __future__ import annotations

from asleft.equipment.load import load_bytes
from equipment.sample import SAMPLE
from support import Told, demo_unit


def _ready() -> Told:
    told = Told(demo_unit())
    told.enter("identity.orientation", "upflow")
    told.enter("identity.kit", "HK96")
    told.found_all()
    return told


def test_a_reading_that_nothing_changed_is_as_found_and_as_left() -> None:
    """Without a write that affects it, both columns show it."""
    told = _ready()
    n = told.enter("blower.static.supply", 75.0)
    found, left = told.ledger.as_found("blower.static.supply"), told.ledger.as_left("blower.static.supply")
    assert found is not None
    assert left is not None
    assert found.n == left.n == n


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
    for entry in (told.ledger.as_found("blower.open_port"), told.ledger.as_left("blower.open_port")):
        assert entry is not None
        assert entry.n == n
    manometer("second")
    assert told.ledger.stale("blower.open_port")
    assert told.ledger.as_left("blower.open_port") is None


def test_a_write_of_the_tier_parts_as_found_from_as_left() -> None:
    """The reading before is as found and stale; the one after is as left."""
    told = _ready()
    before = told.enter("blower.static.supply", 75.0)
    told.event("wrote", setting="air-band", address="unit", shown="2")
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
    told.event("wrote", setting="patience", address="system", shown="P 16")
    assert not told.ledger.stale("blower.static.supply")


def test_a_mend_makes_exactly_its_fields_stale() -> None:
    """What was mended has to be taken again, the rest not."""
    told = _ready()
    told.enter("electrical.line.l1_l2", 240.0)
    told.enter("electrical.line.l1_ground", 120.0)
    told.event("noted", text="utility called", mends="EL-2 unit", affects=["electrical.line.l1_l2"])
    assert told.ledger.stale("electrical.line.l1_l2")
    assert not told.ledger.stale("electrical.line.l1_ground")


def test_the_option_in_force_needs_all_of_its_settings() -> None:
    """A pair of parameters, half changed, is no option on offer."""
    told = _ready()
    tier = demo_unit().role("blower-tier")
    assert tier is not None
    for setting, value in tier.options("upflow", "HK96")[2].set.items():
        told.event("wrote", setting=setting, address="unit", shown=value)
    option = told.ledger.in_force(tier)
    assert option is not None
    assert option.id == tier.options("upflow", "HK96")[2].id
    told.event("wrote", setting="air-step", address="unit", shown="e")
    assert told.ledger.in_force(tier) is None


def test_a_coded_setting_is_known_by_its_value_not_by_its_display() -> None:
    """What the control displays is translated by the code table."""
    told = _ready()
    code = demo_unit().code[1]
    told.event("read_back", setting=code.setting, address="system", shown=code.shown)
    assert told.ledger.shown(code.setting, "system") == code.value


def test_acknowledgements_lapse_as_power_and_meters_change() -> None:
    """EL-1 at power on, EL-19 at power off, EL-18 when another meter comes into use."""
    told = _ready()
    for id in ("EL-1", "EL-18", "EL-19"):
        assert not told.ledger.acknowledged(id)
        told.event("acknowledged", id=id)
        assert told.ledger.acknowledged(id)
    told.event("powered", state="off")
    assert not told.ledger.acknowledged("EL-19")
    assert told.ledger.acknowledged("EL-1")
    told.event("powered", state="on")
    assert not told.ledger.acknowledged("EL-1")
    assert told.ledger.acknowledged("EL-18")
    told.event("used", field="identity.instrument.meter", instrument="x", name="x", accuracy=[])
    assert not told.ledger.acknowledged("EL-18")


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
