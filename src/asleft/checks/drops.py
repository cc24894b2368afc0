"""Checks of what a branch circuit drops between panel and unit, as computed and as measured."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from asleft.calc import Measured, combine, heater_current, voltage_drop
from asleft.checks.about import About
from asleft.checks.case import Case
from asleft.checks.circuits import kit_and_circuit
from asleft.checks.listing import check
from asleft.checks.listing import circuits as each_circuit
from asleft.installation.line_fields import IDLE, PANEL, circuit_loaded_fields, kit_fields

if TYPE_CHECKING:
    from asleft.checks.finding import Finding

BRANCH, WITH_FEEDER = 0.03, 0.05
"""Drop of a branch circuit, and of feeder and branch together (NEC 210.19(A), informational note)."""


def _each(what: str, case: Case) -> Iterable[str]:
    return tuple(f"{s}.{what}" if s != "unit" else f"unit.{what}" for s in each_circuit(case))


@check("EL-12", lambda case: _each("computed", case))
def computed(a: About) -> Finding:
    """Drop of the rated load over the run as it is built."""
    kit, circuit = kit_and_circuit(a)
    supply = a.supply()
    begin = f"electrical.circuit.{a.n}."
    run = a.fact_number(f"{begin}length")
    size, material = a.words(f"{begin}conductor", f"{begin}material")
    watts = sum(s.power for s in kit.stage if s.id in circuit.stages)
    heat_a = heater_current(watts, kit.voltage, kit.phases) * supply.nominal / kit.voltage
    blower_a = (a.ledger.equipment.blower.full_load_current or 0.0) if circuit.feeds_blower else 0.0
    load_a = heat_a + blower_a
    drop = voltage_drop(load_a, run.value, size, supply.nominal, material, kit.phases)
    factor = "1.73" if kit.phases == 3 else "2"
    working = (
        f"{factor} x {a.show(run.value, 'length')} of {size} {material} x {a.show(load_a, 'current')} = "
        f"{a.show(drop.drop_v, 'voltage', 2)}, of {supply.nominal:g} V {drop.fraction:.1%}"
    )
    fraction = combine(
        lambda run_m: voltage_drop(load_a, run_m, size, supply.nominal, material, kit.phases).fraction,
        Measured(run.value, run.expanded),
    )
    what = f"Drop of circuit {a.n} as it is built"
    return a.say(a.share_against(what, fraction, None, BRANCH), working=working)


@check("EL-12", lambda case: _each("measured", case))
def measured(a: About) -> Finding:
    """Volts lost with all heat on: from the panel where they were read there, else from idle."""
    kit_and_circuit(a)
    a.heat_on()
    at_unit = circuit_loaded_fields(a.ledger, a.n)
    at_panel = kit_fields(a.ledger, PANEL)
    by_panel = any(a.case.known(f) is not None for f in at_panel)
    start = at_panel if by_panel else kit_fields(a.ledger, IDLE)
    most = BRANCH if by_panel else WITH_FEEDER
    read = a.numbers(*start, *at_unit)
    judged = []
    for before, after in zip(read[: len(start)], read[len(start) :], strict=True):
        if before.value <= 0.0:
            return a.failed(f"{a.case.label(before.field)}: no voltage.", do="Find where the supply is open.")
        lost = combine(
            lambda b, u: (b - u) / b,
            Measured(before.value, before.expanded),
            Measured(after.value, after.expanded),
        )
        what = f"Drop of circuit {a.n}, {'panel to unit' if by_panel else 'idle to all heat'}"
        against = a.share_against(what, lost, None, most)
        working = f"({before.value:.1f} - {after.value:.1f}) V / {before.value:.1f} V = {lost.value:.2%}"
        judged.append((against, working))
    against, working = min(judged, key=lambda found: found[0].rank)
    extra = "" if by_panel else "Feeder and service are in it; volts at the panel would part them."
    return a.say(against, working=working, extra=extra)
