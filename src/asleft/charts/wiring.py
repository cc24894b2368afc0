"""The circuits as declared, from the supply to what hangs on each, with what was read on them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from asleft.charts.chart import Amount, Branch, Cell, Chart, OneLine, Table
from asleft.charts.words import labels, shown
from asleft.session.readings import known

if TYPE_CHECKING:
    from asleft.equipment.model import Circuit, Heater
    from asleft.session.fields import Field
    from asleft.visit import View

HEADS = (
    *("circuit", "device", "conductor", "length", "idle", "loaded"),
    *("L1", "L2", "L3", "marked minimum", "marked maximum", "on it", "fails"),
)
_PAIRS = ("l1_l2", "l2_l3", "l3_l1")


def wiring(view: View) -> Chart:
    """One branch a circuit of the kit fitted, or one for the blower alone."""
    kit = view.ledger.kit
    circuits = list(enumerate(kit.circuit, 1)) if kit else []
    branches = [_branch(view, kit, n, circuit) for n, circuit in circuits if kit]
    if not any(circuit.feeds_blower for _, circuit in circuits):
        branches.append(_blower_alone(view, first=not branches))
    rows = [_row(view, kit, n, circuit) for n, circuit in circuits if kit]
    facts = [(f"{field.label}", cell) for field, cell in _at_the_unit(view)]
    supply = view.ledger.supply
    parts = ("device", "conductor", "length")
    of_circuits = (f"electrical.circuit.{n}.{part}" for n, _ in circuits for part in parts)
    fields = ("identity.kit", "identity.supply", *of_circuits)
    source = ["Supply"]
    if supply is not None:
        phases = f"{supply.phases} phase{'s' if supply.phases > 1 else ''}"
        source += [view.ledger.show(supply.nominal, "voltage", digits=0), phases]
    system = view.state.text("identity.system")
    source += [system] if system else []
    return Chart(
        "wiring",
        "Circuits as declared, and what was read on them",
        OneLine(tuple(source), tuple(branches)),
        _note(view, len(circuits)),
        Table(HEADS, tuple(rows), tuple(facts)),
        labels(view.ledger, fields),
        view.ledger.system,
    )


def _amount(view: View, field_id: str) -> Amount | None:
    """What a field reads, with its uncertainty, while that counts."""
    found = known(view.ledger, field_id)
    return None if found is None else Amount(found.value, found.kind, found.expanded)


def _text(view: View, field_id: str) -> str:
    entry = view.ledger.current(field_id)
    return str(entry.value) if entry else ""


def _short(view: View, cell: Amount | None) -> str:
    """A quantity without its uncertainty, for the picture."""
    return "" if cell is None else view.ledger.show(cell.value, cell.kind)


def _rating(view: View, cell: Amount | None) -> str:
    """A device's rating as it is marked: without decimals where it has none."""
    if cell is None:
        return ""
    return view.ledger.show(cell.value, cell.kind, digits=0 if cell.value == round(cell.value) else None)


def _pairs(view: View, begin: str) -> list[Amount]:
    """The volts of each pair of lines that was read."""
    return [found for pair in _PAIRS if (found := _amount(view, f"{begin}.{pair}")) is not None]


def _loaded(view: View, n: int) -> list[Amount]:
    own = _pairs(view, f"electrical.circuit.{n}.loaded")
    return own or (_pairs(view, "electrical.loaded") if n == 1 else [])


def _amps(view: View, n: int) -> list[tuple[str, Amount]]:
    found = ((leg, _amount(view, f"electrical.circuit.{n}.called.{leg}")) for leg in ("l1", "l2", "l3"))
    return [(leg.upper(), amps) for leg, amps in found if amps is not None]


def _volts(view: View, volts: list[Amount]) -> str:
    """Volts of one pair, or of three with the unit once."""
    figures = [view.ledger.show(v.value, v.kind) for v in volts]
    return " / ".join([*(f.partition(" ")[0] for f in figures[:-1]), *figures[-1:]])


def _conductor(view: View, n: int) -> str:
    begin = f"electrical.circuit.{n}"
    return " ".join(word for part in ("conductor", "material") if (word := _text(view, f"{begin}.{part}")))


