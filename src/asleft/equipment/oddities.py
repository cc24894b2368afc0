"""What is legal in an equipment file but odd: each oddity in its place, with what would be right.

An oddity never keeps a file from being used. It is a figure or a part that nothing can make use of, or that
another figure of the same file speaks against, so that most likely something was left out or miscopied.
"""

from __future__ import annotations

import tomli

from asleft.equipment.errors import EquipmentError
from asleft.equipment.model import EquipmentFile
from asleft.equipment.nodes import Node
from asleft.equipment.odd_controls import odd_controls
from asleft.equipment.odd_plate import odd_plate
from asleft.equipment.odd_tables import odd_tables
from asleft.equipment.odd_tiers import odd_tiers
from asleft.equipment.reading import located

__all__ = ["oddities"]


def oddities(file: EquipmentFile) -> tuple[EquipmentError, ...]:
    """Everything odd in a file that loaded, in the order of the file."""
    equipment, root = file.equipment, Node((), tomli.loads(file.text))
    found = [
        complaint
        for look in (odd_plate, odd_tiers, odd_tables, odd_controls)
        for complaint in look(equipment, root)
    ]
    return located(found, file.text, file.name).errors
