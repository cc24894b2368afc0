"""Checks of heat called on purpose: what came on, what went off, and whether the blower ran with it."""

from __future__ import annotations

from math import sqrt
from typing import TYPE_CHECKING

from asleft.calc import Measured
from asleft.checks.about import About
from asleft.checks.finding import FAILS
from asleft.checks.listing import check
from asleft.session.timed import apart_s, read_later, too_soon

if TYPE_CHECKING:
    from asleft.checks.finding import Finding

STEADY = 0.05
"""How far the current may stray in ten minutes of full heat, as a fraction (common practice)."""
CAME_ON, WENT_OFF = "heat.defrost.came_on", "heat.defrost.went_off"


@check("HS-10")
def blower_proved(a: About) -> Finding:
    """The blower runs on every path that brings heat on."""
    a.kit()
    a.heat_on()
    if wrong := a.not_so(*(f for f in a.ledger.fields if f.startswith("heat.path."))):
        return a.failed(f"Heat without the blower: {'; '.join(wrong)}.")
    return a.passed("The blower ran with the heat on every path tried.")


def _apart(a: About) -> str:
    """How long all heat was watched, and whose clock says so."""
    first, last = (a.ledger.current(id) for id in (a.ledger.series.first, a.ledger.series.last))
    if first is None or last is None:
        return ""
    brought = "brought by a file of readings or a rig" if first.read_at or last.read_at else "of the entries"
    return f"; first and last minute {apart_s(first, last) / 60.0:.1f} min apart, times {brought}"


@check("HS-12")
def emergency_heat(a: About) -> Finding:
    """Emergency heat: the kit alone, whole, at once, with the blower as in heating."""
    a.kit()
    a.pairing()
    a.heat_on()
    if wrong := a.not_so(*(f for f in a.ledger.fields if f.startswith("heat.emergency."))):
        return a.failed(f"Not so in emergency heat: {'; '.join(wrong)}.")
    return a.passed("In emergency heat the compressor is off and every stage came on at once.")


@check("HS-15")
def forced_defrost(a: About) -> Finding:
    """The stages chosen for a defrost come on in it, and are off after it."""
    a.kit()
    a.pairing()
    option = a.choice("heat-in-defrost")
    a.heat_on()
    came_on, went_off = a.answers(CAME_ON, WENT_OFF)
    if bool(option.value) != came_on:
        seen = "came on" if came_on else "stayed off"
        return a.failed(f"Chosen for defrost: {option.label}. In a forced defrost heat {seen}.")
    if not went_off:
        return a.failed("The defrost is over, and heat stays on.")
    did = "came on and went off after it" if came_on else "stayed off, as chosen"
    return a.passed(f"In a forced defrost heat {did}.")


@check("HS-16")
def steady_heat(a: About) -> Finding:
    """Ten minutes of full heat by the clock: every minute's current against the one read at the start."""
    a.kit()
    a.heat_on()
    minutes = tuple(f for f in a.ledger.fields if f.startswith("heat.minute."))
    if not minutes:
        return a.not_applicable("The maker lists no circuit of this kit to watch.")
    called = [f for f in a.ledger.fields if f.startswith("electrical.circuit.1.called.l")]
    series = a.ledger.series
    if why := too_soon(a.ledger, series.last):
        a.rest_on(called[-1], *minutes)
        a.rest(*(entry.n for entry in (a.ledger.state.latest(series.last),) if entry))
        return a.not_measured(why, do=read_later(a.ledger, series.last))
    start, *read = a.numbers(called[-1], *minutes)
    if start.value <= start.expanded:
        return a.failed(f"“{a.case.label(called[-1])}” is nothing: a limit is open, or no heat came on.")
    most = STEADY * start.value
    strays = [
        a.hold_against(
            f"“{a.case.label(field)}” less the start's",
            Measured(known.value - start.value, sqrt(known.expanded**2 + start.expanded**2)),
            "current",
            -most,
            most,
        )
        for field, known in zip(minutes, read, strict=True)
    ]
    worst = a.worst(strays)
    amps = [known.value for known in read]
    working = (
        f"start {a.show(start.value, 'current')}, then {a.show(min(amps), 'current')} to "
        f"{a.show(max(amps), 'current')}; 5 % is {a.show(most, 'current')}{_apart(a)}"
    )
    fell = worst.verdict in FAILS and worst.value.value < 0.0
    return a.say(worst, working=working, extra="A limit opened, or a contact did." if fell else "")
