"""Checks of what is landed on the kit: its circuits, its terminals, and what cuts them off."""

from __future__ import annotations

from typing import TYPE_CHECKING

from asleft.checks.about import NONE_SAID, About
from asleft.checks.case import Case
from asleft.checks.circuits import by_nec, kit_and_circuit
from asleft.checks.listing import check
from asleft.checks.listing import circuits as each_circuit
from asleft.installation.line_fields import leg_fields

if TYPE_CHECKING:
    from asleft.checks.finding import Finding

LIVE_V = 50.0
"""Volts to ground from which a part counts as live: OSHA 1910.333(a)(1)."""
LANDED = "electrical.circuits"
LOCKABLE, TOGETHER = "electrical.disconnect.lockable", "electrical.disconnect.grouped"


def _unit_and_circuits(case: Case) -> tuple[str, ...]:
    return tuple(dict.fromkeys(("unit", *each_circuit(case))))


@check("EL-11", _unit_and_circuits)
def circuits_landed(a: About) -> Finding:
    """As many circuits as the kit has, and each cut off by its own device."""
    if a.subject != "unit":
        return _own_device(a)
    kit = a.kit()
    if not kit.circuit:
        return a.not_applicable(f"The maker lists no circuits of kit {kit.id}.")
    wanted = len(kit.circuit)
    if wanted == 1:
        return a.not_applicable(f"Kit {kit.id} has one circuit.")
    (landed,) = a.numbers(LANDED)
    count = round(landed.value)
    what = f"Kit {kit.id} has {wanted} circuits, {count} {'is' if count == 1 else 'are'} landed."
    return a.passed(what) if count == wanted else a.failed(what)


def _own_device(a: About) -> Finding:
    """Whether a circuit's terminals are dead with its own device open."""
    kit, _ = kit_and_circuit(a)
    fields = leg_fields(kit, a.n, "locked", "_ground")
    judged = [
        a.hold_against(a.case.label(f), k, "voltage", None, LIVE_V)
        for f, k in zip(fields, a.numbers(*fields), strict=True)
    ]
    against = a.worst(judged)
    if against.verdict in ("pass", "conditional pass"):
        return a.say(against)
    return a.say(
        against,
        extra=f"Another device feeds the terminals of circuit {a.n}.",
        do=(
            f"Keep your hands out: find the device that feeds circuit {a.n}, open, lock and mark it, and "
            "read the volts again."
        ),
    )


@check("EL-20", each_circuit)
def terminals(a: About) -> Finding:
    """The field terminals of a circuit at the torque marked for them."""
    _, circuit = kit_and_circuit(a)
    if circuit.torque is None:
        return a.not_applicable(NONE_SAID)
    (tight,) = a.answers(f"electrical.circuit.{a.n}.tightened")
    if tight:
        return a.passed(f"Terminals of circuit {a.n} tightened to {circuit.torque}.")
    return a.failed(
        f"Terminals of circuit {a.n} were not tightened to {circuit.torque}.",
        do=f"With power off, tighten every field terminal of circuit {a.n} to {circuit.torque}.",
    )


@check("EL-21")
def disconnects(a: About) -> Finding:
    """What cuts the unit off can be locked or is in sight; several stand together and are marked."""
    kit = a.kit()
    if not by_nec(a):
        return a.not_applicable("The NEC does not govern here.")
    fields = (LOCKABLE, TOGETHER) if len(kit.circuit) > 1 else (LOCKABLE,)
    answers = dict(zip(fields, a.answers(*fields), strict=True))
    if not answers[LOCKABLE]:
        return a.failed("A device that cuts the unit off can be neither locked open nor seen from the unit.")
    if not answers.get(TOGETHER, True):
        return a.failed("The devices that cut the unit off do not stand together, or are not marked.")
    return a.passed("Whatever cuts the unit off locks open or is in sight; several are together and marked.")
