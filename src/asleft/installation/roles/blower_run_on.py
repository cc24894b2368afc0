"""How long the blower runs on after heat."""

from __future__ import annotations

from typing import TYPE_CHECKING

from asleft.installation.outlook import Figure, Judged, Outlook, TopicOutlook
from asleft.installation.reckoning import Reckoning, finish
from asleft.installation.roles.as_found import as_found

if TYPE_CHECKING:
    from asleft.equipment.model import Option, Topic


def blower_run_on(reckoning: Reckoning, topic: Topic) -> TopicOutlook:
    """The shortest of at least the unit's least, else the longest; as found where the maker gives none."""
    least = reckoning.equipment.blower.least_run_on
    if least is None:
        return as_found(reckoning, topic)

    def make(option: Option) -> Outlook:
        figure = Figure("time", float(option.value))
        judged = (Judged.of("TD-5", figure, least, None),)
        return Outlook(topic.id, option.id, option.label, {"run_on": figure}, judged)

    outlooks = reckoning.outlooks(topic, make)
    ordered = sorted(reckoning.ledger.options(topic), key=lambda o: float(o.value))
    shown = reckoning.ledger.show(least, "time")
    at = next((i for i, o in enumerate(ordered) if float(o.value) >= least), None)
    if at is None:
        return finish(topic, outlooks, ordered[-1].id, f"None runs on for {shown}: the longest.")
    why = f"The shortest of at least {shown}"
    if at > 0:
        why += f"; {ordered[at - 1].label} would be less"
    elif len(ordered) > 1:
        why += f"; {ordered[1].label} would only run the blower longer"
    return finish(topic, outlooks, ordered[at].id, why + ".")
