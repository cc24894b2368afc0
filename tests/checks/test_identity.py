"""Checks of what stands there."""

from __future__ import annotations

import pytest

from checks.visits import Row, never, say, undone, use, with_kit, with_part, without_kits
from support import demo_unit

SMALL = "identity.outdoor_capacity"
ROWS = (
    Row("the plate is the file's model", "ID-1 unit", "pass"),
    Row(
        "maker and model together are the model",
        "ID-1 unit",
        "pass",
        (say("identity.model", "tarnfield LOWMOOR  lm36e"),),
    ),
    Row("another model", "ID-1 unit", "fail", (say("identity.model", "Lowmoor LM48E"),), says="LM48E"),
    Row("no model yet", "ID-1 unit", "not measured", (never("identity.model"),), fields=("identity.model",)),
    Row("a serial of the maker's kind", "ID-2 unit", "pass", severity="advise"),
    Row("a letter too many", "ID-2 unit", "fail", (say("identity.serial", "LM36-31C-00412A"),)),
    Row(
        "no serial yet", "ID-2 unit", "not measured", (never("identity.serial"),), fields=("identity.serial",)
    ),
    Row(
        "a maker who does not say",
        "ID-2 unit",
        "not applicable",
        equipment=with_part("unit", serial_pattern=None),
    ),
    Row("an orientation that all allow", "ID-3 unit", "pass", severity="hold"),
    Row("one the unit does not know", "ID-3 unit", "fail", (say("identity.orientation", "sideways"),)),
    Row(
        "one that the kit may not be used in",
        "ID-3 unit",
        "fail",
        (say("identity.kit", "elm"), say("identity.orientation", "downflow")),
        says="elm",
    ),
    Row(
        "one without blower settings",
        "ID-3 unit",
        "fail",
        (say("identity.orientation", "hung"),),
        with_part("unit", orientations=("upflow", "hung")),
        says="blower settings",
    ),
    Row("orientation not said", "ID-3 unit", "not measured", (never("identity.orientation"),)),
    Row("kit not said", "ID-3 unit", "not measured", (never("identity.kit"),), fields=("identity.kit",)),
    Row(
        "a unit without orientations",
        "ID-3 unit",
        "not applicable",
        equipment=with_part("unit", orientations=()),
    ),
    Row("a kit listed for the supply", "ID-4 unit", "pass", severity="hold"),
    Row(
        "a kit not listed for it",
        "ID-4 unit",
        "fail",
        (say("identity.kit", "elm"), say("identity.supply", "208")),
        says="208",
    ),
    Row(
        "a kit that names no supply",
        "ID-4 unit",
        "pass",
        (say("identity.supply", "208"),),
        with_kit(supplies=()),
    ),
    Row(
        "three phases on a supply of one",
        "ID-4 unit",
        "fail",
        equipment=with_kit(phases=3, supplies=()),
        says="three phases",
    ),
    Row("a kit of another unit", "ID-4 unit", "fail", (say("identity.kit", "HK999"),)),
    Row("no kit", "ID-4 unit", "not applicable", (say("identity.kit", "none"),)),
    Row("a unit that takes none", "ID-4 unit", "not applicable", equipment=without_kits()),
    Row(
        "supply not said",
        "ID-4 unit",
        "not measured",
        (never("identity.supply"),),
        fields=("identity.supply",),
    ),
    Row("altitude known", "ID-5 unit", "pass", severity="advise"),
    Row("altitude assumed", "ID-5 unit", "not measured", (never("identity.altitude"),), says="sea level"),
    Row("addresses as filed", "ID-6 unit", "pass"),
    Row("an address that shows another number", "ID-6 unit", "fail", (say("identity.address.unit", "2"),)),
    Row("an address not looked at", "ID-6 unit", "not measured", (never("identity.address.system"),)),
    Row(
        "no addresses",
        "ID-6 unit",
        "not applicable",
        equipment=demo_unit().model_copy(update={"address": ()}),
    ),
    Row("an instrument in calibration", "ID-7 instrument.meter-1", "pass", severity="advise"),
    Row(
        "on its last day",
        "ID-7 instrument.meter-2",
        "pass",
        (use("meter", "meter-2", ("voltage 1 %",), until="2031-05-04"),),
    ),
    Row(
        "a day too old",
        "ID-7 instrument.meter-2",
        "fail",
        (use("meter", "meter-2", ("voltage 1 %",), until="2031-05-03"),),
        says="2031-05-03",
    ),
    Row("no accuracy", "ID-7 instrument.meter-2", "fail", (use("meter", "meter-2", ()),)),
    Row("no date", "ID-7 instrument.meter-2", "fail", (use("meter", "meter-2", ("voltage 1 %",), until=""),)),
    Row(
        "a name in words is one subject",
        "ID-7 instrument.my-own-meter",
        "fail",
        (use("meter", "my own meter", ()),),
    ),
    Row(
        "no instrument yet",
        "ID-7 unit",
        "not measured",
        (undone("used"),),
        fields=("identity.instrument.meter",),
    ),
    Row("the outdoor unit of the pairing", "ID-8 unit", "pass"),
    Row("exactly on the edge of its range", "ID-8 unit", "pass", (say(SMALL, "34500 Btu/h"),)),
    Row("one that is smaller", "ID-8 unit", "fail", (say(SMALL, "33000 Btu/h"),)),
    Row(
        "smaller by less than its spread", "ID-8 unit", "conditional fail", (say(SMALL, "34400 ± 300 Btu/h"),)
    ),
    Row("its plate not read", "ID-8 unit", "not measured", (never(SMALL),), fields=(SMALL,)),
    Row("no heat pump", "ID-8 unit", "not applicable", (say("identity.outdoor", "none"),)),
)


@pytest.mark.parametrize("row", ROWS, ids=lambda r: f"{r.key}: {r.behaviour}")
def test_identity(row: Row) -> None:
    """Each row is one behaviour."""
    row.prove()


def test_two_units_at_one_address_are_told() -> None:
    """A value written there would change both."""
    unit = demo_unit()
    second = unit.address[1].model_copy(update={"id": "second", "number": None})
    twins = unit.model_copy(update={"address": (*unit.address, second)})
    Row("two at 1", "ID-6 unit", "fail", (say("identity.address.second", "1"),), twins, says="share").prove()
    Row("one at 2", "ID-6 unit", "pass", (say("identity.address.second", "2"),), twins).prove()
