"""Where a fault is one at all: a setting left in the control is wrong only beside what this site wants."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

from asleft.drill.classroom.known import known_faults
from asleft.drill.healthy import right_settings
from asleft.installation.faults import FAULTS, Fault, with_faults

if TYPE_CHECKING:
    from asleft.drill.site import Site
    from asleft.equipment.model import Equipment


@dataclass(frozen=True)
class Places:
    """The places of faults at one healthy site."""

    healthy: Site
    equipment: Equipment

    @cached_property
    def _right(self) -> tuple[dict[str, str], Mapping[tuple[str, str], str]]:
        return right_settings(self.healthy, self.equipment)

    def possible(self) -> dict[str, tuple[str, ...]]:
        """The kinds that the unit can have, each with every place; one empty place where it has one."""
        site, unit = self.healthy.installation, self.equipment
        return {
            kind: known.places(site, unit) for kind, known in FAULTS.items() if not known.can_be(site, unit)
        }

    def wrong(self, kind: str, size: float = 1.0) -> tuple[str, ...]:
        """The places at which a kind is a fault here, the likeliest first. Raises CannotBe."""
        every = FAULTS[kind].places(self.healthy.installation, self.equipment)
        return tuple(
            where for where in every if self._told_right(kind, where) and self._off(kind, size, where)
        )

    def placed(self, fault: Fault) -> Fault:
        """The fault at a place where it is one, where none was said."""
        if fault.where:
            return fault
        return Fault(fault.kind, fault.size, next(iter(self.wrong(fault.kind, fault.size)), ""))

    def _told_right(self, kind: str, where: str) -> bool:
        """Whether a place that is an option is one that the kind may name at this site."""
        known = known_faults()[kind]
        if not known.place:
            return True
        topic = self.equipment.role(known.set_right[0])
        best = self._right[0].get(topic.id) if topic else None
        if topic is None or best is None:
            return True
        if known.place == "right":
            return where == best
        values = {option.id: option.value for option in topic.option}
        return float(str(values[where])) > float(str(values[best]))

    def _off(self, kind: str, size: float, where: str) -> bool:
        """Whether what stands in the control then is not what this site wants anyway."""
        wrong = with_faults(self.healthy.installation, self.equipment, (Fault(kind, size, where),))
        put, physics = wrong.control.found, replace(wrong, control=replace(wrong.control, found={}))
        # A healthy site's control holds nothing that somebody left in it.
        return physics != self.healthy.installation or any(
            self._right[1].get(at) != value for at, value in put.items()
        )
