"""Checks of devices, conductors and the division of a heater, by the NEC where it governs."""

from __future__ import annotations

from typing import TYPE_CHECKING

from asleft.calc import (
    Measured,
    conductor_ampacity,
    divided_parts,
    heater_current,
    largest_device,
    overcurrent_device,
)
from asleft.checks.about import About, Settled
from asleft.checks.listing import check
from asleft.checks.listing import circuits as each_circuit

if TYPE_CHECKING:
    from asleft.checks.finding import Finding
    from asleft.equipment.model import Circuit, Heater
    from asleft.session.readings import Known

CONTINUOUS = 1.25
"""Fixed electric heat counts as continuous load: NEC 424.4(B)."""
PART_A, PART_DEVICE_A = 48.0, 60.0
"""Largest part of a divided heater and of the device that protects its elements: NEC 424.22(B)."""


def by_nec(a: About) -> bool:
    """Whether the NEC governs; not measured until the code in force is known."""
    return a.fact("identity.code").startswith("NEC")


def heat_amps(kit: Heater, circuit: Circuit) -> float:
    """Rated current of the elements on a circuit."""
    watts = sum(s.power for s in kit.stage if s.id in circuit.stages)
    return heater_current(watts, kit.voltage, kit.phases)


def load_amps(a: About, kit: Heater, circuit: Circuit) -> float:
    """Rated current of everything on a circuit, the blower where it is fed from it."""
    blower = a.ledger.equipment.blower.full_load_current if circuit.feeds_blower else None
    return heat_amps(kit, circuit) + (blower or 0.0)


def minimum(a: About, kit: Heater, circuit: Circuit) -> tuple[float, str]:
    """Least ampacity of a circuit and how it comes about; a marked minimum holds the 125 % already."""
    if circuit.minimum is not None:
        return circuit.minimum, f"marked minimum {a.show(circuit.minimum, 'current')}"
    load = load_amps(a, kit, circuit)
    least = CONTINUOUS * load
    return least, f"1.25 x {a.show(load, 'current')} = {a.show(least, 'current')}"


def kit_and_circuit(a: About) -> tuple[Heater, Circuit]:
    """The kit fitted and the circuit in question; not applicable where the maker lists none."""
    kit = a.kit()
    if a.subject.startswith("unit"):
        raise Settled(a.not_applicable(f"The maker lists no circuits of kit {kit.id}."))
    return kit, kit.circuit[a.n - 1]


def _fields(n: int, *names: str) -> tuple[str, ...]:
    return tuple(f"electrical.circuit.{n}.{name}" for name in names)


def _conductor(a: About, circuit: Circuit) -> tuple[str, str, float, str]:
    """Size, material and ampacity of a circuit's conductor, and the working."""
    size_field, material_field, insulation_field = _fields(a.n, "conductor", "material", "insulation")
    size, material, insulation = a.words(size_field, material_field, insulation_field)
    ambient, count = a.numbers(*_fields(a.n, "ambient", "conductors"))
    amps = conductor_ampacity(
        size, material, float(circuit.terminals), float(insulation), ambient.value, round(count.value)
    )
    working = (
        f"{size} {material}, {insulation} degC insulation, {circuit.terminals:g} degC terminals, "
        f"{a.show(ambient.value, 'temperature')}, {round(count.value)} conductors: {a.show(amps, 'current')}"
    )
    return size, material, amps, working


@check("EL-8", each_circuit)
def device(a: About) -> Finding:
    """A circuit's device between its least and its greatest."""
    kit, circuit = kit_and_circuit(a)
    nec = by_nec(a)
    (rating,) = a.numbers(*_fields(a.n, "device"))
    if nec:
        least, how = minimum(a, kit, circuit)
        most, most_how = circuit.maximum, "marked maximum"
        if most is None:
            _, _, amps, _ = _conductor(a, circuit)
            most, most_how = overcurrent_device(amps), "next standard size above the conductor's ampacity"
    else:
        (capacity,) = a.numbers(*_fields(a.n, "capacity"))
        least = load_amps(a, kit, circuit)
        how = f"design current {a.show(least, 'current')}"
        most = min(capacity.value, circuit.maximum or capacity.value)
        most_how = "conductor's capacity" if most == capacity.value else "marked maximum"
    return _between(a, rating, least, most, f"{how}; {most_how} {a.show(most, 'current')}")


