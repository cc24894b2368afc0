"""Is the supply safe and right, and does every stage draw what it should?"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

from asleft.calc import (
    CalcError,
    Measured,
    combine,
    conductor_ampacity,
    divided_parts,
    heater_current,
    heater_power,
    largest_device,
    overcurrent_device,
    phase_factor,
)
from asleft.checks.case import NOT_SAID, Case, check
from asleft.checks.finding import Finding
from asleft.quantity import show

if TYPE_CHECKING:
    from asleft.equipment.model import Circuit, Heater
    from asleft.session.readings import Known

LEG_TOLERANCE = 0.05
"""Line to ground against what line to line makes of it."""
GROUND_HOLD_OHM, GROUND_TOLD_OHM = 1.0, 0.5
STAGE_LOW, STAGE_HIGH = 0.90, 1.05
"""Stage current against the rated element at the measured voltage (from memory)."""
IDLE_A = 1.5
"""A leg with nothing called (common practice)."""
UNEQUAL_A, UNEQUAL = 2.0, 0.10
"""Two legs of one circuit (common practice)."""
UNRETURNED_A, UNRETURNED = 1.5, 0.05
"""A clamp round both legs (common practice)."""
ELEMENT_LIMIT_A = 48.0


def _acknowledgement(case: Case) -> Iterator[Finding]:
    field = f"acknowledge:{case.rule.id}"
    if case.ledger.acknowledged(case.rule.id):
        given = case.ledger.state.acknowledged[case.rule.id][-1]
        yield case.settled(
            True, f"{case.rule.title}: acknowledged.", (field,), mendable=False, rests_on=(given,)
        )
    elif (
        case.rule.id == "EL-1"
        and case.ledger.state.power == "on"
        and case.ledger.state.acknowledged.get("EL-1")
    ):
        # It lapsed when power came on. Power off comes before hands go in again, and asks for it anew.
        yield case.not_applicable("Power is on; isolation is proved again before hands go in.")
    else:
        text = f"{case.rule.title}: not acknowledged."
        yield case.not_measured((field,), text=text, do=case.rule.measure, mendable=False)


check("EL-1")(_acknowledgement)
check("EL-18")(_acknowledgement)
check("EL-19")(_acknowledgement)


def _line(case: Case, field: str, do: str) -> Finding:
    supply, volts = case.ledger.supply, case.number(field)
    if supply is None or volts is None:
        return case.not_measured((field, "identity.supply"))
    finding = case.reading(volts, supply.lowest, supply.highest, do=do)
    return replace(finding, fields=(field, "identity.supply"))


@check("EL-2")
def line_idle(case: Case) -> Iterator[Finding]:
    """Line voltage with heat off, inside the data-plate range."""
    yield _line(
        case,
        "electrical.line.l1_l2",
        "Stop: run nothing on this supply. Have it put right, then measure again.",
    )


@check("EL-4")
def to_ground(case: Case) -> Iterator[Finding]:
    """Each leg to ground fits the supply declared, computed from the measured line to line."""
    system, line = case.word("identity.system"), case.number("electrical.line.l1_l2")
    legs = ("l1", "l2", "l3") if (case.ledger.supply and case.ledger.supply.phases == 3) else ("l1", "l2")
    shares = _shares(system or "", legs)
    for leg in legs:
        field = f"electrical.line.{leg}_ground"
        fields = (field, "electrical.line.l1_l2", "identity.system")
        volts = case.number(field)
        if system is None or line is None or volts is None:
            yield case.not_measured(fields, f"leg.{leg}")
            continue
        expected = _nearest(volts.value / line.value if line.value else 0.0, shares) * line.value
        room = LEG_TOLERANCE * (expected or line.value)
        # Both uncertainties widen what is allowed: the rule is "within 5 % and U".
        spread = math.hypot(volts.expanded, line.expanded * (expected / line.value if line.value else 0.0))
        difference = abs(volts.value - expected)
        text = (
            f"{leg.upper()} reads {show(volts.value, 'voltage')} to ground; a {system} supply of "
            f"{show(line.value, 'voltage')} makes it {show(expected, 'voltage')}, "
            f"within {show(room + spread, 'voltage')}."
        )
        yield replace(
            case.settled(
                difference <= room + spread,
                text,
                fields,
                f"leg.{leg}",
                do="Run nothing: find out what supply this is, and whether a leg or the ground is open.",
                working=f"|{volts.value:.1f} - {expected:.1f}| = {difference:.1f} V; room {room + spread:.1f} V",
            ),
            kind="voltage",
            value=volts.value,
            uncertainty=volts.expanded,
            lower=expected - room - spread,
            upper=expected + room + spread,
        )


def _shares(system: str, legs: tuple[str, ...]) -> tuple[float, ...]:
    """What a leg may read to ground as a share of line to line."""
    third = 1.0 / math.sqrt(3.0)
    return {
        "split": (0.5,),
        "wye": (third,),
        "high-leg": (0.5, math.sqrt(3.0) / 2.0),
        "line-neutral": (1.0, 0.0),
    }.get(system, (0.5,) if len(legs) == 2 else (third,))


def _nearest(share: float, shares: tuple[float, ...]) -> float:
    return min(shares, key=lambda s: abs(s - share))


@check("EL-6")
def control(case: Case) -> Iterator[Finding]:
    """Control voltage inside the unit's range, idle and with everything called."""
    circuit = case.equipment.control_circuit
    if circuit is None:
        yield case.not_applicable(NOT_SAID)
        return
    states = [("idle", "electrical.control.idle")]
    if case.ledger.kit is not None:
        states.append(("loaded", "electrical.control.loaded"))
    for name, field in states:
        volts = case.number(field)
        if volts is None:
            yield case.not_measured((field,), f"unit.{name}")
        else:
            do = "Check the transformer's tap against the supply, and what hangs on it."
            yield case.reading(volts, circuit.lowest, circuit.highest, f"unit.{name}", do=do)


