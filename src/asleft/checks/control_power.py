"""Checks of the control transformer: its volts, and what hangs on it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from asleft.calc import Measured, control_load
from asleft.checks.about import About
from asleft.checks.listing import check

if TYPE_CHECKING:
    from asleft.checks.finding import Finding

CLASS_2_VA = 100.0
"""The most that a class 2 transformer may be rated for: NEC ch. 9 table 11."""
ADDED = "electrical.control.added"


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


@check("EL-7")
def transformer_load(a: About) -> Finding:
    """All that hangs on the control transformer, what was added on site too, against its rating."""
    circuit = a.ledger.equipment.control_circuit
    rating_va = a.figure(circuit.transformer if circuit else None)
    if circuit is None or not circuit.loads:
        return a.not_applicable("The maker does not say what hangs on the control transformer.")
    (added,) = a.numbers(ADDED)
    loads_va = [*(load.power for load in circuit.loads), added.value]
    total_va = control_load(rating_va, loads_va).load_va
    most_va = min(rating_va, CLASS_2_VA) if circuit.class_2 else rating_va
    working = " + ".join(f"{va:g}" for va in loads_va) + f" = {total_va:g} VA of {rating_va:g} VA"
    beyond = "A class 2 transformer may give no more than 100 VA." if most_va < rating_va else ""
    return a.judge(
        "Load on the control transformer",
        Measured(total_va, added.expanded),
        "apparent_power",
        None,
        most_va,
        working=working,
        extra=beyond,
    )
