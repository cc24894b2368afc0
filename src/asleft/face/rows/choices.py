"""Rows of topics: the option as found, what was chosen or is left, and every option side by side."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from asleft.face.rows.row import AHEAD, Row
from asleft.face.rows.verdicts import sign, worst
from asleft.guide import pane_of_role
from asleft.quantity import show
from asleft.session.acts import Choose

if TYPE_CHECKING:
    from asleft.equipment.model import Option, Topic
    from asleft.installation.outlook import Figure, Outlook, TopicOutlook
    from asleft.visit import View

_COLUMNS = {
    "airflow": "airflow",
    "static": "static",
    "power": "watts",
    "heat": "heat",
    "rise": "rise",
    "leaving_air": "leaving air",
    "lockout": "lockout",
    "above_balance": "above balance",
    "delay": "delay",
    "droop": "room falls",
    "best_case": "best case",
    "energy": "energy",
    "run_on": "run-on",
}


def choice_rows(view: View, pane: str, system: str) -> Iterator[Row]:
    """The topics decided on a pane."""
    first = True
    for topic in view.equipment.topic:
        if pane_of_role(topic.role) == pane:
            yield _topic_row(view, topic, system, group="Choices" if first else "")
            first = False


def _topic_row(view: View, topic: Topic, system: str, *, group: str = "") -> Row:
    ledger, outlook = view.ledger, view.forecast.topics[topic.id]
    chosen, found = ledger.chosen(topic), ledger.found_option(topic)
    act = Choose(topic.id)
    about = [f for f in view.findings if act in f.needs]
    return Row(
        act,
        topic.label,
        found=found.label if found else "",
        now=_now(chosen, ledger.left_option(topic)),
        verdict=sign(worst(about)),
        group=group,
        help=topic.help or "Left and right go through the options; Enter takes one.",
        choices=tuple(dict.fromkeys(o.label for o in ledger.options(topic))),
        details=tuple(_option_lines(view, topic, outlook, system)),
        findings=tuple(f.key for f in about),
        prefill=best.label if (best := ledger.option(topic, outlook.recommended or "")) else "",
        done=chosen is not None,
    )


def _now(chosen: Option | None, left: Option | None) -> str:
    """The option as left; while the control does not hold what was chosen, that with an arrow before it."""
    if chosen is None or (left is not None and left.id == chosen.id):
        return left.label if left else ""
    return f"{AHEAD}{chosen.label}"


def _option_lines(view: View, topic: Topic, outlook: TopicOutlook, system: str) -> Iterator[str]:
    """Every option side by side: what it would do, which is recommended and why."""
    names = _figures_told(outlook)
    heads = ["option", *(_COLUMNS[n] for n in names), ""]
    lines = [heads]
    for option in outlook.outlooks:
        figures = (_figure(option.figures.get(n), system) for n in names)
        lines.append([option.label, *figures, ", ".join(_marks(view, topic, option))])
    widths = [max(len(line[i]) for line in lines) for i in range(len(heads))]
    for line in lines:
        yield " ".join(cell.ljust(width) for cell, width in zip(line, widths, strict=True)).rstrip()
    if why := why_recommended(view, outlook):
        yield why


def option_sentences(view: View, topic: Topic, system: str) -> dict[str, str]:
    """What each option would do, by its label, for reading aloud: `airflow 977 cfm, …; recommended`."""
    outlook = view.forecast.topics[topic.id]
    names = _figures_told(outlook)
    said = {}
    for option in outlook.outlooks:
        told = [f"{_COLUMNS[n]} {_figure(option.figures[n], system)}" for n in names if n in option.figures]
        parts = [", ".join(told), ", ".join(_marks(view, topic, option))]
        said[option.label] = "; ".join(part for part in parts if part)
    return said


def why_recommended(view: View, outlook: TopicOutlook) -> str:
    """Why that option is recommended, or what is still needed before one can be."""
    if outlook.why or not outlook.missing:
        return outlook.why
    labels = [view.ledger.fields[f].label for f in outlook.missing if f in view.ledger.fields]
    return "To recommend one, still needed: " + ", ".join(labels) + "."


def _figures_told(outlook: TopicOutlook) -> list[str]:
    """The figures that decide, at most five."""
    return [n for n in _COLUMNS if any(n in o.figures for o in outlook.outlooks)][:5]


def _marks(view: View, topic: Topic, option: Outlook) -> list[str]:
    """What stands out about an option: recommended, chosen, the checks it fails."""
    chosen = view.ledger.chosen(topic)
    marks = ["recommended"] if option.recommended else []
    if chosen is not None and chosen.id == option.option:
        marks.append("chosen")
    failing = [j.check for j in option.judged if not j.passes]
    return [*marks, "fails " + " ".join(failing)] if failing else marks


def _figure(figure: Figure | None, system: str) -> str:
    if figure is None:
        return ""
    return show(figure.value, figure.kind, system)
