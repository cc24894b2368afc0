"""What the house asks and what the heat pump and the kit give, by the weather outside."""

from __future__ import annotations

from typing import TYPE_CHECKING

from asleft.charts.chart import Amount, Axis, Cell, Chart, Curve, Mark, Plot, Point, Points, Table
from asleft.charts.words import amount, labels, standing, verdicts
from asleft.installation.heat_pump import balance, capacity_at, shortfall_w
from asleft.quantity import from_unit
from asleft.session.readings import known
from asleft.tables import heat_pump_points

if TYPE_CHECKING:
    from asleft.calc import Measured
    from asleft.visit import View

LOAD, PUMP = "L", "P"
_FIELDS = ("identity.outdoor", "identity.kit", "heat.design_load", "heat.design_temperature")
_ROLE = "outdoor-lockout"
_BELOW_K, _ABOVE_K = 5.0, 3.0
"""How far the picture goes beyond the coldest and the warmest place that matters."""


def house_load(view: View) -> Chart | None:
    """Load, heat-pump capacity and kit by outdoor temperature; None at a unit that heats with neither."""
    if not view.equipment.heater and view.equipment.heat_pump is None:
        return None
    ledger, e = view.ledger, view.estimate
    missing = labels(ledger, _FIELDS)
    weather = Axis("temperature", "outdoor temperature")
    title = "House, heat pump and kit against the weather"
    ua, load, design = e.heat_loss_coefficient_wk, e.design_load_w, e.design_temperature_c
    if ua is None or load is None or design is None:
        plot = Plot(weather, Axis("heat_rate", "heat"))
        return Chart("house-load", title, plot, _WHY, Table(), missing, ledger.system)
    temperatures = _temperatures(view, design)
    asked = tuple((t, ua * (e.zero_load_c - t)) for t in temperatures if t <= e.zero_load_c)
    curves = [Curve("house asks", LOAD, asked, "solid")]
    if (pump := _capacity(view, temperatures)) is not None:
        curves.append(Curve("heat pump gives", PUMP, pump, "dash-dot"))
    curves += _with_kit(view, temperatures, pump)
    points: tuple[Point, ...] = ()
    balanced = balance(ledger, e)
    if balanced is not None and balanced.temperature_c is not None and balanced.load_w is not None:
        name = f"balance point {ledger.show(balanced.temperature_c, 'temperature')}"
        points = (Point(name, "B", balanced.temperature_c, balanced.load_w, matters=True),)
    plot = Plot(weather, Axis("heat_rate", "heat"), tuple(curves), points, tuple(_marks(view, design)))
    return Chart("house-load", title, plot, _note(view), _table(view), missing, ledger.system)


_WHY = "Shows down to which weather the heat pump carries the house alone, and where the kit must help."


def cut_outs(view: View) -> tuple[float | None, float | None]:
    """The compressor's cut-out by the maker, and the one read off the control, degC."""
    pump = view.equipment.heat_pump
    if pump is None or view.ledger.pairing is None:
        return None, None
    read = known(view.ledger, "heat.outdoor.cut_out")
    return pump.cut_out, read.value if read else None


def _temperatures(view: View, design_c: float) -> tuple[float, ...]:
    """Every temperature at which a line may bend, coldest first."""
    tests = [from_unit(point, "temperature", "°F") for point in heat_pump_points()]
    cut_out, _ = cut_outs(view)
    lockouts = [mark.at for mark in _lockouts(view)]
    bends = [design_c, view.estimate.zero_load_c, *([] if cut_out is None else [cut_out])]
    low, high = min([*bends, *lockouts]) - _BELOW_K, max([*bends, *lockouts]) + _ABOVE_K
    return tuple(sorted({low, high, *bends, *(t for t in tests if low < t < high)}))


def _capacity(view: View, temperatures: tuple[float, ...]) -> Points | None:
    """Heat-pump capacity, nothing below the cut-out; None without a heat pump."""
    if capacity_at(view.ledger, temperatures[0]) is None:
        return None
    cut_out, _ = cut_outs(view)
    points: list[tuple[float, float] | None] = []
    for t in temperatures:
        if t == cut_out:
            points.append((t, 0.0))
        points.append((t, capacity_at(view.ledger, t) or 0.0))
    return tuple(points)


