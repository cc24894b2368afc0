"""The site of a seed: sites are invented until one is healthy.

Its readings, at the settings that fit it, lie well inside every limit.
"""

from __future__ import annotations

from random import Random
from typing import TYPE_CHECKING

from asleft.drill.healthy import healthy
from asleft.drill.invented import Site, invent

if TYPE_CHECKING:
    from asleft.equipment.model import Equipment

__all__ = ["NoSite", "Site", "site"]

TRIES = 400
BY_TONS = 250
"""Tries at ducts for the tons of cooling, before they are designed for the fan tables alone."""


class NoSite(RuntimeError):
    """No healthy site was found for this unit; its file leaves no room for one."""


def site(seed: int, equipment: Equipment) -> Site:
    """The site of a seed for a unit. Raises NoSite where the unit's file leaves no healthy one."""
    random = Random(f"site {seed}")
    for tries in range(TRIES):
        tried = invent(random, equipment, seed, by_table=tries >= BY_TONS)
        if tried is not None and healthy(tried, equipment):
            return tried
    raise NoSite(f"No healthy site was found for {equipment.unit.id} with seed {seed}.")
