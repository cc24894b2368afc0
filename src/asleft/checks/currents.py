"""Checks of what each stage and the blower draw."""

from __future__ import annotations

from math import hypot
from typing import TYPE_CHECKING

from asleft.calc import Measured, heater_power
from asleft.checks.about import NONE_SAID, About
from asleft.checks.beside_blower import BLOWER, Drawn, blower_heating_amps, heat_beside, on_two_of_three
from asleft.checks.listing import check, stages
from asleft.installation.line_fields import stage_amps, stage_fields
from asleft.installation.line_read import mean
from asleft.installation.lines import blower_in_line

if TYPE_CHECKING:
    from asleft.checks.finding import Finding
    from asleft.equipment.model import Circuit, Heater, Stage

STAGE_LOW, STAGE_HIGH = 0.90, 1.05
"""Current of a stage against its rated elements at the voltage read with it (from memory)."""
MOST = 0.5
"""With less than this fraction in two lines of three, a stage is open as a whole: one element leaves more."""
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
    across = stage_fields(kit, a.n)
    a.numbers(*across, *stage_amps(kit, a.n), *_taken_off(a, kit, found[1]))
    volts = mean(a.numbers(*across))
    rated = heater_power(stage.power, kit.voltage, max(volts.value, 0.0), kit.phases).current_a
    if rated <= 0.0:
        return a.failed("No voltage while the stage is called.", do="Find where the supply is open.")
    judged, fractions = [], []
    for name, read_a, drawn in _lines(a, kit, found[1]):
        own = drawn.nearest(rated)
        expanded = hypot(own.expanded, own.value * volts.expanded / volts.value)
        ratio = Measured(own.value / rated, expanded / rated)
        what = f"Stage {a.n} draws {own.value:.2f} A of {rated:.2f} A {name}at {volts.value:.1f} V"
        working = (
            f"({read_a:.2f} - {read_a - own.value:.2f}) A / {rated:.2f} A at {volts.value:.1f} V = "
            f"{100.0 * ratio.value:.1f} %"
        )
        judged.append((a.share_against(what, ratio, STAGE_LOW, STAGE_HIGH), working))
        fractions.append(ratio.value)
    against, working = min(judged, key=lambda found: found[0].rank)
    return a.say(against, working=working, extra=_open_element(a.n, stage, fractions))


def _before(a: About, kit: Heater, circuit: Circuit) -> int | None:
    """The stage that was read before this one on the same circuit."""
    return max((n for n in range(1, a.n) if kit.stage[n - 1].id in circuit.stages), default=None)


def _taken_off(a: About, kit: Heater, circuit: Circuit) -> tuple[str, ...]:
    """The currents to be taken off: of the stage before, or of a blower on the circuit."""
    before = _before(a, kit, circuit)
    if before is not None:
        return stage_amps(kit, before)
    return (BLOWER,) if circuit.feeds_blower and (kit.phases == 3 or _blower_in_line(a, kit, circuit)) else ()


def _blower_in_line(a: About, kit: Heater, circuit: Circuit) -> bool:
    return blower_in_line(a.ledger.equipment.blower, kit, circuit)


def _lines(a: About, kit: Heater, circuit: Circuit) -> list[tuple[str, float, Drawn]]:
    """What this stage draws in each line that was read, how the line is named, and what was read."""
    read = a.numbers(*stage_amps(kit, a.n))
    names = ("in L1 ", "in L2 ", "in L3 ") if len(read) == 3 else ("",)
    if _before(a, kit, circuit) is None and len(read) == 3 and on_two_of_three(a, kit, circuit):
        beside = heat_beside(read[0], read[1], blower_heating_amps(a))
        drawn = [*beside, Drawn(read[2].value, read[2].value, read[2].expanded)]
    else:
        off = a.numbers(*_taken_off(a, kit, circuit))
        off = off if len(off) == len(read) else off * len(read)
        less = [Measured(k.value, k.expanded) for k in off] or [Measured(0.0, 0.0)] * len(read)
        drawn = [
            Drawn(r.value - o.value, r.value - o.value, hypot(r.expanded, o.expanded))
            for r, o in zip(read, less, strict=True)
        ]
    return [(name, r.value, d) for name, r, d in zip(names, read, drawn, strict=True)]


def _open_element(n: int, stage: Stage, fractions: list[float]) -> str:
    """Names what is open where the fractions are those of elements missing.

    A delta of three with one open draws 1/1.73 in two of its lines; a wye of three nothing in one line and
    0.87 in the others.
    """
    low = [f"L{line}" for line, fraction in enumerate(fractions, 1) if fraction < STAGE_LOW]
    if not low:
        return ""
    whole = f"Stage {n} is open: an element, its limit, its contact or its fuse."
    if len(fractions) == 3:
        if sorted(fractions)[1] < MOST:
            return whole
        if stage.connection == "delta" and len(low) == 2:
            return f"An element of stage {n} is open, between {low[0]} and {low[1]}."
        if stage.connection == "wye":
            return f"An element of stage {n} is open, on L{fractions.index(min(fractions)) + 1}."
        return f"An element of stage {n} is open."
    missing = round((1.0 - max(0.0, fractions[0])) * stage.elements)
    if missing <= 0:
        return ""
    if missing >= stage.elements:
        return whole
    return f"{missing} of the {stage.elements} elements of stage {n} is open."


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
    (true,) = a.answers(TRUE_RMS)
    name = used.name if used else "the clamp"
    if true:
        return a.passed(f"True r.m.s.: {name}.")
    return a.failed(
        f"The blower's motor is electronic, and its current was read with no true r.m.s.: {name}."
    )