def _with_kit(view: View, temperatures: tuple[float, ...], pump: Points | None) -> list[Curve]:
    """The heat with stages 1 to n on, on top of what the heat pump gives, for each n."""
    below = pump or tuple((t, 0.0) for t in (temperatures[0], temperatures[-1]))
    curves = []
    for n, heat in enumerate(view.estimate.heat_to_stage_w, 1):
        name = f"with stage {n}" if n == 1 else f"with stages 1 to {n}"
        points = tuple(None if p is None else (p[0], p[1] + heat.value) for p in below)
        curves.append(Curve(name, str(n), points, "dotted", scales=n == 1))
    return curves


def _lockouts(view: View) -> list[Mark]:
    """The lockouts that matter: in force, chosen, recommended."""
    topic = view.equipment.role(_ROLE)
    marks = []
    for option in view.ledger.options(topic) if topic else ():
        if words := standing(view, _ROLE, option.id):
            shown = view.ledger.show(float(option.value), "temperature")
            marks.append(Mark("x", float(option.value), f"lockout {shown}", words))
    return marks


def _marks(view: View, design_c: float) -> list[Mark]:
    show = view.ledger.show
    marks = [Mark("x", design_c, f"design {show(design_c, 'temperature')}"), *_lockouts(view)]
    maker, read = cut_outs(view)
    if maker is not None:
        marks.append(Mark("x", maker, f"cut-out {show(maker, 'temperature')}"))
    if read is not None and (maker is None or show(read, "temperature") != show(maker, "temperature")):
        marks.append(Mark("x", read, f"cut-out set {show(read, 'temperature')}"))
    return marks


def _kit_heat(view: View) -> Measured | None:
    return view.estimate.heater_power_w if view.ledger.kit is not None else None


def _note(view: View) -> str:
    """Down to where the heat pump carries the house, and whether the kit fills what is left at design."""
    ledger, e = view.ledger, view.estimate
    balanced, short, kit = balance(ledger, e), shortfall_w(ledger, e), _kit_heat(view)
    note = ""
    if balanced is not None and balanced.temperature_c is not None:
        shown = ledger.show(balanced.temperature_c, "temperature")
        note = f"The heat pump carries the house alone down to {shown}. "
    elif balanced is not None:
        note = "The heat pump and the house do not meet: there is no balance point. "
    if short is None or e.design_temperature_c is None:
        return note.strip()
    left = ledger.show(short, "heat_rate")
    note += f"At {ledger.show(e.design_temperature_c, 'temperature')} {left} is left to the kit"
    if kit is not None:
        word = "gives" if kit.value >= short else "gives only"
        return f"{note}, which {word} {ledger.show(kit.value, 'heat_rate')}."
    return note + "."


def _table(view: View) -> Table:
    """The lockouts on offer, and the figures of the house."""
    ledger, e, topic = view.ledger, view.estimate, view.equipment.role(_ROLE)
    rows: list[tuple[Cell, ...]] = []
    for outlook in view.forecast.topics[topic.id].outlooks if topic else ():
        words = standing(view, _ROLE, outlook.option)
        figures = [amount(outlook.figures.get(n)) for n in ("lockout", "above_balance", "lets_go")]
        rows.append((outlook.label, words, *figures, verdicts(outlook.judged)))
    balanced, short, kit = balance(ledger, e), shortfall_w(ledger, e), _kit_heat(view)
    maker, read = cut_outs(view)
    facts: list[tuple[str, Cell]] = [
        ("Design temperature", _some(e.design_temperature_c, "temperature")),
        ("Load at design", _some(e.design_load_w, "heat_rate")),
        ("No heat needed from", _some(e.zero_load_c, "temperature")),
        ("Balance point", _some(balanced.temperature_c, "temperature") if balanced else None),
        ("Heat pump at design", _some(_at_design(view), "heat_rate")),
        ("Left to the kit at design", _some(short, "heat_rate")),
        ("Compressor cut-out by the maker", _some(maker, "temperature")),
        ("Compressor cut-out read", _some(read, "temperature")),
    ]
    for n, heat in enumerate(e.heat_to_stage_w, 1):
        facts.append(
            (
                f"Kit, stages 1 to {n}" if n > 1 else "Kit, stage 1",
                Amount(heat.value, "heat_rate", heat.expanded),
            )
        )
    if kit is None:
        facts.append(("Kit", "none fitted" if view.ledger.kit_known else "not said yet"))
    heads = ("lockout", "", "from", "above balance", "lets go", "checks")
    return Table(heads, tuple(rows), tuple((name, cell) for name, cell in facts if cell is not None))


def _at_design(view: View) -> float | None:
    design_c = view.estimate.design_temperature_c
    return None if design_c is None else capacity_at(view.ledger, design_c)


def _some(value: float | None, kind: str) -> Cell:
    return None if value is None else Amount(value, kind)
