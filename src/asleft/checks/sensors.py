"""The check of what the control senses: the weather and the room."""

from __future__ import annotations

from math import sqrt
from typing import TYPE_CHECKING

from asleft.calc import Measured
from asleft.checks.about import About
from asleft.checks.listing import check

if TYPE_CHECKING:
    from asleft.checks.finding import Finding

SENSORS = (
    ("Outdoor sensor off by", "heat.outdoor.reference", "heat.outdoor.shown", 3.0 / 1.8),
    ("Room sensor off by", "heat.room.reference", "heat.room.shown", 2.0 / 1.8),
)
"""Each sensor: its reference, what the control shows, how far apart they may be in K (common practice)."""


@check("HS-14")
def sensors(a: About) -> Finding:
    """What the control shows of weather and room, each against a thermometer beside the sensor."""
    if "identity.outdoor" in a.ledger.fields:
        a.fact("identity.outdoor")
    here = [s for s in SENSORS if s[2] in a.ledger.fields]
    if not here:
        return a.not_applicable("The unit warms no room: its control holds nothing back by a sensor.")
    read = a.numbers(*(field for _, beside, shown, _ in here for field in (beside, shown)))
    judged, working = [], []
    for (what, _, _, most_k), true, shown in zip(here, read[::2], read[1::2], strict=True):
        off = Measured(shown.value - true.value, sqrt(true.expanded**2 + shown.expanded**2))
        judged.append(a.hold_against(what, off, "temperature_difference", -most_k, most_k))
        working.append(
            f"shown {a.show(shown.value, 'temperature')} - reference {a.show(true.value, 'temperature')} = "
            f"{a.measured(off, 'temperature_difference')}"
        )
    worst = a.worst(judged)
    others = " ".join(other.sentence() for other in judged if other is not worst)
    return a.say(worst, working="; ".join(working), extra=others)
