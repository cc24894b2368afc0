"""Setting up a visit to an invented site, and playing it to its signature."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from asleft.drill.rig import BuiltIn, Command, Rig
from asleft.drill.site import site
from asleft.drill.technician import SimulatedClock, headless, session_id
from asleft.drill.virtual import VirtualUnit
from asleft.equipment.library import instruments
from asleft.visit import Visit

if TYPE_CHECKING:
    from asleft.equipment.model import EquipmentFile


@dataclass(slots=True)
class Job:
    """An open visit and the rig that answers in it."""

    visit: Visit
    rig: Rig

    def close(self) -> None:
        """Let go of the file and of the rig."""
        self.visit.close()
        self.rig.close()


@dataclass(frozen=True, slots=True)
class Played:
    """A session played to its signature; why, where it was not commissioned."""

    path: Path
    seed: int
    outcome: str
    events: int
    why: str = ""


def virtual_unit(equipment: EquipmentFile, seed: int) -> VirtualUnit:
    """The healthy virtual unit of a seed."""
    unit = equipment.equipment
    return VirtualUnit(unit, site(seed, unit), seed)


def begin(
    folder: Path,
    equipment: EquipmentFile,
    seed: int,
    *,
    command: str = "",
    clock: Callable[[], str] | None = None,
) -> Job:
    """A new visit to the invented site of a seed. Its clock is simulated unless one is given.

    Raises RigError where the command cannot be started, JournalError where the folder cannot be written.
    """
    place = site(seed, equipment.equipment)
    virtual = VirtualUnit(equipment.equipment, place, seed)
    rig: Rig = Command(command) if command else BuiltIn(virtual)
    with ExitStack() as begun:
        begun.callback(rig.close)
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        visit = Visit.create(
            folder,
            equipment,
            {i.id: i for i in instruments()},
            site=place.job["identity.site"],
            by=place.job["identity.technician"],
            clock=clock or SimulatedClock(seed),
            session_id=session_id(seed),
            mode="demo",
        )
        begun.pop_all()
    return Job(visit, rig)


def play(
    folder: Path,
    equipment: EquipmentFile,
    seed: int,
    *,
    command: str = "",
    screen: bool = False,
    show: bool = False,
) -> Played:
    """Play one visit to its signature, on the visit or through the real screen; the bytes are the same.

    Raises RigError, Stuck, SaveFailed and JournalError; the session file then holds what was done so far.
    """
    job = begin(folder, equipment, seed, command=command)
    try:
        if screen:
            from asleft.tui import Wizard
            from asleft.unattended.player import play_on_screen

            play_on_screen(Wizard(job.visit, job.rig), show=show)
        else:
            headless(job.visit, job.rig)
        signature = job.visit.view.state.signature
        outcome = signature.outcome if signature else "not signed"
        view = job.visit.view
        return Played(job.visit.path, seed, outcome, view.state.last_n, view.next.why)
    finally:
        job.close()
