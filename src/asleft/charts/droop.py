"""How far the room falls while auxiliary heat is held back, and what each delay on offer comes to."""

from __future__ import annotations

from typing import TYPE_CHECKING

from asleft.charts.chart import Amount, Axis, Cell, Chart, Curve, Mark, Plot, Point, Points, Table
from asleft.charts.words import amount, and_words, labels, standing, verdicts
from asleft.installation.roles.auxiliary_delay import DROOP_LIMIT_K, room_droop
from asleft.session.readings import known

if TYPE_CHECKING:
    from asleft.installation.outlook import Outlook
    from asleft.visit import View

QUARTER, WHOLE = "Q", "W"
HEADS = ("", "delay", "", "held back", "room falls", "best case", "energy a recovery", "checks")
_ROLE = "auxiliary-delay"
_FIELDS = (
    "identity.outdoor",
    "heat.design_load",
    "heat.design_temperature",
    "delay.floor_area",
    "delay.construction",
)
_STEPS = 60
_BEYOND = 1.1
"""How far the picture goes beyond the longest delay."""
_WHY = "Shows how far the room falls at design weather for each delay on offer."


def room_falls(view: View) -> Chart | None:
    """Droop against minutes held back; None at a unit that offers no delay."""
    topic, ledger = view.equipment.role(_ROLE), view.ledger
    if topic is None:
        return None
    outlooks = view.forecast.topics[topic.id].outlooks
    longest = max((o.figures["delay"].value for o in outlooks if "delay" in o.figures), default=0.0)
    curves = _curves(view, longest * _BEYOND)
    entered = known(ledger, "delay.droop_limit")
    limit_k = entered.value if entered else DROOP_LIMIT_K
    whose = "owner's limit" if entered else "usual limit"
    mark = Mark("y", limit_k, f"{whose} {ledger.show(limit_k, 'temperature_difference')}")
    plot = Plot(
        Axis("time", "held back"),
        Axis("temperature_difference", "room falls"),
        curves,
        _points(view, outlooks),
        (mark,) if curves else (),
    )
    return Chart(
        "room-falls",
        "How far the room falls while heat is held back",
        plot,
        _note(view, limit_k, whose) if curves else _WHY,
        _table(view, outlooks, limit_k, whose.capitalize()),
        labels(ledger, _FIELDS),
        ledger.system,
    )


def _curves(view: View, longest_s: float) -> tuple[Curve, ...]:
    """The fall with what answers first, and the best case with the whole of the house."""
    falls = [
        (delay_s, found)
        for delay_s in (longest_s * n / _STEPS for n in range(_STEPS + 1))
        if (found := room_droop(view.ledger, view.estimate, delay_s)) is not None
    ]
    if not falls or longest_s <= 0.0:
        return ()
    quick: Points = tuple((delay_s, found[0].value) for delay_s, found in falls)
    best: Points = tuple((delay_s, found[1].value) for delay_s, found in falls)
    return (
        Curve("a quarter of the house answers", QUARTER, quick, "solid"),
        Curve("best case, the whole house answers", WHOLE, best, "dashed"),
    )


def _words(view: View, outlook: Outlook) -> str:
    return standing(view, _ROLE, outlook.option)


def _points(view: View, outlooks: tuple[Outlook, ...]) -> tuple[Point, ...]:
    """Each delay on offer where it stands on the curve."""
    points = []
    for n, outlook in enumerate(outlooks, 1):
        delay, fall = outlook.figures.get("delay"), outlook.figures.get("droop")
        if delay is None or fall is None:
            continue
        shown = view.ledger.show(fall.value, fall.kind)
        words = _words(view, outlook)
        name = and_words(f"{outlook.label} {shown}", words)
        points.append(Point(name, str(n), delay.value, fall.value, matters=bool(words)))
    return tuple(points)


def _note(view: View, limit_k: float, whose: str) -> str:
    """What the delay that matters does to the room."""
    topic, ledger = view.equipment.role(_ROLE), view.ledger
    outlook = view.forecast.role(_ROLE)
    if topic is None or outlook is None:
        return ""
    option = ledger.chosen(topic) or ledger.in_force(topic)
    id = option.id if option else outlook.recommended
    found = outlook.of(id)
    fall = found.figures.get("droop") if found else None
    if found is None or fall is None:
        return "No delay is in force, chosen or recommended yet."
    limit, shown = (ledger.show(k, "temperature_difference") for k in (limit_k, fall.value))
    where = "within" if fall.value <= limit_k else "beyond"
    word = _words(view, found) or "neither in force nor chosen"
    falls = f"{found.label} ({word}) lets the room fall {shown} at design weather"
    return f"{falls}: {where} the {whose} of {limit}."


def _table(view: View, outlooks: tuple[Outlook, ...], limit_k: float, whose: str) -> Table:
    rows: list[tuple[Cell, ...]] = []
    for n, outlook in enumerate(outlooks, 1):
        figures = [amount(outlook.figures.get(n)) for n in ("delay", "droop", "best_case", "energy")]
        rows.append((str(n), outlook.label, _words(view, outlook), *figures, verdicts(outlook.judged)))
    facts: list[tuple[str, Cell]] = [(whose, Amount(limit_k, "temperature_difference"))]
    alone = next((o.figures["alone"] for o in outlooks if "alone" in o.figures), None)
    if alone is not None:
        facts.append(("Heat pump alone ends a recovery in", amount(alone)))
    return Table(HEADS, tuple(rows), tuple(facts))
