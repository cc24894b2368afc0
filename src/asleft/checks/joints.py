"""The check of a bad joint: volts that a circuit loses beyond its run, in one place, as heat."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from math import hypot, sqrt
from typing import TYPE_CHECKING

from asleft.calc import Measured, combine, voltage_drop
from asleft.checks.about import About, Settled
from asleft.checks.circuits import kit_and_circuit
from asleft.checks.listing import check
from asleft.checks.listing import circuits as each_circuit
from asleft.installation.line_fields import IDLE, PANEL, circuit_loaded_fields, kit_fields, leg_fields
from asleft.session.readings import own_spread

if TYPE_CHECKING:
    from asleft.checks.finding import Finding, Severity
    from asleft.equipment.model import Heater
    from asleft.session.readings import Known

HOT_W = 20.0
"""Heat in one joint from which nobody may let it run (common practice)."""
DRIFT = 0.002
"""What a supply moves between two readings of one set, as a part of it (common practice)."""
RUN_SPREAD = 0.10
"""U of a computed drop, as a part of it: few conductors are at the 75 degC of the table (common practice)."""
UPSTREAM = 0.01
"""What feeder and service lose with all heat before a joint is looked for: half of the 2 % that the notes at
NEC 215.2(A) and 210.19(A) leave them (common practice).
"""


NOTHING = Measured(0.0, 0.0)


@dataclass(frozen=True, slots=True)
class Lost:
    """Volts that go missing in the joints of one leg, or of either of two, and the current through them."""

    where: str
    how: str
    volts: Measured
    amps: Measured

    @property
    def heat_w(self) -> Measured:
        """What they turn into heat."""
        return combine(lambda v, i: v * i, self.volts, self.amps)


@dataclass(frozen=True, slots=True)
class Begins:
    """The volts that a circuit begins with: what was read in these fields, and what the run to them lost."""

    fields: tuple[str, ...]
    how: str
    run: Measured = NOTHING


@check("EL-26", each_circuit)
def bad_joint(a: About) -> Finding:
    """Across the joints where that was read; else panel less unit, less what the run accounts for."""
    a.rule = replace(a.rule, severity="advise")
    kit, _ = kit_and_circuit(a)
    a.heat_on()
    amps = a.numbers(*leg_fields(kit, a.n, "called"))
    across = _across(a, kit, amps)
    if (begins := _begins(a, kit)) is not None:
        return _judged(a, [*across, *_missing(a, kit, amps, begins)])
    if across:
        # One sound joint says nothing of the other legs; a bad one says enough.
        found = _judged(a, across)
        if found.failed or len(across) == len(amps):
            return found
    return _from_idle(a, kit, amps)


def _across(a: About, kit: Heater, amps: tuple[Known, ...]) -> list[Lost]:
    """What was read from wire to terminal, leg by leg."""
    found = []
    for field, current in zip(leg_fields(kit, a.n, "joint"), amps, strict=True):
        if (volts := a.case.known(field)) is not None:
            a.rest_on(field)
            found.append(
                Lost(f"the joint of {_leg(field)}", "read across it", volts.measured, current.measured)
            )
    return found


def _leg(field: str) -> str:
    return field.rpartition(".")[2].upper()


def _begins(a: About, kit: Heater) -> Begins | None:
    """Where the volts of a circuit begin: at the panel, else where its sound neighbour shows them to be.

    What another circuit of the same panel reads, and what its own run loses, is the least that the panel had.
    """
    panel = kit_fields(a.ledger, PANEL)
    if all(a.case.known(f) is not None for f in panel):
        return Begins(panel, "panel to unit")
    implied = []
    for other in (n for n in range(1, len(kit.circuit) + 1) if n != a.n):
        amps = [k for f in leg_fields(kit, other, "called") if (k := a.case.known(f)) is not None]
        fields = circuit_loaded_fields(a.ledger, other)
        read = [k for f in fields if (k := a.case.known(f)) is not None]
        run = _run(a, kit, other, amps)
        if run is not None and len(read) == len(fields):
            least = sum(k.value for k in read) / len(read) + run.value
            implied.append((least, Begins(fields, f"against circuit {other}", run)))
    return max(implied, key=lambda found: found[0])[1] if implied else None


def _alike(a: About, before: tuple[str, ...], after: tuple[str, ...]) -> Iterator[tuple[Measured, Measured]]:
    """Two sets of volts, pair by pair, as they count beside each other: one meter's gain is in both."""
    entries = [entry for f in (*before, *after) if (entry := a.ledger.current(f)) is not None]
    one_meter = len({entry.instrument for entry in entries}) == 1
    for two in zip(a.numbers(*before), a.numbers(*after), strict=True):
        first, last = (
            Measured(k.value, own_spread(a.ledger, k.field)) if one_meter else k.measured for k in two
        )
        yield first, last