def _branch(view: View, kit: Heater, n: int, circuit: Circuit) -> Branch:
    length = _short(view, _amount(view, f"electrical.circuit.{n}.length"))
    conductor = ", ".join(part for part in (_conductor(view, n), length) if part)
    idle = _volts(view, _pairs(view, "electrical.line")) if n == 1 else ""
    loaded, amps = _volts(view, _loaded(view, n)), _amps(view, n)
    terminals = [f"idle {idle}"] if idle else []
    terminals += [f"loaded {loaded}"] if loaded else []
    if amps:
        terminals.append(", ".join(f"{leg} {_short(view, a)}" for leg, a in amps))
    return Branch(
        f"circuit {n}",
        _rating(view, _amount(view, f"electrical.circuit.{n}.device")),
        conductor,
        tuple(terminals),
        tuple(_loads(view, kit, circuit)),
        _fails(view, n),
    )


def _loads(view: View, kit: Heater, circuit: Circuit) -> list[str]:
    """What hangs on a circuit: its stages with what they are rated and drew, and the blower."""
    loads = []
    for number, stage in enumerate(kit.stage, 1):
        if stage.id in circuit.stages:
            rated = view.ledger.show(stage.power, "electric_power")
            at = view.ledger.show(kit.voltage, "voltage", digits=0)
            loads.append(
                f"stage {number}, {rated} at {at}" + _drew(view, f"electrical.stage.{number}.current")
            )
    return [*loads, *([_blower(view)] if circuit.feeds_blower else [])]


def _drew(view: View, field_id: str) -> str:
    drew = _amount(view, field_id)
    return f": {_short(view, drew)}" if drew else ""


def _blower(view: View) -> str:
    rated = view.equipment.blower.full_load_current
    words = "blower" if rated is None else f"blower, {view.ledger.show(rated, 'current')} full load"
    return words + _drew(view, "electrical.blower.current")


def _blower_alone(view: View, *, first: bool) -> Branch:
    """The blower's own supply, of which nobody is asked the device."""
    idle = _volts(view, _pairs(view, "electrical.line")) if first else ""
    return Branch("blower supply", "", "", (f"idle {idle}",) if idle else (), (_blower(view),))


def _fails(view: View, n: int) -> str:
    """The checks that a circuit fails."""
    subject = f"circuit.{n}"
    found = [
        f.id
        for f in view.findings
        if f.failed and (f.subject == subject or f.subject.startswith(subject + "."))
    ]
    return ", ".join(dict.fromkeys(found))


def _at_the_unit(view: View) -> list[tuple[Field, Cell]]:
    """What was read at the unit's terminals, whichever circuit it is."""
    ids = [f"electrical.{begin}.{pair}" for begin in ("line", "loaded", "panel") for pair in _PAIRS]
    ids += [f"electrical.line.{leg}_ground" for leg in ("l1", "l2", "l3")]
    ids += ["electrical.blower.current", "electrical.control.idle", "electrical.control.loaded"]
    fields = view.ledger.fields
    return [(fields[id], found) for id in ids if id in fields and (found := _amount(view, id)) is not None]


def _row(view: View, kit: Heater, n: int, circuit: Circuit) -> tuple[Cell, ...]:
    begin = f"electrical.circuit.{n}"
    system, loaded = view.ledger.system, _loaded(view, n)
    idle = _pairs(view, "electrical.line") if n == 1 else []
    legs = dict(_amps(view, n))
    marked = [
        None if amps is None else Amount(amps, "current") for amps in (circuit.minimum, circuit.maximum)
    ]
    return (
        str(n),
        _amount(view, f"{begin}.device"),
        _conductor(view, n),
        _amount(view, f"{begin}.length"),
        *(
            volts[0] if len(volts) == 1 else " / ".join(shown(v, system) for v in volts)
            for volts in (idle, loaded)
        ),
        *(legs.get(leg) for leg in ("L1", "L2", "L3")),
        *marked,
        "; ".join(_loads(view, kit, circuit)),
        _fails(view, n),
    )


def _note(view: View, count: int) -> str:
    kit, ledger = view.ledger.kit, view.ledger
    if kit is None:
        return "No kit is fitted." if ledger.kit_known else "Which kit is fitted is not said yet."
    if not count:
        return f"The maker lists no circuits of {kit.label}."
    bad = [f"circuit {n} fails {fails}" for n in range(1, count + 1) if (fails := _fails(view, n))]
    many = f"{count} circuit{'s' if count > 1 else ''}"
    if bad:
        return f"{kit.label} on {many}: {'; '.join(bad)}."
    idle, loaded = (
        _volts(view, _pairs(view, "electrical.line")),
        _volts(view, _pairs(view, "electrical.loaded")),
    )
    if idle and loaded:
        return f"{kit.label} on {many}: {idle} with heat off, {loaded} with all heat on."
    return f"{kit.label} on {many}; nothing fails so far."
