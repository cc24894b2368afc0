"""Is this the unit that the file describes, fitted as it may be, measured with sound instruments?"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace

from asleft.checks.case import NOT_SAID, Case, check
from asleft.checks.finding import Finding
from asleft.quantity import show


@check("ID-1")
def model(case: Case) -> Iterator[Finding]:
    """The model on the plate is the file's model."""
    read, meant = case.word("identity.model"), case.equipment.unit.model
    if read is None:
        yield case.not_measured(("identity.model",))
        return
    same = " ".join(read.split()).casefold() == " ".join(meant.split()).casefold()
    text = (
        f"The plate reads {read}." if same else f"The plate reads {read}, the equipment file is for {meant}."
    )
    yield case.settled(
        same, text, ("identity.model",), do="Read the plate again; on another unit begin a new session."
    )


@check("ID-2")
def serial(case: Case) -> Iterator[Finding]:
    """The serial fits the maker's pattern."""
    pattern, read = case.equipment.unit.serial_pattern, case.word("identity.serial")
    if pattern is None:
        yield case.not_applicable(NOT_SAID)
    elif read is None:
        yield case.not_measured(("identity.serial",))
    else:
        fits = re.fullmatch(pattern, read) is not None
        text = f"Serial number {read} {'fits' if fits else 'does not fit'} the maker's pattern."
        yield case.settled(fits, text, ("identity.serial",), do="Copy the serial number again.")


@check("ID-3")
def orientation(case: Case) -> Iterator[Finding]:
    """The orientation is one that unit, tier settings and kit support."""
    equipment, read = case.equipment, case.word("identity.orientation")
    if not equipment.unit.orientations:
        yield case.not_applicable(NOT_SAID)
        return
    fields = ("identity.orientation", "identity.kit") if equipment.heater else ("identity.orientation",)
    if read is None or not case.ledger.kit_known:
        yield case.not_measured(fields)
        return
    kit, tier = case.ledger.kit, equipment.role("blower-tier")
    wrong = []
    if read not in equipment.unit.orientations:
        wrong.append("the unit does not list it")
    if kit and kit.orientations and read not in kit.orientations:
        wrong.append(f"the kit {kit.label} is not allowed in it")
    if tier and not case.ledger.options(tier):
        wrong.append("no blower tier has settings for it")
    text = (
        f"Installed {read}"
        + (": " + ", ".join(wrong) if wrong else ", which unit, tiers and kit support")
        + "."
    )
    yield case.settled(
        not wrong, text, fields, do="Do not enable heat; fit a kit that is allowed here, or turn the unit."
    )


@check("ID-4")
def kit_and_supply(case: Case) -> Iterator[Finding]:
    """The kit is one that the unit accepts, rated or listed for the supply found."""
    if (missing := case.kit_missing()) is not None:
        yield missing
        return
    kit, supply = case.ledger.kit, case.ledger.supply
    assert kit is not None
    fields = ("identity.kit", "identity.supply", "electrical.line.l1_l2")
    if supply is None:
        yield case.not_measured(fields)
        return
    listed = not kit.supplies or supply.id in kit.supplies
    right_phases = kit.phases == supply.phases
    volts = case.number("electrical.line.l1_l2")
    found = _supply_of_volts(case, volts.value) if volts else supply.id
    agrees = found == supply.id or volts is None
    text = f"{kit.label} on the {show(supply.nominal, 'voltage', digits=0)} supply"
    if not agrees and volts is not None:
        text += f", but {show(volts.value, 'voltage')} was measured"
    elif not listed:
        text += ": not listed for it"
    elif not right_phases:
        text += f": it has {supply.phases} phase, the kit {kit.phases}"
    do = "Do not energise the heat: the kit is for another supply. Check supply and kit label."
    yield case.settled(listed and right_phases and agrees, text + ".", fields, do=do)


