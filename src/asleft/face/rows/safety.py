"""Rows of what comes before hands, power and live readings: acknowledgements and the power itself."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from asleft.checks import catalogue
from asleft.face.rows.row import Row
from asleft.help import cautions
from asleft.session.acts import Acknowledge, SwitchPower

if TYPE_CHECKING:
    from asleft.visit import View

ACKNOWLEDGEMENTS = ("EL-1", "EL-18", "EL-19")


def safety_rows(view: View) -> Iterator[Row]:
    """What is to be acknowledged, then power."""
    rules = {rule.id: rule for rule in catalogue()}
    first = True
    for id in ACKNOWLEDGEMENTS:
        for finding in (f for f in view.findings if f.id == id):
            yield Row(
                Acknowledge(id),
                rules[id].title,
                now="yes" if finding.verdict == "pass" else "",
                verdict={"pass": "given", "not applicable": "n/a"}.get(finding.verdict, "asked for"),
                group="Before hands, power and live readings" if first else "",
                help="Type yes when all of it is so.",
                details=(rules[id].do or rules[id].measure,),
                caution=cautions()["pane"]["electrical"],
                choices=("yes",),
                findings=(finding.key,),
                done=finding.verdict == "pass",
            )
            first = False
    yield power_row(view)


def power_row(view: View, group: str = "") -> Row:
    """Power at the unit, as somebody last said."""
    return Row(
        SwitchPower(),
        "Power at the unit",
        now=view.state.power,
        group=group,
        help="Type off or on as you switch it. Until somebody says, a unit counts as on.",
        choices=("off", "on"),
        caution=cautions()["pane"]["electrical"],
        done=True,
    )
