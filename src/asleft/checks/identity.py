"""Checks of what stands there: unit, kit, addresses, instruments, outdoor unit."""

from __future__ import annotations

import re
from collections import Counter
from typing import TYPE_CHECKING

from asleft.checks.about import NONE_SAID, About
from asleft.checks.case import Case
from asleft.checks.listing import check
from asleft.session.acts import entry_of

if TYPE_CHECKING:
    from asleft.checks.finding import Finding
    from asleft.session.state import InHand


def _plain(text: str) -> str:
    return " ".join(text.split()).casefold()


@check("ID-1")
def model(a: About) -> Finding:
    """The plate's model against the file's."""
    (found,) = a.words("identity.model")
    meant = a.ledger.equipment.unit.model
    if _plain(found) in (_plain(meant), _plain(f"{a.ledger.equipment.unit.maker} {meant}")):
        return a.passed(f"The plate says {meant}, as the equipment file does.")
    return a.failed(f"The plate says {found}; the equipment file is for {meant}.")


@check("ID-2")
def serial(a: About) -> Finding:
    """The serial number against the maker's pattern."""
    pattern = a.ledger.equipment.unit.serial_pattern
    if pattern is None:
        return a.not_applicable(NONE_SAID)
    (found,) = a.words("identity.serial")
    if re.fullmatch(pattern, found.strip()):
        return a.passed(f"{found} is built as this maker's serial numbers are.")
    return a.failed(f"{found} is not built as this maker's serial numbers are.")


@check("ID-3")
def orientation(a: About) -> Finding:
    """Unit, tier settings and kit in the orientation found."""
    equipment = a.ledger.equipment
    if not equipment.unit.orientations:
        return a.not_applicable(NONE_SAID)
    (found,) = a.words("identity.orientation")
    if found not in equipment.unit.orientations:
        return a.failed(f"The unit may not be installed {found}.")
    if not a.ledger.kit_known:
        a.have("identity.kit")
    a.rest_on("identity.kit", shown=False)
    topic, kit = equipment.role("blower-tier"), a.ledger.kit
    if topic is not None and not a.ledger.options(topic):
        return a.failed(f"The unit has no blower settings for {found}.")
    if kit is not None and kit.orientations and found not in kit.orientations:
        return a.failed(
            f"Kit {kit.id} may not be used {found}, only {', '.join(kit.orientations)}.",
            do="Fit a kit that is allowed in this orientation, or turn the unit.",
        )
    return a.passed(f"Unit, blower settings and kit all allow {found}.")


@check("ID-4")
def kit_accepted(a: About) -> Finding:
    """The kit fitted against the unit's list and the supply."""
    if not a.ledger.equipment.heater:
        return a.not_applicable("The unit takes no heater kit.")
    (found,) = a.words("identity.kit")
    if found == "none":
        return a.not_applicable("No heater kit is fitted.")
    kit = a.ledger.equipment.kit(found)
    if kit is None:
        return a.failed(f"{found} is no kit that this unit accepts.")
    supply = a.supply()
    if kit.supplies and supply.id not in kit.supplies:
        return a.failed(
            f"Kit {kit.id} is rated {a.show(kit.voltage, 'voltage')} and not listed for the "
            f"{a.show(supply.nominal, 'voltage')} supply."
        )
    if kit.phases > supply.phases:
        return a.failed(f"Kit {kit.id} takes three phases; the supply declared has one.")
    return a.passed(f"Kit {kit.id} is accepted, and listed for {a.show(supply.nominal, 'voltage')}.")


@check("ID-5")
def altitude(a: About) -> Finding:
    """The site's altitude; without it sea level is assumed."""
    a.rest_on("identity.altitude")
    found = a.case.known("identity.altitude")
    if found is None:
        return a.not_measured("Altitude not entered: sea level is assumed.")
    return a.passed(
        f"Altitude {a.show(found.value, 'length')}: air carries {a.estimate.pressure_ratio:.2f} of what it "
        "does at sea level."
    )


@check("ID-6")
def addresses(a: About) -> Finding:
    """Every address shown, each as the file has it, none twice among units."""
    places = a.ledger.equipment.address
    if not places or not any(f"identity.address.{p.id}" in a.ledger.fields for p in places):
        return a.not_applicable("Nothing on this control is told apart by address.")
    shown = dict(zip(places, a.words(*(f"identity.address.{p.id}" for p in places)), strict=True))
    wrong = [p for p in places if p.number is not None and _plain(shown[p]) != _plain(p.number)]
    if wrong:
        p = wrong[0]
        return a.failed(f"{p.label} shows {shown[p]}; the equipment file has {p.number}.")
    units = Counter(_plain(shown[p]) for p in places if p.scope == "unit")
    twice = [number for number, count in units.items() if count > 1]
    if twice:
        return a.failed(f"Two units share the address {twice[0]}.")
    return a.passed("Every address is there, and no two units share one.")


def instruments(case: Case) -> tuple[str, ...]:
    """A subject for each instrument taken into use, else the unit."""
    named = dict.fromkeys("-".join(u.instrument.split()) for u in case.ledger.state.used)
    return tuple(f"instrument.{name}" for name in named) or ("unit",)


@check("ID-7", instruments)
def instrument(a: About) -> Finding:
    """An instrument's accuracy and calibration date, on the day it was taken into use."""
    used = [u for u in a.ledger.state.used if a.subject == "instrument." + "-".join(u.instrument.split())]
    roles = ("meter", "clamp", "manometer", "thermometer")
    if not used:
        a.need(*(entry_of(f"identity.instrument.{role}") for role in roles))
        return a.not_measured("No instrument has been taken into use yet.")
    last = used[-1]
    a.rest(last.n)
    a.need(entry_of(f"identity.instrument.{last.role}"))
    day = _day(a, last)
    if not last.accuracy:
        return a.failed(f"Nobody knows the accuracy of {last.name}: nothing it reads can pass outright.")
    if not last.calibrated_until:
        return a.failed(f"{last.name} has no calibration date.")
    if last.calibrated_until < day:
        return a.failed(f"The calibration of {last.name} ran out on {last.calibrated_until}.")
    return a.passed(f"{last.name} is calibrated until {last.calibrated_until}.")


def _day(a: About, used: InHand) -> str:
    return next((e.at[:10] for e in a.ledger.state.history if e.n == used.n), "")


@check("ID-8")
def outdoor(a: About) -> Finding:
    """The outdoor unit's plate against the pairing's list."""
    pairing = a.pairing()
    if pairing.lowest_cooling is None and pairing.highest_cooling is None:
        return a.not_applicable(NONE_SAID)
    (capacity,) = a.numbers("identity.outdoor_capacity")
    return a.judge(
        f"Cooling capacity on the plate of the outdoor unit, as {pairing.label}",
        capacity,
        "heat_rate",
        pairing.lowest_cooling,
        pairing.highest_cooling,
    )