def _circuits(case: Case) -> Iterator[tuple[int, Heater, Circuit]]:
    kit = case.ledger.kit
    for n, circuit in enumerate(kit.circuit if kit else (), 1):
        assert kit is not None
        yield n, kit, circuit


def _no_circuits(case: Case) -> Finding | None:
    missing = case.kit_missing()
    if missing is not None:
        return missing
    kit = case.ledger.kit
    return case.not_applicable(NOT_SAID) if kit is not None and not kit.circuit else None


def _governed(case: Case) -> bool:
    """Whether the NEC governs; until somebody says otherwise it does."""
    code = case.word("identity.code")
    return code is None or code.startswith("NEC")


def _element_amps(kit: Heater, circuit: Circuit) -> float:
    power = sum(s.power for s in kit.stage if s.id in circuit.stages)
    return heater_current(power, kit.voltage, kit.phases)


def _least(case: Case, kit: Heater, circuit: Circuit) -> float:
    """Minimum circuit ampacity: the marked one, 125 % already in it, else 125 % of heater and blower."""
    if circuit.minimum is not None:
        return circuit.minimum
    blower = case.equipment.blower.full_load_current or 0.0
    amps = _element_amps(kit, circuit) + (blower if circuit.feeds_blower else 0.0)
    return amps * 1.25 if _governed(case) else amps


def _carries(case: Case, n: int, circuit: Circuit) -> float | None:
    """What the conductor carries, derated, capped at its terminals; None where fields are missing."""
    if not _governed(case):
        capacity = case.number(f"electrical.circuit.{n}.capacity")
        return capacity.value if capacity else None
    size, material, insulation = (case.word(f) for f in _conductor_fields(case, n)[:3])
    ambient, count = (case.number(f) for f in _conductor_fields(case, n)[3:])
    if size is None or material is None or insulation is None or ambient is None or count is None:
        return None
    return conductor_ampacity(
        size, material, float(circuit.terminals), float(insulation), ambient.value, int(count.value)
    )


def _conductor_fields(case: Case, n: int) -> tuple[str, ...]:
    names = (
        ("conductor", "material", "insulation", "ambient", "conductors") if _governed(case) else ("capacity",)
    )
    return tuple(f"electrical.circuit.{n}.{name}" for name in names)


@check("EL-8")
def device(case: Case) -> Iterator[Finding]:
    """Every circuit's device at least the minimum and at most the marked maximum."""
    if (missing := _no_circuits(case)) is not None:
        yield missing
        return
    for n, kit, circuit in _circuits(case):
        field = f"electrical.circuit.{n}.device"
        rating = case.number(field)
        if rating is None:
            yield case.not_measured((field,), f"circuit.{n}")
            continue
        least = _least(case, kit, circuit)
        most = circuit.maximum
        fields: tuple[str, ...] = (field,)
        if most is None:
            fields = (field, *_conductor_fields(case, n))
            try:
                carries = _carries(case, n, circuit)
            except CalcError:
                carries = None
            if carries is None:
                yield case.not_measured(fields, f"circuit.{n}")
                continue
            most = overcurrent_device(carries) if _governed(case) else carries
        too_large = rating.value > most
        yield case.judged(
            rating.value,
            0.0,
            least,
            most,
            "current",
            f"Circuit {n} device",
            fields,
            f"circuit.{n}",
            severity="hold" if too_large else "correct",
            do="Fit the device that the kit's label asks for, with power off at its source.",
            working=f"least {least:.1f} A, most {most:.0f} A, fitted {rating.value:.0f} A",
        )


