"""What was given to a command: the unit, the instruments, a rig, a terminal."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from argparse import Namespace

    from asleft.drill.rig import Rig
    from asleft.equipment.model import EquipmentFile, Instrument

FINE, WRONG, REFUSED = 0, 1, 2


def terminal() -> bool:
    """Whether a person sits at both ends."""
    return sys.stdin.isatty() and sys.stdout.isatty()


def refuse(why: str) -> int:
    """Say in one line what was wrong with what was given."""
    from asleft.line.text import complain

    complain(why + ".")
    return REFUSED


def unit(wanted: str) -> EquipmentFile:
    """The unit of an id or a path; a person's own before one that comes with the program."""
    from asleft.equipment.library import find
    from asleft.line.places import equipment_folder

    return find(wanted, equipment_folder())


def demo_unit(options: Namespace) -> EquipmentFile:
    """The unit asked for, else the one that comes with the program for this."""
    from asleft.equipment.library import default, find

    return unit(options.equipment) if options.equipment else find(default())


def instruments() -> dict[str, Instrument]:
    """The instruments that come with the program, then a person's own."""
    from asleft.equipment.library import INSTRUMENTS
    from asleft.equipment.library import instruments as listed
    from asleft.line.places import equipment_folder

    own = equipment_folder() / INSTRUMENTS
    every = (*listed(), *(listed(own) if own.is_file() else ()))
    return {instrument.id: instrument for instrument in every}


def command(line: str | None) -> Rig | None:
    """The program that answers in place of hands and eyes, where one is named. Raises RigError."""
    from asleft.drill.rig import Command

    return Command(line) if line else None
