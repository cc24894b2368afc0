"""Checks of what each stage and the blower draw."""

from __future__ import annotations

from math import sqrt
from typing import TYPE_CHECKING

from asleft.calc import Measured, heater_power
from asleft.checks.about import NONE_SAID, About
from asleft.checks.listing import check, stages
from asleft.installation.estimate import mean
from asleft.installation.line_fields import stage_fields
from asleft.installation.lines import blower_in_line

if TYPE_CHECKING:
    from asleft.checks.finding import Finding
    from asleft.equipment.model import Circuit, Heater, Stage

STAGE_LOW, STAGE_HIGH = 0.90, 1.05
"""Current of a stage against its rated elements at the voltage read with it (from memory)."""
NOTHING = 0.10
"""A fraction of its rated current at which a stage counts as drawing nothing (common practice)."""
BLOWER = "electrical.blower.current"
TRUE_RMS = "electrical.clamp.true_rms"


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
        other = BLOWER
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
        f"({amps.value:.2f} - {less.value:.2f}) A / {rated:.2f} A at {volts.value:.1f} V = {ratio.value:.2f}"
    )
    extra = _open_element(a.n, stage, ratio.value)
    return a.judge(
        f"Stage {a.n} draws {own:.2f} A of {rated:.2f} A at {volts.value:.1f} V, a fraction",
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


@check("EL-16")
def blower_current(a: About) -> Finding:
    """What the blower draws against its full-load current."""
    most = a.figure(a.ledger.equipment.blower.full_load_current)
    (amps,) = a.numbers(BLOWER)
    return a.judge("Blower current", amps, "current", None, most)


@check("EL-24")
def clamp_reads_true(a: About) -> Finding:
    """An electronic motor's current is no sine: only a true r.m.s. clamp reads it right."""
    motor = a.ledger.equipment.blower.motor
    if motor is None:
        return a.not_applicable(NONE_SAID)
    if motor != "electronic":
        return a.not_applicable("The blower's motor is not electronic.")
    used = a.ledger.state.instrument("clamp")
    a.rest(*((used.n,) if used else ()))
    (true,) = a.words(TRUE_RMS)
    name = used.name if used else "the clamp"
    if true == "True":
        return a.passed(f"True r.m.s.: {name}.")
    return a.failed(
        f"The blower's motor is electronic, and its current was read with no true r.m.s.: {name}."
    )
