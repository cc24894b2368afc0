"""Words that several charts use: a quantity with its uncertainty, what an option is, what is missing."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from asleft.calc import Measured
from asleft.charts.chart import Amount
from asleft.checks.against import measured_shown
from asleft.quantity import show

if TYPE_CHECKING:
    from asleft.charts.chart import Cell
    from asleft.installation.outlook import Figure, Judged
    from asleft.session.ledger import Ledger
    from asleft.visit import View


def shown(cell: Cell, system: str) -> str:
    """A cell of a table as a person reads it."""
    if cell is None:
        return ""
    if isinstance(cell, str):
        return cell
    return measured_shown(Measured(cell.value, cell.expanded), cell.kind, system)


def bare(cell: Amount, system: str) -> str:
    """An amount without its unit, for a column that names it."""
    number = show(cell.value, cell.kind, system, unit=False)
    return (
        f"{number} ± {show(cell.expanded, cell.kind, system, unit=False)}" if cell.expanded > 0.0 else number
    )


def amount(figure: Figure | None) -> Amount | None:
    """A predicted figure as an amount."""
    return None if figure is None else Amount(figure.value, figure.kind, figure.expanded)


def labels(ledger: Ledger, fields: tuple[str, ...]) -> tuple[str, ...]:
    """The labels of those of these fields that apply here and have no value that counts."""
    return tuple(
        ledger.fields[field].label
        for field in dict.fromkeys(fields)
        if field in ledger.fields and ledger.current(field) is None
    )


def standing(view: View, role: str, *options: str) -> str:
    """What one of these options of a role is here: in force, chosen, recommended, or none of these."""
    topic, ledger = view.equipment.role(role), view.ledger
    if topic is None:
        return ""
    in_force, chosen = ledger.in_force(topic), ledger.chosen(topic)
    words = {
        "in force": in_force.id if in_force else None,
        "chosen": chosen.id if chosen else None,
        "recommended": view.forecast.topics[topic.id].recommended,
    }
    return ", ".join(word for word, id in words.items() if id in options)


def verdicts(judged: Sequence[Judged]) -> str:
    """Each check that does not plainly pass, with its verdict; `pass` where all do."""
    words = [f"{j.check} {j.verdict}" for j in judged if j.verdict != "pass"]
    return ", ".join(words) or ("pass" if judged else "")


def and_words(text: str, words: str) -> str:
    """A name with what it is, where it is something."""
    return f"{text}, {words}" if words else text
