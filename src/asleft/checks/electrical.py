"""Checks of isolation and live work, and of the supply and its grounding."""

from __future__ import annotations

from dataclasses import replace
from math import sqrt
from typing import TYPE_CHECKING

from asleft.calc import Measured, combine, voltage_unbalance
from asleft.checks.about import About, Settled
from asleft.checks.case import Case
from asleft.checks.dead import POWER_IS_ON
from asleft.checks.finding import FAILS
from asleft.checks.lapses import stands
from asleft.checks.listing import check
from asleft.installation.line_fields import IDLE, LOADED, line_fields
from asleft.session.acts import Acknowledge

if TYPE_CHECKING:
    from asleft.checks.finding import Finding, Severity
    from asleft.equipment.model import Supply
    from asleft.session.readings import Known

GROUND_TOLERANCE = 0.05
"""Line to ground against what line to line implies, as a fraction (common practice)."""
HIGH_LEG = sqrt(3.0) / 2.0
"""Voltage of the high leg of a delta to ground, as a fraction of line to line."""
SOUND_PAIR = 0.6
"""Part of the nominal voltage below which a pair has lost a leg: no supply sags so far (common practice)."""
LOST_PAIR = "Switch it off. At the panel, find the open conductor, or the two poles that share one phase."
"""What to do about such a pair, on whatever supply."""
OPEN_LEG = 0.2
"""Part of the line voltage below which a leg is open; what couples into it is less (common practice)."""
GROUND_OPEN_OHM, GROUND_TOLD_OHM = 1.0, 0.5
"""Grounding path: above the first it counts as open, above the second it is told (common practice)."""

UNBALANCE_TOLD, UNBALANCE_MENDED, UNBALANCE_STOPPED = 0.01, 0.03, 0.05
"""Unbalance above which a three-phase motor is derated, above which the supply is mended, and above which
it is not to run (NEMA MG 1, 14.36; ANSI C84.1 annex, secondary)."""


# ---- acknowledgements


def _acknowledged(a: About, done: str) -> Finding:
    a.need(Acknowledge(a.rule.id))
    a.rest(*a.ledger.state.acknowledged.get(a.rule.id, ())[-1:])
    if stands(a.ledger, a.rule.id):
        return a.finding("pass", done, mendable=False)
    return a.finding("not measured", f"{a.rule.title}: not acknowledged.", mendable=False)


@check("EL-1")
def isolation(a: About) -> Finding:
    """Isolation recorded since power was last on. With power on there is nothing to isolate for."""
    if a.ledger.state.power == "on":
        return a.not_applicable(POWER_IS_ON)
    if not a.case.with_verdict("EL-25"):
        a.need(Acknowledge(a.rule.id))
        return a.finding("not measured", f"{a.rule.title}: the unit is not proved dead yet.", mendable=False)
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
    return _in_range(a, IDLE)


def _in_range(a: About, begin: str) -> Finding:
    supply, fields = a.supply(), line_fields(a.ledger, begin)
    judged = [
        a.hold_against(a.case.label(f), k, "voltage", supply.lowest, supply.highest)
        for f, k in zip(fields, a.numbers(*fields), strict=True)
    ]
    worst = a.worst(judged)
    lost = begin == IDLE and worst.value.value < SOUND_PAIR * supply.nominal
    return a.say(worst, do=LOST_PAIR if lost else None)


def legs(case: Case) -> tuple[str, ...]:
    """A subject for each leg of the supply."""
    supply = case.ledger.supply
    return ("leg.l1", "leg.l2", "leg.l3") if supply and supply.phases == 3 else ("leg.l1", "leg.l2")


@check("EL-4", legs)
def line_to_ground(a: About) -> Finding:
    """A leg to ground against what the declared grounding and the line voltage imply."""
    a.supply()
    fields = line_fields(a.ledger, IDLE)
    system = a.fact("identity.system")
    leg = a.subject.removeprefix("leg.")
    others = [s.removeprefix("leg.") for s in legs(a.case) if s != a.subject]
    also = [f"electrical.line.{other}_ground" for other in others] if system == "line-neutral" else []
    own, *rest = a.numbers(f"electrical.line.{leg}_ground", *fields, *also)
    # Pairs and legs are one set: half of it would accuse the sound leg beside an open one.
    a.have(*(f"electrical.line.{other}_ground" for other in others))
    lines, beside = rest[: len(fields)], rest[len(fields) :]
    line = _sound_line(a.supply(), lines)
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
        hint = (
            "Possible high leg of a delta: confirm at the panel. It serves only a unit and breakers that are "
            "marked for it (NEC 240.85, from memory)."
        )
    elif found.verdict == "fail" and own.value < OPEN_LEG * line.value:
        hint = "This leg is open: its fuse, a breaker pole, a lug, or the conductor."
    return a.say(found, working=working, extra=hint)


def _sound_line(supply: Supply, lines: list[Known]) -> Measured:
    """The line voltage that sound legs imply: pairs with an open conductor tell nothing of it.

    Where no pair is sound, what the declared supply may be.
    """
    sound = [k for k in lines if k.value >= SOUND_PAIR * supply.nominal]
    if not sound:
        return Measured(supply.nominal, (supply.highest - supply.lowest) / 2)
    return Measured(sum(k.value for k in sound) / len(sound), max(k.expanded for k in sound))


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


@check("EL-5")
def unbalance(a: About) -> Finding:
    """How far three line voltages lie apart: what a three-phase motor bears, told to everything else."""
    if a.supply().phases != 3:
        return a.not_applicable("The supply has one phase.")
    motor = a.ledger.equipment.blower.phases == 3
    mild: Severity | None = None if motor else "advise"
    try:
        volts = a.numbers(*line_fields(a.ledger, IDLE))
    except Settled as settled:
        raise Settled(a.finding("not measured", settled.finding.text, severity=mild)) from None
    measured = [Measured(k.value, k.expanded) for k in volts]
    found = combine(lambda *three: voltage_unbalance(three).unbalance, *measured)
    whole = voltage_unbalance([k.value for k in volts])
    level = sum(k.value for k in volts) / 3.0
    off, of = whole.unbalance * level, a.show(level, "voltage")
    working = f"furthest from the mean {of}: {off:.1f} V, {100.0 * whole.unbalance:.2f} %"
    steps: tuple[tuple[float, Severity], ...] = (
        (UNBALANCE_STOPPED, "hold"),
        (UNBALANCE_MENDED, "correct"),
        (UNBALANCE_TOLD, "advise"),
    )
    what = "Unbalance of the line voltages"
    judged = [
        (a.share_against(what, found, None, limit), severity)
        for limit, severity in (steps if motor else steps[-1:])
    ]
    against, severity = next(
        ((against, grave) for against, grave in judged if against.verdict in FAILS), (judged[-1][0], mild)
    )
    extra = ""
    if not motor:
        extra = "The blower's motor has one phase and does not mind."
    elif whole.derating is None:
        extra = "The motor must not run on it."
    elif against.verdict in FAILS:
        gives = f"{whole.derating:.0%}"
        extra = f"The motor gives {'nearly all' if gives == '100%' else gives} of its rating on it."
    return a.say(against, working=working, extra=extra, severity=severity)


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
    return _in_range(a, LOADED)
