"""Healthy demo visits at every unit, stopped at several points; each is played once."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

from asleft.drill.technician import act
from asleft.equipment.library import find, units
from asleft.unattended import begin
from asleft.visit import View
from asleft.visit.view import look

UNITS = [unit.id for unit in units()]
SEED = 2
STOPS = ("", "power", "blower.", "choose:", "wrote:", "read_back:", "sign")
"""What next begins with where a view is taken; "" is the very beginning."""


@cache
def views(unit: str) -> tuple[View, ...]:
    """The view at each of these points that the visit comes by, and that of the signed session."""
    found: list[View] = []
    wanted = list(STOPS)
    with TemporaryDirectory() as folder:
        job = begin(Path(folder), find(unit), SEED)
        try:
            while job.visit.view.next.do != "nothing":
                view = job.visit.view
                for stop in [stop for stop in wanted if view.next.enter.startswith(stop)]:
                    wanted.remove(stop)
                    found.append(view)
                job.visit.submit(*act(view, job.rig))
            found.append(job.visit.view)
        finally:
            job.close()
    # Views of one stage are alike; the first, the last and three between them stand for all.
    return tuple(found[round(n * (len(found) - 1) / 4)] for n in range(5))


def signed(unit: str, system: str = "ip") -> View:
    """The view of the whole visit, in either system of units."""
    whole = views(unit)[-1]
    return look(whole.equipment, whole.state, system)
