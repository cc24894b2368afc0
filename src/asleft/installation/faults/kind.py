"""What a kind of fault is: where it can be at a unit, and what it changes there."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any

from asleft.installation.unit import BLOWER_FEED
from asleft.session.parts import SELF

if TYPE_CHECKING:
    from asleft.equipment.model import Equipment, Heater
    from asleft.installation.unit import Installation

Path = tuple[Any, ...]
"""Where something stands in an installation: attributes, then a key or an index."""


class CannotBe(ValueError):
    """A fault that this unit cannot have; the text says why."""


@dataclass(frozen=True, slots=True)
class Change:
    """What a fault puts in place of what was healthy, and what it needs as it was to be a fault at all."""

    put: Mapping[Path, object]
    needs: tuple[Path, ...] = field(default=())

    def clash(self, other: Change) -> Path | None:
        """What both are about, where they cannot stand beside each other."""
        for path in self.put:
            for theirs in (*other.put, *other.needs):
                if _same(path, theirs):
                    return path
        return next((p for p in other.put for mine in self.needs if _same(p, mine)), None)

    def made(self, installation: Installation) -> Installation:
        """The installation so changed."""
        for path, value in self.put.items():
            installation = _with(installation, path, value)
        return installation


Places = Callable[["Installation", "Equipment"], tuple[str, ...]]
"""Where a fault can be, the likeliest first; ("",) where there is one place only. Raises CannotBe."""
Changes = Callable[["Installation", "Equipment", float, str], Change]
"""The change of a fault of a size above 0, at most 1, in one of its places."""


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of fault. `mild` is the least size whose readings show it; `sizes` says what the size means.

    `part` is what is mended to heal it, as parts.toml names it: {} is the number in its place, * all of them.
    """

    kind: str
    called: str
    part: str
    sizes: str
    places: Places
    change: Changes
    mild: float = 0.25

    def part_at(self, where: str) -> str:
        """The part that is mended in one of its places; a circuit of the blower's own is the supply's."""
        number = where.partition(".")[0]
        return "supply" if number == BLOWER_FEED else self.part.replace(SELF, number)

    def can_be(self, installation: Installation, equipment: Equipment) -> str:
        """Nothing, or why this unit cannot have it."""
        try:
            self.places(installation, equipment)
        except CannotBe as why:
            return str(why)
        return ""


ALL_OR_NOTHING = "there or not, whatever the size"


def anywhere(_installation: Installation, _equipment: Equipment) -> tuple[str, ...]:
    """A fault of the whole unit that any unit can have."""
    return ("",)


def kit_of(installation: Installation, equipment: Equipment) -> Heater:
    """The kit fitted."""
    kit = equipment.kit(installation.kit)
    if kit is None:
        raise CannotBe("no heater kit is fitted")
    return kit


def with_kit(installation: Installation, equipment: Equipment) -> tuple[str, ...]:
    """A fault of the whole unit that needs a kit."""
    kit_of(installation, equipment)
    return ("",)


def each_circuit(installation: Installation, equipment: Equipment) -> tuple[str, ...]:
    """A fault of one of the kit's circuits, by number."""
    kit = kit_of(installation, equipment)
    if not kit.circuit or len(installation.branches) < len(kit.circuit):
        raise CannotBe("nobody says which circuits feed the kit")
    return tuple(str(n) for n, _ in enumerate(kit.circuit, 1))


def each_stage(installation: Installation, equipment: Equipment) -> tuple[str, ...]:
    """A fault of one of the kit's stages, by number."""
    each_circuit(installation, equipment)
    return tuple(str(n) for n, _ in enumerate(kit_of(installation, equipment).stage, 1))


def step(size: float, count: int) -> int:
    """Which of so many steps, from 0, a size means."""
    return min(count - 1, int(size * count))


def _same(one: Path, other: Path) -> bool:
    shorter = min(len(one), len(other))
    return one[:shorter] == other[:shorter]


def _with(thing: Any, path: Path, value: object) -> Any:
    head, *rest = path
    if isinstance(thing, Mapping):
        return {**thing, head: value}
    if isinstance(thing, tuple):
        inner = _with(thing[head], tuple(rest), value) if rest else value
        return (*thing[:head], inner, *thing[head + 1 :])
    return replace(thing, **{head: _with(getattr(thing, head), tuple(rest), value) if rest else value})
