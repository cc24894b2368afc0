"""Checks of supply, grounding, control power and what each stage draws."""

from __future__ import annotations

from dataclasses import replace
from math import sqrt
from typing import TYPE_CHECKING

from asleft.calc import Measured, heater_power
from asleft.checks import circuits as circuits  # its checks stand on the same pane
from asleft.checks.about import About
from asleft.checks.against import Against
from asleft.checks.case import Case
from asleft.checks.listing import check, stages
from asleft.checks.listing import circuits as each_circuit

if TYPE_CHECKING:
    from asleft.checks.finding import Finding
    from asleft.equipment.model import Circuit, Heater
    from asleft.session.readings import Known

GROUND_TOLERANCE = 0.05
"""Line to ground against what line to line implies, as a fraction (common practice)."""
HIGH_LEG = sqrt(3.0) / 2.0
"""Voltage of the high leg of a delta to ground, as a fraction of line to line."""
GROUND_OPEN_OHM, GROUND_TOLD_OHM = 1.0, 0.5
"""Grounding path: above the first it counts as open, above the second it is told (common practice)."""
STAGE_LOW, STAGE_HIGH = 0.90, 1.05
"""Current of a stage against its rated elements at the voltage read with it (from memory)."""
LEAK_A = 1.5
"""Current of a leg that counts as none (common practice)."""
UNEQUAL_A, UNEQUAL_PART = 2.0, 0.10
"""Legs count as equal within the larger of the two (common practice)."""
BOTH_PART = 0.05
"""What a clamp round both legs may read, the larger of LEAK_A and this part of a leg (common practice)."""

LINE = ("electrical.line.l1_l2", "electrical.line.l2_l3", "electrical.line.l3_l1")


def line_fields(a: About) -> tuple[str, ...]:
    """The line-to-line fields of this supply, heat off."""
    return LINE if a.supply().phases == 3 else LINE[:1]


# ---- acknowledgements


def _acknowledged(a: About, done: str) -> Finding:
    a.fields.append(f"acknowledge:{a.rule.id}")
    a.rest(*a.ledger.state.acknowledged.get(a.rule.id, ())[-1:])
    if a.ledger.acknowledged(a.rule.id):
        return a.finding("pass", done, mendable=False)
    return a.finding("not measured", f"{a.rule.title}: not acknowledged.", mendable=False)


@check("EL-1")
def isolation(a: About) -> Finding:
    """Isolation recorded since power was last on. With power on there is nothing to isolate for."""
    if a.ledger.state.power == "on":
        return a.not_applicable("Power is on: nobody's hands are inside.")
    return _acknowledged(a, "The unit was isolated and proved dead.")


@check("EL-18")
def live_work(a: About) -> Finding:
    """Ready for live readings, with the meter now in use."""
    return _acknowledged(a, "Ready for live readings with this meter.")


@check("EL-19")
def re_energising(a: About) -> Finding:
    """Clear to energise since power was last off."""
    return _acknowledged(a, "Clear to energise.")


# ---- supply


@check("EL-2")
def line_idle(a: About) -> Finding:
    """Every line voltage, heat off, inside the data plate's range."""
    supply, fields = a.supply(), line_fields(a)
    read = a.numbers(*fields)
    judged = [
        a.hold_against(a.case.label(f), k, "voltage", supply.lowest, supply.highest)
        for f, k in zip(fields, read, strict=True)
    ]
    return a.say(a.worst(judged))


def legs(case: Case) -> tuple[str, ...]:
    """A subject for each leg of the supply."""
    supply = case.ledger.supply
    return ("leg.l1", "leg.l2", "leg.l3") if supply and supply.phases == 3 else ("leg.l1", "leg.l2")