def _run(a: About, kit: Heater, n: int, amps: Sequence[Known]) -> Measured | None:
    """What the run of a circuit loses by its length and conductor; None where they are not known."""
    begin = f"electrical.circuit.{n}."
    length, size, material = (a.ledger.current(begin + what) for what in ("length", "conductor", "material"))
    run = a.case.known(f"{begin}length")
    if run is None or length is None or size is None or material is None or not amps:
        return None
    level = sum(k.value for k in amps) / len(amps)
    lost_v = voltage_drop(
        level, run.value, str(size.value), kit.voltage, str(material.value), kit.phases
    ).drop_v
    a.rest(length.n, size.n, material.n)
    whole = hypot(RUN_SPREAD, run.expanded / run.value if run.value > 0.0 else 0.0)
    return Measured(lost_v, lost_v * whole)


def _missing(a: About, kit: Heater, amps: tuple[Known, ...], begins: Begins) -> list[Lost]:
    """Beyond its run, what each leg of three loses, or both legs of two together."""
    begin = f"electrical.circuit.{a.n}."
    read = list(_alike(a, begins.fields, circuit_loaded_fields(a.ledger, a.n)))
    a.have(f"{begin}length", f"{begin}conductor", f"{begin}material")
    run = _run(a, kit, a.n, amps)
    if run is None:
        raise Settled(a.not_measured("What the run of this circuit loses is not known."))
    pairs = [
        combine(
            lambda b, other, u, drift, r: b + other - u + drift - r,
            *(before, begins.run, after, Measured(0.0, DRIFT * after.value), run),
        )
        for before, after in read
    ]
    if len(pairs) == 1:
        level = Measured(sum(k.value for k in amps) / len(amps), max(k.expanded for k in amps))
        return [Lost("L1 or L2", begins.how, pairs[0], level)]
    # A joint in one leg shows in both of its pairs, each time with the cosine of 30 degrees.
    l1_l2, l2_l3, l3_l1 = pairs
    legs = ((l1_l2, l3_l1, l2_l3), (l1_l2, l2_l3, l3_l1), (l2_l3, l3_l1, l1_l2))
    return [
        Lost(f"L{n}", begins.how, combine(lambda p, q, r: (p + q - r) / sqrt(3.0), *three), current.measured)
        for n, (three, current) in enumerate(zip(legs, amps, strict=True), 1)
    ]


def _watts(heat: Measured) -> str:
    """The heat of a joint, in watts: thousands of them are no joint any more."""
    return f"{heat.value:.0f} W ± {heat.expanded:.0f} W"


def _judged(a: About, found: list[Lost]) -> Finding:
    """The worst of what goes missing: within its U nothing is shown, beyond one and a half of it it is."""
    worst = max(found, key=lambda lost: (lost.volts.value - lost.volts.expanded, lost.volts.value))
    against = a.apart(f"Circuit {a.n} loses beyond its run", worst.volts, "voltage")
    working = "; ".join(
        f"{lost.where}: {a.measured(lost.volts, 'voltage')} x {a.show(lost.amps.value, 'current')} = "
        f"{_watts(lost.heat_w)}"
        for lost in found
    )
    if against.verdict == "pass":
        text = (
            f"Circuit {a.n}, {worst.how}: no bad joint shows. Beyond what its run accounts for it loses "
            f"{a.measured(worst.volts, 'voltage')}."
        )
        return a.finding("conditional pass" if a.unknown else "pass", text, against=against, working=working)
    text = (
        f"Circuit {a.n}, {worst.how}, loses {a.measured(worst.volts, 'voltage')} beyond what its run "
        f"accounts for, in {worst.where}: {_watts(worst.heat_w)} of heat in one place."
    )
    if against.verdict == "conditional pass":
        return a.finding(against.verdict, f"{text} Read both ends again.", against=against, working=working)
    grave: Severity = "hold" if worst.heat_w.value > HOT_W else "correct"
    return a.finding("fail", text, severity=grave, against=against, working=working)


def _from_idle(a: About, kit: Heater, amps: tuple[Known, ...]) -> Finding:
    """From volts at the unit alone: feeder and service are in it, so no joint can be named."""
    lost = _missing(a, kit, amps, Begins(kit_fields(a.ledger, IDLE), "idle to all heat"))
    worst = max(lost, key=lambda one: one.volts.value - one.volts.expanded)
    allowed = UPSTREAM * kit.voltage
    panel = kit_fields(a.ledger, PANEL)
    joints = leg_fields(kit, a.n, "joint")
    said = (
        f"Circuit {a.n}, {worst.how}: {a.measured(worst.volts, 'voltage')} beyond what its run accounts for,"
        f" {_watts(worst.heat_w)}"
    )
    if worst.volts.value - worst.volts.expanded <= allowed:
        a.need_field(panel[0])
        return a.not_measured(
            f"{said}, feeder and service included. A small loss in a joint cannot be told from that.",
            do="Volts at the panel with all heat on would tell a joint from feeder and service.",
        )
    for field in joints if all(a.ledger.refused(f) for f in panel) else panel:
        a.need_field(field)
    a.rule = replace(a.rule, severity="correct")
    return a.not_measured(
        f"{said}: more than feeder and service should lose. A bad joint may burn there.",
        do="Read the volts at the panel with all heat on; where that cannot be done, across each joint.",
    )
