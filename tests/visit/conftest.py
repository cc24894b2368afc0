"""A visit on the demo unit in a folder of its own, its clock simulated."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from asleft.drill.rig import BuiltIn
from asleft.drill.technician import SimulatedClock, act
from asleft.drill.virtual import VirtualUnit
from asleft.equipment.library import find, instruments
from asleft.visit import Visit
from played import place_of

Play = Callable[[str], None]
SEED = 11


@pytest.fixture
def visit(tmp_path: Path) -> Iterator[Visit]:
    """An empty visit."""
    made = Visit.create(
        tmp_path,
        find("tarnfield-lowmoor-36"),
        {i.id: i for i in instruments()},
        site="Hillside 3",
        by="Ada Calder",
        clock=SimulatedClock(SEED),
        session_id="test",
    )
    yield made
    made.close()


@pytest.fixture
def rig(visit: Visit) -> BuiltIn:
    """The healthy virtual unit that answers in it."""
    unit = visit.equipment.equipment
    return BuiltIn(VirtualUnit(unit, place_of(SEED), SEED))


@pytest.fixture
def play(visit: Visit, rig: BuiltIn) -> Play:
    """Do what next says until it would be the act that starts like this."""

    def until(left: str) -> None:
        while not visit.view.next.enter.startswith(left):
            assert visit.view.next.do != "nothing", f"{left} never came"
            visit.submit(*act(visit.view, rig))

    return until