def _between(a: About, rating: Known, least: float, most: float, how: str) -> Finding:
    """Too large is a hold, too small a correct."""
    what, low, high = f"Device of circuit {a.n}", a.show(least, "current"), a.show(most, "current")
    if most < least:
        below = a.hold_against(what, rating, "current", None, most)
        return a.finding(
            "fail",
            f"{what}: no device is at least {low} and at most {high}.",
            against=below,
            working=how,
            do="Fit a larger conductor, or a smaller kit.",
        )
    if rating.value < least:
        return a.judge(
            what,
            rating,
            "current",
            least,
            most,
            working=how,
            severity="correct",
            do=f"Fit a larger device, at least {low} and at most {high}.",
        )
    return a.judge(what, rating, "current", least, most, working=how)


@check("EL-9", each_circuit)
def conductor(a: About) -> Finding:
    """A circuit's conductor carries its load, and its device protects it."""
    kit, circuit = kit_and_circuit(a)
    nec = by_nec(a)
    (rating,) = a.numbers(*_fields(a.n, "device"))
    if nec:
        size, material, amps, working = _conductor(a, circuit)
        least, how = minimum(a, kit, circuit)
        most = largest_device(size, amps, material)
    else:
        (capacity,) = a.numbers(*_fields(a.n, "capacity"))
        amps, least, most = capacity.value, load_amps(a, kit, circuit), capacity.value
        working, how = f"capacity entered {a.show(amps, 'current')}", "design current"
    working = f"{working}; {how}; largest device {a.show(most, 'current')}"
    carries = a.hold_against(
        f"Ampacity of the conductor of circuit {a.n}", Measured(amps, 0.0), "current", least, None
    )
    protected = a.hold_against(
        f"Device that protects the conductor of circuit {a.n}", rating, "current", None, most
    )
    do = None
    if carries.verdict == "pass" or protected.rank < carries.rank:
        do = f"Fit a device of at most {a.show(most, 'current')}, or a larger conductor."
    return a.say(a.worst((carries, protected)), working=working, do=do)


@check("EL-10")
def divided(a: About) -> Finding:
    """A heater above 48 A in parts of at most 48 A, its elements protected at not more than 60 A."""
    kit = a.kit()
    if not by_nec(a):
        return a.not_applicable("The NEC does not govern here.")
    total = heater_current(kit.power, kit.voltage, kit.phases)
    parts = divided_parts(total)
    working = f"{kit.power:g} W / {kit.voltage:g} V = {total:.1f} A: {parts} part{'s' if parts > 1 else ''}"
    own = kit.element_devices
    if own is not None and own <= PART_DEVICE_A:
        return a.passed(
            f"Kit {kit.id} draws {total:.1f} A and has its own element devices of {a.show(own, 'current')}.",
            working=working,
        )
    if parts > 1 and not kit.circuit:
        return a.not_applicable(f"The maker does not say how kit {kit.id} is divided.")
    amps = {n: heat_amps(kit, c) for n, c in enumerate(kit.circuit, 1) if c.stages}
    largest = max(amps.values(), default=total)
    part = a.hold_against(f"Largest part of kit {kit.id}", Measured(largest, 0.0), "current", None, PART_A)
    devices = a.numbers(*(f for n in amps for f in _fields(n, "device")))
    judged = [
        a.hold_against(f"Device that protects the elements of circuit {n}", k, "current", None, PART_DEVICE_A)
        for n, k in zip(amps, devices, strict=True)
    ]
    return a.say(a.worst([part, *judged]), working=working)