@check("EL-4", legs)
def line_to_ground(a: About) -> Finding:
    """A leg to ground against what the declared grounding and the line voltage imply."""
    fields = line_fields(a)
    system = a.fact("identity.system")
    leg = a.subject.removeprefix("leg.")
    others = [s.removeprefix("leg.") for s in legs(a.case) if s != a.subject]
    also = [f"electrical.line.{other}_ground" for other in others] if system == "line-neutral" else []
    own, *rest = a.numbers(f"electrical.line.{leg}_ground", *fields, *also)
    lines, beside = rest[: len(fields)], rest[len(fields) :]
    line = Measured(sum(k.value for k in lines) / len(lines), max(k.expanded for k in lines))
    factor, tolerance = _implied(system, own, line, beside)
    expected = factor * line.value
    spread = sqrt(own.expanded**2 + (factor * line.expanded) ** 2)
    room = tolerance + spread
    working = (
        f"{factor:.3f} x {a.show(line.value, 'voltage')} = {a.show(expected, 'voltage')}; "
        f"5 % {a.show(tolerance, 'voltage')} and U {a.show(spread, 'voltage')} = {a.show(room, 'voltage')}"
    )
    found = a.hold_against(
        f"{leg.upper()} to ground, {system} supply",
        Measured(own.value, 0.0),
        "voltage",
        max(0.0, expected - room) if expected > 0.0 else None,
        expected + room,
    )
    found = replace(found, value=Measured(own.value, own.expanded))
    hint = ""
    near_high = abs(own.value - HIGH_LEG * line.value) <= GROUND_TOLERANCE * line.value
    if found.verdict == "fail" and near_high and system != "high-leg":
        hint = "It could be the high leg of a delta; that passes when it is declared."
    return a.say(found, working=working, extra=hint)


def _implied(system: str, own: Known, line: Measured, beside: list[Known]) -> tuple[float, float]:
    """Fraction of line voltage that a leg should show to ground, and how far it may be off."""
    half = 0.5
    if system == "line-neutral":
        live = all(own.value >= other.value for other in beside)
        return (1.0 if live else 0.0), GROUND_TOLERANCE * line.value
    if system == "wye":
        half = 1.0 / sqrt(3.0)
    elif system == "high-leg" and abs(own.value - HIGH_LEG * line.value) < abs(own.value - half * line.value):
        half = HIGH_LEG
    return half, GROUND_TOLERANCE * half * line.value


@check("EL-6", "unit.idle")
def control_idle(a: About) -> Finding:
    """Control voltage with nothing called."""
    return _control(a, "electrical.control.idle", "Control voltage, idle")


@check("EL-6", "unit.loaded")
def control_loaded(a: About) -> Finding:
    """Control voltage with everything called; read with the kit's heat on."""
    if a.ledger.equipment.control_circuit is not None:
        a.kit()
    return _control(a, "electrical.control.loaded", "Control voltage, everything called")


def _control(a: About, field: str, what: str) -> Finding:
    circuit = a.ledger.equipment.control_circuit
    if circuit is None:
        return a.not_applicable("The maker says nothing of the control circuit.")
    (volts,) = a.numbers(field)
    low = volts.value < circuit.lowest
    do = "Move the transformer's tap to the supply found, or look for what overloads it." if low else None
    return a.judge(what, volts, "voltage", circuit.lowest, circuit.highest, do=do)


@check("EL-13")
def grounding(a: About) -> Finding:
    """The grounding path: open is a hold, poor is told."""
    (path,) = a.numbers("electrical.ground.resistance")
    what, lasting = "Grounding path", "A low reading does not prove that it can carry a fault current."
    open_at = a.hold_against(what, path, "resistance", None, GROUND_OPEN_OHM)
    if open_at.verdict in ("fail", "conditional fail"):
        return a.say(open_at, extra="It counts as open.")
    told = a.hold_against(what, path, "resistance", None, GROUND_TOLD_OHM)
    if told.verdict in ("fail", "conditional fail"):
        return a.say(told, severity="advise", extra=lasting)
    return a.say(told, extra=lasting)


@check("EL-14")
def line_loaded(a: About) -> Finding:
    """Line voltage with all heat on inside the data plate's range."""
    a.kit()
    a.heat_on()
    supply = a.supply()
    (volts,) = a.numbers("electrical.loaded.l1_l2")
    return a.judge("Line to line, all heat on", volts, "voltage", supply.lowest, supply.highest)


# ---- what is drawn


def circuit_of(kit: Heater, stage: int) -> tuple[int, Circuit] | None:
    """Number and circuit that feed a stage, stages counted from 1."""
    id = kit.stage[stage - 1].id
    return next(((n, c) for n, c in enumerate(kit.circuit, 1) if id in c.stages), None)


