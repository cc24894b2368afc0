"""Faults as changes to the physics of an installed unit: any that can exist, at any size, in any order."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import TYPE_CHECKING

from asleft.installation.faults import (
    air,
    branches,
    consequences,
    control_power,
    heater,
    instruments,
    left_in_control,
    outdoors,
    storing,
    supply,
)
from asleft.installation.faults.kind import CannotBe, Change, Kind

if TYPE_CHECKING:
    from asleft.equipment.model import Equipment
    from asleft.installation.unit import Installation

__all__ = ["FAULTS", "CannotBe", "Fault", "Kind", "clash", "with_faults"]

_SUBJECTS = (
    supply,
    branches,
    control_power,
    heater,
    air,
    instruments,
    left_in_control,
    storing,
    outdoors,
    consequences,
)

FAULTS: Mapping[str, Kind] = {kind.kind: kind for subject in _SUBJECTS for kind in subject.KINDS}
"""Every kind of fault by its name."""


@dataclass(frozen=True, slots=True)
class Fault:
    """One fault. `size` goes from 0, healthy, to 1; `where` is one of its places, unsaid the likeliest."""

    kind: str
    size: float = 1.0
    where: str = ""


def with_faults(installation: Installation, equipment: Equipment, faults: Sequence[Fault]) -> Installation:
    """The healthy installation with all of these faults. Raises CannotBe, saying which cannot be and why.

    Each is a change to what is healthy, and no two change one thing, so their order does not matter.
    """
    changes = [(fault, _change(installation, equipment, fault)) for fault in faults]
    for (one, its), (other, theirs) in combinations(changes, 2):
        if path := its.clash(theirs):
            raise CannotBe(f"{one.kind} and {other.kind} cannot be together: {_words(path)} is one thing")
    for _, change in changes:
        installation = change.made(installation)
    return installation


def clash(installation: Installation, equipment: Equipment, one: Fault, other: Fault) -> str:
    """Nothing, or why these two cannot be at this unit together."""
    try:
        with_faults(installation, equipment, (one, other))
    except CannotBe as why:
        return str(why)
    return ""


def _change(installation: Installation, equipment: Equipment, fault: Fault) -> Change:
    kind = FAULTS.get(fault.kind)
    if kind is None:
        raise CannotBe(f"{fault.kind!r} is no kind of fault; there are {', '.join(FAULTS)}")
    if not 0.0 <= fault.size <= 1.0:
        raise CannotBe(f"{fault.kind} of size {fault.size:g}: a size is 0 to 1")
    try:
        places = kind.places(installation, equipment)
    except CannotBe as why:
        raise CannotBe(f"{fault.kind} cannot be here: {why}") from None
    where = fault.where or places[0]
    if where not in places:
        raise CannotBe(f"{fault.kind} cannot be at {where!r}; it can at {', '.join(map(repr, places))}")
    return kind.change(installation, equipment, fault.size, where) if fault.size > 0.0 else Change({})


def _words(path: tuple[object, ...]) -> str:
    return " ".join(str(part).replace("_", " ") for part in path)
