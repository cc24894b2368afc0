"""The check of what the legs of a circuit carry against one another, without a call and with all heat."""

from __future__ import annotations

from math import hypot
from typing import TYPE_CHECKING

from asleft.calc import Measured
from asleft.checks.about import About
from asleft.checks.beside_blower import BLOWER, blower_heating_amps, heat_beside, on_two_of_three
from asleft.checks.finding import FAILS
from asleft.checks.listing import check
from asleft.checks.listing import circuits as each_circuit
from asleft.installation.line_fields import leg_fields

if TYPE_CHECKING:
    from asleft.checks.against import Against
    from asleft.checks.finding import Finding
    from asleft.equipment.model import Heater
    from asleft.session.readings import Known

LEAK_A = 1.5
"""Current of a leg that counts as none (common practice)."""
UNEQUAL_A, UNEQUAL_PART = 2.0, 0.10
"""Legs count as equal within the larger of the two (common practice)."""
BOTH_PART = 0.05
"""What a clamp round both legs may read, the larger of LEAK_A and this part of a leg (common practice)."""


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
    leaking = [q for q in quiet if q.verdict in FAILS]
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
    legs = a.numbers(*leg_fields(kit, a.n, "called"))
    if on_two_of_three(a, kit, kit.circuit[a.n - 1]):
        alike, extra = _alike_beside_blower(a, legs)
    else:
        alike, extra = _alike(a, kit, legs)
    against = a.worst([*quiet, *alike, *_together(a, legs)])
    return a.say(against, extra=extra if against in alike and against.verdict in FAILS else "")


def _called_fields(a: About, kit: Heater) -> tuple[str, ...]:
    """The legs with all heat, the clamp round both of two, and what a blower adds to two legs of three."""
    fields = (*leg_fields(kit, a.n, "called"), _both(a))
    blower = (BLOWER,) if on_two_of_three(a, kit, kit.circuit[a.n - 1]) else ()
    return (*(f for f in fields if f in a.ledger.fields), *blower)


def _both(a: About) -> str:
    return f"electrical.circuit.{a.n}.called.both"


def _equal_within(level_a: float) -> float:
    return max(UNEQUAL_A, UNEQUAL_PART * level_a)


def _alike(a: About, kit: Heater, legs: tuple[Known, ...]) -> tuple[list[Against], str]:
    """Legs that carry nothing but heat, or all of them the blower too, against one another."""
    least, most = (pick(legs, key=lambda k: k.value) for pick in (min, max))
    apart = Measured(most.value - least.value, hypot(least.expanded, most.expanded))
    level = sum(k.value for k in legs) / len(legs)
    judged = _judged(a, apart, level)
    return [judged], _open_between(a, kit, legs)


def _judged(a: About, apart: Measured, level_a: float) -> Against:
    what = f"Difference of the legs of circuit {a.n}, all heat"
    return a.hold_against(what, apart, "current", None, _equal_within(level_a))


def _alike_beside_blower(a: About, legs: tuple[Known, ...]) -> tuple[list[Against], str]:
    """The heat in the two lines that feed a single-phase blower against that in the third.

    What the blower adds to each is known within bounds; what is judged is how far apart the heat must be
    at the least.
    """
    blower = blower_heating_amps(a)
    l1, l2, third = legs
    judged, lacking = [], []
    for heat in heat_beside(l1, l2, blower):
        apart = abs(third.value - heat.nearest(third.value).value)
        judged.append(_judged(a, Measured(apart, hypot(heat.expanded_a, third.expanded)), third.value))
        lacking.append(heat.most_a < third.value)
    taken_off = f"The blower's {a.show(blower.value, 'current')} is taken off."
    if all(lacking):
        return judged, f"{taken_off} So reads an element between L1 and L2 open."
    return judged, taken_off


def _together(a: About, legs: tuple[Known, ...]) -> list[Against]:
    """The clamp round both legs of two; nothing where it is not taken."""
    if _both(a) not in a.ledger.fields:
        return []
    (both,) = a.numbers(_both(a))
    level = sum(k.value for k in legs) / len(legs)
    limit = max(LEAK_A, BOTH_PART * level)
    return [a.hold_against(f"Both legs of circuit {a.n} together", both, "current", None, limit)]


def _open_between(a: About, kit: Heater, legs: tuple[Known, ...]) -> str:
    """Names the pair of lines with an element open, where elements stand between pairs of three lines.

    The two lines of an open element carry less alike, the third what it should.
    """
    circuit = kit.circuit[a.n - 1]
    joined = {s.connection for s in kit.stage if s.id in circuit.stages}
    if len(legs) != 3 or joined != {"delta"}:
        return ""
    amps = {k.field.rpartition(".")[2].upper(): k.value for k in legs}
    *low, high = sorted(amps, key=lambda leg: amps[leg])
    if amps[low[1]] - amps[low[0]] > UNEQUAL_PART * amps[high]:
        return ""
    return f"So reads a delta with an element between {' and '.join(sorted(low))} open."