def _supply_of_volts(case: Case, volts: float) -> str:
    """The listed supply whose range holds these volts, the nearest nominal first."""
    by_distance = sorted(case.equipment.supply, key=lambda s: abs(s.nominal - volts))
    inside = [s for s in by_distance if s.lowest <= volts <= s.highest]
    declared = case.ledger.supply
    if declared is not None and declared in inside:
        return declared.id
    return inside[0].id if inside else declared.id if declared else ""


@check("ID-5")
def altitude(case: Case) -> Iterator[Finding]:
    """The altitude is known."""
    entry = case.number("identity.altitude")
    if entry is None:
        yield case.not_measured(
            ("identity.altitude",), text="Sea level is assumed until the altitude is entered."
        )
        return
    ratio = case.estimate.pressure_ratio
    text = f"At {show(entry.value, 'length')} air carries {ratio:.1%} of its heat at sea level."
    yield case.settled(True, text, ("identity.altitude",))


@check("ID-6")
def addresses(case: Case) -> Iterator[Finding]:
    """Control addresses are unique and complete."""
    listed = case.equipment.address
    if not listed:
        yield case.not_applicable(NOT_SAID)
        return
    fields = tuple(f"identity.address.{a.id}" for a in listed)
    shown = {a.id: case.word(f) for a, f in zip(listed, fields, strict=True)}
    if any(value is None for value in shown.values()):
        yield case.not_measured(fields)
        return
    values = list(shown.values())
    twice = sorted({str(v) for v in values if values.count(v) > 1})
    wrong = [a for a in listed if a.number is not None and shown[a.id] != a.number]
    if twice:
        text = f"More than one unit answers to {', '.join(twice)}."
    elif wrong:
        text = "; ".join(f"{a.label} shows {shown[a.id]}, {a.number} is meant" for a in wrong) + "."
    else:
        text = f"All {len(listed)} addresses answer, each under its own number."
    yield case.settled(
        not twice and not wrong, text, fields, do="Give every unit the address it is meant to have."
    )


@check("ID-7")
def instruments(case: Case) -> Iterator[Finding]:
    """Every instrument used has an accuracy and is inside its calibration date."""
    used = {u.instrument: u for u in case.ledger.state.used}
    if not used:
        yield case.not_measured(("identity.instrument.meter",), text="No instrument is named yet.")
        return
    days = {event.n: event.at[:10] for event in case.ledger.state.history}
    for id, instrument in used.items():
        wrong = []
        if not instrument.accuracy:
            wrong.append("its accuracy is not known")
        if not instrument.calibrated_until:
            wrong.append("its calibration date is not known")
        elif instrument.calibrated_until < days[instrument.n]:
            wrong.append(f"its calibration ended on {instrument.calibrated_until}")
        text = f"{instrument.name}: " + (" and ".join(wrong) if wrong else "accurate and in date") + "."
        finding = case.settled(
            not wrong, text, (), f"instrument.{id}", do="Use an instrument that is in date."
        )
        yield replace(finding, rests_on=(instrument.n,))


@check("ID-8")
def outdoor(case: Case) -> Iterator[Finding]:
    """The outdoor unit's capacity is inside the listed pairing."""
    pump = case.equipment.heat_pump
    if pump is None or not pump.pairing:
        yield case.not_applicable(NOT_SAID)
        return
    if case.ledger.situation.outdoor is None:
        yield case.not_measured(("identity.outdoor",))
        return
    pairing = case.ledger.pairing
    if pairing is None:
        yield case.not_applicable("There is no heat pump.")
        return
    if pairing.lowest_cooling is None and pairing.highest_cooling is None:
        yield case.not_applicable(NOT_SAID)
        return
    capacity = case.number("identity.outdoor_capacity")
    if capacity is None:
        yield case.not_measured(("identity.outdoor", "identity.outdoor_capacity"))
        return
    finding = case.reading(
        capacity,
        pairing.lowest_cooling,
        pairing.highest_cooling,
        do="Check the outdoor unit's plate against the pairing list.",
    )
    yield replace(finding, fields=("identity.outdoor", "identity.outdoor_capacity"))
