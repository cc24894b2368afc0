"""Topics that nothing here decides."""

from __future__ import annotations

from typing import TYPE_CHECKING

from asleft.installation.outlook import Outlook, TopicOutlook
from asleft.installation.reckoning import Reckoning, finish

if TYPE_CHECKING:
    from asleft.equipment.model import Topic


def as_found(reckoning: Reckoning, topic: Topic) -> TopicOutlook:
    """What was found stays, unless the owner wants another."""
    ledger = reckoning.ledger
    options = ledger.options(topic)
    outlooks = reckoning.outlooks(topic, lambda o: Outlook(topic.id, o.id, o.label))
    found = ledger.found_option(topic)
    if found is not None and ledger.option(topic, found.id):
        others = [o for o in options if o.id != found.id]
        why = "As found, unless the owner wishes otherwise"
        if others:
            runner = min(others, key=reckoning.writes)
            writes = reckoning.writes(runner)
            why += f"; {runner.label} would take {writes} more {'write' if writes == 1 else 'writes'}"
        return finish(topic, outlooks, found.id, why + ".")
    settings = {id for o in options for id in o.set}
    places = [(s.id, address) for s, address in reckoning.equipment.places() if s.id in settings]
    if not all(ledger.shown(id, address) is not None for id, address in places):
        return finish(topic, outlooks, None, "")
    first = min(options, key=reckoning.writes)
    return finish(
        topic, outlooks, first.id, "What was found is no option on offer; this is the nearest to it."
    )