@check("EL-9")
def conductor(case: Case) -> Iterator[Finding]:
    """Every circuit's conductor carries its minimum ampacity, and its device protects it."""
    if (missing := _no_circuits(case)) is not None:
        yield missing
        return
    for n, kit, circuit in _circuits(case):
        device_field = f"electrical.circuit.{n}.device"
        fields = (*_conductor_fields(case, n), device_field)
        rating, subject = case.number(device_field), f"circuit.{n}"
        try:
            carries = _carries(case, n, circuit)
        except CalcError as error:
            yield case.settled(
                False, f"Circuit {n}: {error}.", fields, subject, do="Check what is printed on the conductor."
            )
            continue
        if carries is None or rating is None:
            yield case.not_measured(fields, subject)
            continue
        least = _least(case, kit, circuit)
        size, material = (
            case.word(f"electrical.circuit.{n}.conductor"),
            case.word(f"electrical.circuit.{n}.material"),
        )
        most = largest_device(size or "", carries, material or "copper") if _governed(case) else carries
        protected = rating.value <= most
        finding = case.judged(
            carries,
            0.0,
            least,
            None,
            "current",
            f"Circuit {n} conductor carries",
            fields,
            subject,
            do="Do not energise the heat: fit a larger conductor, or a device that protects this one.",
            working=f"carries {carries:.1f} A, needs {least:.1f} A; device {rating.value:.0f} of {most:.0f} A",
        )
        if not protected:
            text = (
                f"Circuit {n} conductor carries {show(carries, 'current')} and allows {most:.0f} A; "
                f"the device is {rating.value:.0f} A."
            )
            finding = replace(
                finding,
                verdict="fail",
                text=text,
                do="Do not energise the heat: the device does not protect the conductor.",
            )
        yield finding


@check("EL-10")
def divided(case: Case) -> Iterator[Finding]:
    """A heater above 48 A is divided."""
    if (missing := _no_circuits(case)) is not None:
        yield missing
        return
    if not _governed(case):
        yield case.not_applicable("The NEC does not govern here.")
        return
    for n, kit, circuit in _circuits(case):
        amps = _element_amps(kit, circuit)
        parts = divided_parts(amps)
        # Past 60 A the circuit's own device is too large for elements; the kit must then bring its own.
        own = kit.element_devices
        blower = (case.equipment.blower.full_load_current or 0.0) if circuit.feeds_blower else 0.0
        large = overcurrent_device(1.25 * (amps + blower)) > 60.0
        right = parts == 1 and not (large and not (own is not None and own <= 60.0))
        text = f"Circuit {n} elements draw {show(amps, 'current')}"
        text += (
            ", not more than 48 A." if parts == 1 else f": to be divided into {parts} parts of at most 48 A."
        )
        if parts == 1 and not right:
            text += " With the blower it needs more than 60 A, and the kit has no element devices of its own."
        yield case.settled(
            right,
            text,
            ("identity.kit",),
            f"circuit.{n}",
            do="Do not energise the heat: the kit must be divided, each part behind 60 A or less.",
            working=f"I = P / V = {amps:.2f} A; parts = ceil(I / 48) = {parts}",
        )


@check("EL-13")
def ground(case: Case) -> Iterator[Finding]:
    """The equipment-grounding path is whole."""
    field = "electrical.ground.resistance"
    ohms = case.number(field)
    if ohms is None:
        yield case.not_measured((field,))
        return
    finding = case.reading(
        ohms, None, GROUND_HOLD_OHM, do="Run nothing: find the open grounding path and mend it."
    )
    if finding.verdict == "pass" and ohms.value > GROUND_TOLD_OHM:
        told = finding.text + " Above 0.5 ohm: find out why."
        finding = replace(
            finding,
            severity="advise",
            guards=(),
            verdict="fail",
            text=told,
            do="Find out why it is above 0.5 ohm.",
        )
    yield finding


@check("EL-14")
def line_loaded(case: Case) -> Iterator[Finding]:
    """Line voltage with all heat on, still inside the data-plate range."""
    if (missing := case.kit_missing()) is not None:
        yield missing
        return
    yield _line(case, "electrical.loaded.l1_l2", "Look for a loose joint, a long thin run or a weak supply.")


@check("EL-15")
def stage_current(case: Case) -> Iterator[Finding]:
    """Each stage's current against its rated element at the voltage read together with it."""
    if (missing := _no_circuits(case)) is not None:
        yield missing
        return
    kit = case.ledger.kit
    assert kit is not None
    earlier: dict[int, list[int]] = {}
    for n, stage in enumerate(kit.stage, 1):
        home = next((i for i, c in enumerate(kit.circuit) if stage.id in c.stages), 0)
        before = tuple(earlier.setdefault(home, []))
        yield _stage(case, kit, n, home, before)
        earlier[home].append(n)


