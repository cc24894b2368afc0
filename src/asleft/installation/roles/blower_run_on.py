"""How long the blower runs on after heat."""

from __future__ import annotations

from typing import TYPE_CHECKING

from asleft.installation.outlook import Figure, Judged, Outlook, TopicOutlook
from asleft.installation.reckoning import Reckoning, finish
from asleft.installation.roles.as_found import as_found

if TYPE_CHECKING:
    from asleft.equipment.model import Option, Topic


def blower_run_on(reckoning: Reckoning, topic: Topic) -> TopicOutlook:
    """The shortest that is at least the unit's least; as found where the maker gives none."""
    least = reckoning.equipment.blower.least_run_on
    if least is None:
        return as_found(reckoning, topic)

    def make(option: Option) -> Outlook:
        figure = Figure("time", float(option.value))
        judged = (Judged.of("TD-5", figure, least, None),)
        return Outlook(topic.id, option.id, option.label, {"run_on": figure}, judged)

    outlooks = reckoning.outlooks(topic, make)
    ordered = sorted(reckoning.ledger.options(topic), key=lambda o: float(o.value))
    pick = next((o for o in ordered if float(o.value) >= least), ordered[-1])
    return finish(
        topic, outlooks, pick.id, f"The shortest of at least {reckoning.ledger.show(least, 'time')}."
    )
