"""Loading an equipment file: everything wrong with it is said at once, with line and column."""

from __future__ import annotations

import hashlib
import os
from functools import lru_cache
from typing import Any

from pydantic import BaseModel, ValidationError

from asleft.equipment.complaints import complaints
from asleft.equipment.errors import Complaint, EquipmentError, EquipmentErrors, Path
from asleft.equipment.model import Equipment, EquipmentFile
from asleft.equipment.nodes import Node
from asleft.equipment.reading import located, read_bounded, read_toml
from asleft.equipment.references import reference_complaints

__all__ = ["EquipmentError", "EquipmentErrors", "EquipmentFile", "load", "load_bytes", "validated"]


def load(path: str | os.PathLike[str]) -> EquipmentFile:
    """Read an equipment file. Raises EquipmentErrors where it is wrong, OSError where it cannot be read."""
    return load_bytes(read_bounded(path), os.fspath(path))


@lru_cache(maxsize=64)
def load_bytes(data: bytes, name: str) -> EquipmentFile:
    """Read an equipment file from its bytes; ``name`` is what messages call it. Raises EquipmentErrors.

    Of the same bytes and name it is the same file, read once: many sessions are of one unit.
    """
    text, raw = read_toml(data, name)
    found: list[Complaint] = []
    equipment: Equipment | None = None
    try:
        equipment = Equipment.model_validate(raw)
    except ValidationError as refusal:
        found.extend(complaints(Equipment, raw, refusal))
    found.extend(reference_complaints(Node((), raw)))
    if found or equipment is None:
        raise located(found, text, name)
    return EquipmentFile(equipment, text, hashlib.sha256(data).hexdigest(), name)


def validated(model: type[BaseModel], raw: object, path: Path) -> tuple[Any, list[Complaint]]:
    """One part of a file by its model, or what was refused in it."""
    try:
        return model.model_validate(raw), []
    except ValidationError as refusal:
        return None, [c._replace(path=(*path, *c.path)) for c in complaints(model, raw, refusal)]
