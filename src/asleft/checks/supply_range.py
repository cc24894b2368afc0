"""Checks of the line voltage against the published ranges of supply systems, and of the heat it leaves."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from asleft.calc import heater_power
from asleft.checks.about import About
from asleft.checks.finding import FAILS
from asleft.checks.listing import check
from asleft.installation.line_fields import IDLE, LOADED, kit_fields, line_fields
from asleft.tables import iec_nominals, iec_supply_range, supply_range

if TYPE_CHECKING:
    from asleft.checks.against import Against
    from asleft.checks.finding import Finding
    from asleft.equipment.model import Supply

AT = "terminals"
"""Where line voltages are read: utilization voltage, not that of the service."""
IEC_HERTZ = 50


@dataclass(frozen=True, slots=True)
class Published:
    """A published range of a supply at the unit's terminals."""

    name: str
    lowest_v: float
    highest_v: float


def published_ranges(supply: Supply) -> tuple[Published, ...]:
    """Ranges A and B of ANSI C84.1, or the one range of IEC 60038 where that is the supply's standard."""
    if supply.frequency == IEC_HERTZ or supply.nominal in iec_nominals():
        found = {"the range of IEC 60038": iec_supply_range(AT)}
    else:
        found = {f"range {letter} of ANSI C84.1": supply_range(AT, letter) for letter in ("A", "B")}
    volts = supply.nominal
    return tuple(Published(name, volts * low, volts * high) for name, (low, high) in found.items())


@check("EL-3")
def published_range(a: About) -> Finding:
    """Every line voltage against the ranges published for its supply, with heat on where that was read."""
    idle = line_fields(a.ledger, IDLE)
    best, *wider = published_ranges(a.supply())
    a.numbers(*idle)
    read = (*idle, *(f for f in line_fields(a.ledger, LOADED) if a.case.known(f) is not None))
    inside = _worst(a, read, best)
    if inside.verdict not in FAILS:
        return a.say(inside, extra=f"Inside {best.name}.")
    for published in wider:
        beyond = _worst(a, read, published)
        if beyond.verdict in FAILS:
            return a.say(beyond, extra=f"Outside {published.name} too.")
        return a.say(inside, extra=f"Outside {best.name}, inside {published.name}: for a short time only.")
    return a.say(inside, extra=f"Outside {best.name}.")


def _worst(a: About, fields: tuple[str, ...], published: Published) -> Against:
    read = zip(fields, a.numbers(*fields), strict=True)
    return a.worst(
        a.hold_against(a.case.label(f), k, "voltage", published.lowest_v, published.highest_v)
        for f, k in read
    )


@check("EL-17")
def heat_given(a: About) -> Finding:
    """What the kit gives, against what it would give at the least volts that its supply should have."""
    kit, supply = a.kit(), a.supply()
    a.heat_on()
    a.numbers(*kit_fields(a.ledger, LOADED))
    heat = a.estimate.heater_power_w
    if heat is None:
        return a.not_measured(f"{a.rule.title}: the voltage read with heat on gives none.")
    a.rest_on(*a.estimate.rests.get("heat", ()))
    range_ = published_ranges(supply)[0]
    least_w = heater_power(kit.power, kit.voltage, range_.lowest_v, kit.phases).power_w
    rated = f"{a.show(kit.power, 'electric_power')} at {a.show(kit.voltage, 'voltage')}"
    part = heat.value / kit.power
    return a.judge(
        f"Kit {kit.id}, rated {rated}, gives {part:.0%} of that",
        heat,
        "electric_power",
        least_w,
        None,
        working=(
            f"{a.measured(heat, 'electric_power')} / {a.show(kit.power, 'electric_power')} = {part:.0%}; "
            f"least {kit.power:g} W x ({range_.lowest_v:.1f} V / {kit.voltage:g} V)^2 = "
            f"{a.show(least_w, 'electric_power')}"
        ),
    )