@check("EL-15", stages)
def stage_current(a: About) -> Finding:
    """A stage's own current against its rated elements at the voltage read with it."""
    kit = a.kit()
    a.heat_on()
    stage, found = kit.stage[a.n - 1], circuit_of(kit, a.n)
    if found is None:
        return a.not_applicable("The maker does not say which circuit feeds this stage.")
    ids = [s.id for s in kit.stage]
    before = [n for n in range(1, a.n) if ids[n - 1] in found[1].stages]
    other = ""
    if before:
        other = f"electrical.stage.{before[-1]}.current"
    elif found[1].feeds_blower:
        other = "electrical.blower.current"
    read = a.numbers(
        f"electrical.stage.{a.n}.voltage", f"electrical.stage.{a.n}.current", *((other,) if other else ())
    )
    volts, amps = read[0], read[1]
    less = Measured(read[2].value, read[2].expanded) if other else Measured(0.0, 0.0)
    rated = heater_power(stage.power, kit.voltage, max(volts.value, 0.0), kit.phases).current_a
    if rated <= 0.0:
        return a.failed("No voltage while the stage is called.", do="Find where the supply is open.")
    own = amps.value - less.value
    expanded = sqrt(amps.expanded**2 + less.expanded**2 + (own * volts.expanded / volts.value) ** 2)
    ratio = Measured(own / rated, expanded / rated)
    working = (
        f"({amps.value:.1f} - {less.value:.1f}) A / {rated:.1f} A at {volts.value:.1f} V = {ratio.value:.2f}"
    )
    extra = _open_element(a.n, stage.elements, ratio.value)
    return a.judge(
        f"Stage {a.n} draws {own:.1f} A of {rated:.1f} A at {volts.value:.1f} V, a fraction",
        ratio,
        "ratio",
        STAGE_LOW,
        STAGE_HIGH,
        working=working,
        extra=extra,
    )


def _open_element(n: int, elements: int, fraction: float) -> str:
    """Names what is open where the fraction is that of elements missing."""
    if fraction >= STAGE_LOW:
        return ""
    missing = round((1.0 - max(0.0, fraction)) * elements)
    if missing <= 0:
        return ""
    if missing >= elements:
        return f"Stage {n} is open: an element, its limit, its contact or its fuse."
    return f"{missing} of the {elements} elements of stage {n} is open."


@check("EL-22", each_circuit)
def legs_of_circuit(a: About) -> Finding:
    """No heat current without a call; with a call legs alike and nothing lost to ground."""
    kit = a.kit()
    if a.subject == "unit":
        return a.not_applicable(f"The maker lists no circuits of kit {kit.id}.")
    base = f"electrical.circuit.{a.n}"
    idle = (f"{base}.no_call.l1", f"{base}.no_call.l2")
    a.rest_on(*idle)
    quiet = [
        a.hold_against(a.case.label(f), k, "current", None, LEAK_A)
        for f in idle
        if (k := a.case.known(f)) is not None
    ]
    leaking = [q for q in quiet if q.verdict in ("fail", "conditional fail")]
    called = () if a.case.heat_kept_off else _called_fields(a, base)
    a.rest_on(*called)
    if leaking:
        return a.say(
            a.worst(leaking),
            extra="Current without a call: a contact that does not open, or an element to the frame.",
        )
    a.have(*idle, *called)
    return a.say(a.worst([*quiet, *_called(a, called)]))


def _called_fields(a: About, base: str) -> tuple[str, ...]:
    fields = (f"{base}.called.l1", f"{base}.called.l2", f"{base}.called.both")
    return tuple(f for f in fields if f in a.ledger.fields)


def _called(a: About, fields: tuple[str, ...]) -> list[Against]:
    if not fields:
        return []
    l1, l2, *both = a.numbers(*fields)
    mean = (l1.value + l2.value) / 2.0
    apart = Measured(abs(l1.value - l2.value), sqrt(l1.expanded**2 + l2.expanded**2))
    judged = [
        a.hold_against(
            f"Difference of the legs of circuit {a.n}, all heat",
            apart,
            "current",
            None,
            max(UNEQUAL_A, UNEQUAL_PART * mean),
        )
    ]
    if both:
        judged.append(
            a.hold_against(
                f"Both legs of circuit {a.n} together",
                both[0],
                "current",
                None,
                max(LEAK_A, BOTH_PART * mean),
            )
        )
    return judged
