"""Checks of what each stage and each leg draws."""

from __future__ import annotations

from math import sqrt
from typing import TYPE_CHECKING

from asleft.calc import Measured, heater_power
from asleft.checks.about import About
from asleft.checks.against import Against
from asleft.checks.listing import check, stages
from asleft.checks.listing import circuits as each_circuit
from asleft.installation.estimate import mean
from asleft.installation.line_fields import leg_fields, stage_fields
from asleft.installation.lines import blower_in_line

if TYPE_CHECKING:
    from asleft.checks.finding import Finding
    from asleft.equipment.model import Circuit, Heater, Stage

STAGE_LOW, STAGE_HIGH = 0.90, 1.05
"""Current of a stage against its rated elements at the voltage read with it (from memory)."""
NOTHING = 0.10
"""A fraction of its rated current at which a stage counts as drawing nothing (common practice)."""
BLOWER = "electrical.blower.current"
LEAK_A = 1.5
"""Current of a leg that counts as none (common practice)."""
UNEQUAL_A, UNEQUAL_PART = 2.0, 0.10
"""Legs count as equal within the larger of the two (common practice)."""
BOTH_PART = 0.05
"""What a clamp round both legs may read, the larger of LEAK_A and this part of a leg (common practice)."""


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
    elif blower_in_line(a.ledger.equipment.blower, kit, found[1]):
        other = "electrical.blower.current"
    across = stage_fields(kit, a.n)
    read = a.numbers(*across, f"electrical.stage.{a.n}.current", *((other,) if other else ()))
    volts, amps = mean(read[: len(across)]), read[len(across)]
    less = Measured(read[-1].value, read[-1].expanded) if other else Measured(0.0, 0.0)
    rated = heater_power(stage.power, kit.voltage, max(volts.value, 0.0), kit.phases).current_a
    if rated <= 0.0:
        return a.failed("No voltage while the stage is called.", do="Find where the supply is open.")
    own = amps.value - less.value
    expanded = sqrt(amps.expanded**2 + less.expanded**2 + (own * volts.expanded / volts.value) ** 2)
    ratio = Measured(own / rated, expanded / rated)
    working = (
        f"({amps.value:.1f} - {less.value:.1f}) A / {rated:.1f} A at {volts.value:.1f} V = {ratio.value:.2f}"
    )
    extra = _open_element(a.n, stage, ratio.value)
    return a.judge(
        f"Stage {a.n} draws {own:.1f} A of {rated:.1f} A at {volts.value:.1f} V, a fraction",
        ratio,
        "ratio",
        STAGE_LOW,
        STAGE_HIGH,
        working=working,
        extra=extra,
    )


def _open_element(n: int, stage: Stage, fraction: float) -> str:
    """Names what is open where the fraction is that of elements missing.

    A delta of three with one open draws 1/1.73 in two of its lines; a wye of three nothing in one line and
    0.87 in the others.
    """
    if fraction >= STAGE_LOW:
        return ""
    elements = stage.elements
    if stage.connection != "single" and fraction > NOTHING:
        return f"An element of stage {n} is open, of those on the line that was read."
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
    idle = leg_fields(kit, a.n, "no_call")
    a.rest_on(*idle)
    quiet = [
        a.hold_against(a.case.label(f), k, "current", None, LEAK_A)
        for f in idle
        if (k := a.case.known(f)) is not None
    ]
    leaking = [q for q in quiet if q.verdict in ("fail", "conditional fail")]
    called = () if a.case.heat_kept_off else _called_fields(a, kit)
    a.rest_on(*called)
    if leaking:
        return a.say(
            a.worst(leaking),
            extra="Current without a call: a contact that does not open, or an element to the frame.",
        )
    a.have(*idle, *called)
    if not called:
        return a.say(a.worst(quiet))
    legs, *both = _called(a, kit, called)
    against = a.worst([*quiet, legs, *both])
    return a.say(against, extra=_open_between(a, kit, called) if against is legs else "")


def _called_fields(a: About, kit: Heater) -> tuple[str, ...]:
    """The legs with all heat, the clamp round both of two, and what a blower adds to two legs of three."""
    fields = (*leg_fields(kit, a.n, "called"), f"electrical.circuit.{a.n}.called.both")
    blower = (BLOWER,) if _on_two_of_three(a, kit) else ()
    return (*(f for f in fields if f in a.ledger.fields), *blower)


def _on_two_of_three(a: About, kit: Heater) -> bool:
    circuit, blower = kit.circuit[a.n - 1], a.ledger.equipment.blower
    return circuit.feeds_blower and not blower_in_line(blower, kit, circuit)


def _called(a: About, kit: Heater, fields: tuple[str, ...]) -> list[Against]:
    """The legs against one another, and where it was taken the clamp round both."""
    read, legs = a.numbers(*fields), len(leg_fields(kit, a.n, "called"))
    least, most = (pick(read[:legs], key=lambda k: k.value) for pick in (min, max))
    level = sum(k.value for k in read[:legs]) / legs
    apart = Measured(most.value - least.value, sqrt(least.expanded**2 + most.expanded**2))
    # A single-phase blower loads two of three legs, and so sets them apart by no more than its own current.
    blower_a = read[-1].value if fields[-1] == BLOWER else 0.0
    both = read[legs:] if fields[-1].endswith(".both") else ()
    judged = [
        a.hold_against(
            f"Difference of the legs of circuit {a.n}, all heat",
            apart,
            "current",
            None,
            max(UNEQUAL_A, UNEQUAL_PART * level) + blower_a,
        )
    ]
    if both:
        judged.append(
            a.hold_against(
                f"Both legs of circuit {a.n} together",
                both[0],
                "current",
                None,
                max(LEAK_A, BOTH_PART * level),
            )
        )
    return judged


def _open_between(a: About, kit: Heater, called: tuple[str, ...]) -> str:
    """Names the pair of lines with an element open, where elements stand between pairs of three lines.

    The two lines of an open element carry less alike, the third what it should.
    """
    circuit = kit.circuit[a.n - 1]
    joined = {s.connection for s in kit.stage if s.id in circuit.stages}
    fields = leg_fields(kit, a.n, "called")
    if len(fields) != 3 or joined != {"delta"} or called[-1] == BLOWER:
        return ""
    amps = {f.rpartition(".")[2].upper(): k.value for f in fields if (k := a.case.known(f)) is not None}
    *low, high = sorted(amps, key=lambda leg: amps[leg])
    if amps[low[1]] - amps[low[0]] > UNEQUAL_PART * amps[high]:
        return ""
    return f"So reads a delta with an element between {' and '.join(sorted(low))} open."
