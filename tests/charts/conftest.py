"""Healthy demo visits at every unit, stopped at several points; each is played once."""

from __future__ import annotations

from functools import cache

from asleft.equipment.library import find, units
from asleft.journal import classify
from asleft.session.events import Event
from asleft.session.state import fold_all
from asleft.visit import View
from asleft.visit.view import look
from played import nexts_of, session_bytes

UNITS = [unit.id for unit in units()]
SEED = 2
STOPS = ("", "power", "blower.", "choose:", "wrote:", "read_back:", "sign")
"""What next begins with where a view is taken; "" is the very beginning."""


@cache
def views(unit: str) -> tuple[View, ...]:
    """The view at each of these points that the visit comes by, and that of the signed session."""
    nexts, data = nexts_of(SEED, unit), session_bytes(SEED, unit)[1]
    history = [Event.read(event) for event in classify(data).events]
    found = sorted(
        events
        for stop in STOPS
        if (events := next((n for n, left in nexts if left.startswith(stop)), None)) is not None
    )
    found.append(len(history))
    # Views of one stage are alike; the first, the last and three between them stand for all.
    stops = [found[round(n * (len(found) - 1) / 4)] for n in range(5)]
    return tuple(look(find(unit).equipment, fold_all(history[:events])) for events in stops)


def signed(unit: str, system: str = "ip") -> View:
    """The view of the whole visit, in either system of units."""
    whole = views(unit)[-1]
    return look(whole.equipment, whole.state, system)