def _stage(case: Case, kit: Heater, n: int, home: int, before: tuple[int, ...]) -> Finding:
    subject, stage = f"stage.{n}", kit.stage[n - 1]
    amps_field, volts_field = f"electrical.stage.{n}.current", f"electrical.stage.{n}.voltage"
    fields = [amps_field, volts_field, *(f"electrical.stage.{b}.current" for b in before[-1:])]
    blower_counts = kit.circuit[home].feeds_blower and not before
    if blower_counts:
        fields.append("electrical.blower.current")
    read = [case.number(f) for f in fields]
    if any(r is None for r in read):
        return case.not_measured(fields, subject)
    known = [r for r in read if r is not None]
    amps, volts, rest = known[0], known[1], known[2:]
    expected = combine(
        lambda v: heater_power(stage.power, kit.voltage, v, kit.phases).current_a,
        Measured(volts.value, volts.expanded),
    )
    if expected.value <= 0.0:
        return case.settled(
            False, f"Stage {n}: no voltage at the unit.", fields, subject, do="Look for an open leg."
        )
    minus = sum(r.value for r in rest)
    # One clamp read both: its uncertainties add.
    own = Measured(amps.value - minus, amps.expanded + sum(r.expanded for r in rest))
    ratio = combine(lambda i, e: i / e, own, expected)
    finding = case.judged(
        ratio.value,
        ratio.expanded,
        STAGE_LOW,
        STAGE_HIGH,
        "ratio",
        f"Stage {n} draws {show(own.value, 'current')} of {show(expected.value, 'current')}, a share of",
        fields,
        subject,
        unknown=amps.unknown_accuracy or volts.unknown_accuracy,
        do=f"With power off and proved dead, look at the elements and links of stage {n}.",
        working=f"({amps.value:.2f} - {minus:.2f}) A / {expected.value:.2f} A = {ratio.value:.3f}",
    )
    if ratio.value < STAGE_LOW and stage.elements >= 1:
        open_ = "its element is open" if ratio.value < 0.1 else "an element of it is open or off its rating"
        finding = replace(finding, text=f"{finding.text} In stage {n} {open_}.")
    return finding


@check("EL-22")
def no_call(case: Case) -> Iterator[Finding]:
    """Nothing called, nothing drawn; called, the legs equal and nothing lost between them."""
    if (missing := _no_circuits(case)) is not None:
        yield missing
        return
    single = case.ledger.supply is None or case.ledger.supply.phases == 1
    for n, _, _ in _circuits(case):
        fields = [
            f"electrical.circuit.{n}.{name}"
            for name in ("no_call.l1", "no_call.l2", "called.l1", "called.l2")
        ]
        if single:
            fields.append(f"electrical.circuit.{n}.called.both")
        read = {f.split(".", 3)[3]: k for f in fields if (k := case.number(f)) is not None}
        do = "Keep the circuit isolated: look for a welded contact or an element to frame."
        wrong = [
            _beyond(f"{leg.upper()} with no call", read.get(f"no_call.{leg}"), IDLE_A) for leg in ("l1", "l2")
        ]
        if {"called.l1", "called.l2"} <= read.keys():
            wrong += _legs(read, phase_factor(1 if single else 3))
        bad = [w for w in wrong if w]
        if bad:
            yield case.settled(False, f"Circuit {n}: {'; '.join(bad)}.", fields, f"circuit.{n}", do=do)
        elif len(read) < len(fields):
            yield case.not_measured(fields, f"circuit.{n}", do=do)
        else:
            text = f"Circuit {n}: nothing flows without a call, and called both legs carry the same."
            yield case.settled(True, text, fields, f"circuit.{n}")


def _beyond(what: str, read: Known | None, limit: float) -> str:
    if read is None or read.value <= limit:
        return ""
    return f"{what} {show(read.value, 'current')}, at most {show(limit, 'current')}"


def _legs(read: dict[str, Known], factor: float) -> list[str]:
    one, two = read["called.l1"], read["called.l2"]
    mean = (one.value + two.value) / 2.0
    apart = abs(one.value - two.value)
    room = max(UNEQUAL_A, UNEQUAL * mean)
    said = (
        [f"legs differ by {show(apart, 'current')}, at most {show(room, 'current')}"] if apart > room else []
    )
    lost = _beyond("a clamp round both legs", read.get("called.both"), max(UNRETURNED_A, UNRETURNED * mean))
    return [*said, lost] if factor == 1.0 else said
