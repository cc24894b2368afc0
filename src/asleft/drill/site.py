"""The site of a seed: sites are invented until one is healthy.

Its readings, at the settings that fit it, lie well inside every limit.
"""

from __future__ import annotations

from collections import Counter
from random import Random
from typing import TYPE_CHECKING

from asleft.drill.healthy import prove_healthy
from asleft.drill.invented import Site, invent
from asleft.drill.obstacle import InTheWay

if TYPE_CHECKING:
    from asleft.equipment.model import Equipment

__all__ = ["NoSite", "Site", "site"]

TRIES = 400
ADVICE = frozenset({"TD-6", "BL-17", "HS-2"})
"""Checks that only advise: in ducts designed for the fan tables alone, few sites would pass them too."""
BY_TONS = 250
"""Tries at ducts for the tons of cooling, before they are designed for the fan tables alone."""


class NoSite(RuntimeError):
    """No healthy site was found for this unit: the field of its file that stands in the way most often."""

    def __init__(self, unit: str, seed: int, field: str, why: str, right: str) -> None:
        self.field = field
        super().__init__(
            f"No healthy site was found for {unit} with seed {seed}, most often because of {field} "
            f"in its file: {why}; right would be {right}."
        )


def site(seed: int, equipment: Equipment) -> Site:
    """The site of a seed for a unit. Raises NoSite where the unit's file leaves no healthy one."""
    random = Random(f"site {seed}")
    met: Counter[tuple[str, str, str]] = Counter()
    for tries in range(TRIES):
        by_table = tries >= BY_TONS
        if tries == BY_TONS:
            met.clear()
        try:
            tried = invent(random, equipment, seed, by_table=by_table, as_shipped=by_table and tries % 2 == 1)
            prove_healthy(tried, equipment, excused=ADVICE if by_table else frozenset())
        except InTheWay as obstacle:
            met[obstacle.field, obstacle.why, obstacle.right] += 1
        else:
            return tried
    (most, _), *_ = met.most_common(1)
    raise NoSite(equipment.unit.id, seed, *most)
