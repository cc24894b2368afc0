"""The parts of an installed unit that can be mended, and which readings each can change: parts.toml, read."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from fnmatch import fnmatchcase
from functools import cache, lru_cache
from importlib import resources
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

import tomli

from asleft.session.acts import FindingName
from asleft.session.fields import Situation, applicable, field_of

if TYPE_CHECKING:
    from asleft.equipment.model import Equipment

SELF = "{}"
"""What stands in a pattern for the number or the name of the part itself."""
EVERY = "*"
CONTROL = "control"
"""The part that holds the settings: once it is mended, nobody knows what any of them is."""
INSTRUMENT = "instrument."
"""What the name of a part begins with that is no part of the unit: what was read with it is in its reach."""


class NotAPart(ValueError):
    """A part that is none of this unit's; `part` is what was named, `right` those there are of its kind."""

    def __init__(self, part: str, right: tuple[str, ...]) -> None:
        self.part, self.right = part, right
        super().__init__(f"{part!r} is no part of this unit")


@dataclass(frozen=True, slots=True)
class Part:
    """One part as the table states it; its keys are explained at the head of parts.toml."""

    id: str
    of: str
    reach: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Table:
    """All of parts.toml."""

    parts: tuple[Part, ...]
    unshown: Mapping[str, str]
    spared: Mapping[str, str]
    default: Mapping[str, tuple[str, ...]]
    own_readings: frozenset[str]


@cache
def table() -> Table:
    """The parts there are, what no repair makes stale, and which parts a check's failure can mean."""
    data = tomli.loads(resources.files(__package__).joinpath("parts.toml").read_text("utf-8"))
    named: Mapping[str, list[str]] = data["readings"]
    return Table(
        tuple(_part(item, named) for item in data["part"]),
        MappingProxyType(data["unshown"]),
        MappingProxyType(data["spared"]),
        MappingProxyType({check: tuple(parts) for check, parts in data["default"].items()}),
        frozenset(data["own_readings"]["checks"]),
    )


def _part(item: Mapping[str, Any], named: Mapping[str, list[str]]) -> Part:
    reach = (p for word in item["reach"] for p in (named[word[1:]] if word.startswith("@") else (word,)))
    return Part(item["id"], item.get("of", ""), tuple(reach))


def parts_of(fields: Iterable[str]) -> tuple[str, ...]:
    """The parts of a unit to which these fields apply, by name.

    >>> parts_of(("electrical.circuit.1.device", "heat.room.shown"))[:3]
    ('supply', 'circuit.1', 'blower')
    """
    ids = tuple(fields)
    return tuple(name for part in table().parts for name in _named(part, ids))


def _named(part: Part, ids: tuple[str, ...]) -> Iterator[str]:
    begin, _, end = part.of.partition(SELF)
    if SELF not in part.of:
        yield from (part.id,) if not part.of or part.of in ids else ()
    else:
        here = (id for id in ids if fnmatchcase(id, part.of.replace(SELF, EVERY)))
        yield from (part.id.replace(SELF, id[len(begin) : len(id) - len(end)]) for id in here)


def ever_of(equipment: Equipment) -> frozenset[str]:
    """The parts that a unit can have, whichever of its kits and outdoor units is there."""
    pairings = equipment.heat_pump.pairing if equipment.heat_pump else ()
    outdoors = (None, *(pairing.id for pairing in pairings[:1]))
    situations = (
        Situation(kit=kit, outdoor=outdoor)
        for kit in (None, *(heater.id for heater in equipment.heater))
        for outdoor in outdoors
    )
    return frozenset(name for s in situations for name in parts_of(applicable(equipment, s)))


@lru_cache(maxsize=4096)
def _template(name: str) -> tuple[Part, str] | None:
    """The part of the table that this is one of, and its own number or name; None where it is none."""
    for part in table().parts:
        begin, open_, _ = part.id.partition(SELF)
        own = name.removeprefix(begin) if open_ else ""
        if name == part.id.replace(SELF, own) and (not open_ or field_of(part.of.replace(SELF, own))):
            return part, own
    return None


def is_part(name: str) -> bool:
    """Whether any unit can have a part of this name."""
    return _template(name) is not None


@lru_cache(maxsize=16384)
def reaches(name: str, field_id: str) -> bool:
    """Whether a part, once it is mended, can have changed what a field reads."""
    found = _template(name)
    if found is None:
        return False
    part, own = found
    if part.id.startswith(INSTRUMENT):
        field = field_of(field_id)
        return field is not None and own in (field.instrument, field.of_instrument)
    if any(fnmatchcase(field_id, spared) for spared in table().spared):
        return False
    return any(fnmatchcase(field_id, pattern.replace(SELF, own)) for pattern in part.reach)


def default_parts(finding: FindingName, parts: Iterable[str]) -> tuple[str, ...]:
    """The parts, of these, that a finding can mean where nobody names one: as wide as its check cannot tell.

    >>> default_parts(FindingName("EL-15", "stage.2"), ("supply", "stage.1", "stage.2"))
    ('stage.2',)
    """
    patterns = {_meant(pattern, finding.subject) for pattern in table().default.get(finding.id, ())}
    return tuple(name for name in parts if any(fnmatchcase(name, pattern) for pattern in patterns))


def _meant(pattern: str, subject: str) -> str:
    """A part of the default list for a subject: circuit.{} for circuit.2.measured is circuit.2."""
    kind, number = (*subject.split("."), "")[:2]
    own = number if number and pattern.partition(SELF)[0] == f"{kind}." else EVERY
    return pattern.replace(SELF, own)


def part_and_text(typed: str, parts: Iterable[str]) -> tuple[str, str]:
    """The part that a text begins with and the text after it; no part where it begins with none.

    `PART: TEXT` names a part of this unit, in any case, a space for a dot or a hyphen. Raises NotAPart for a
    circuit, stage, sensor or instrument that the unit has not.

    >>> part_and_text("Circuit 1: lug remade", ("supply", "circuit.1"))
    ('circuit.1', 'lug remade')
    """
    word, colon, text = typed.partition(":")
    said, here = "-".join(word.casefold().split()), tuple(parts)
    if not colon:
        return "", typed.strip()
    spelled = {name.replace(".", "-"): name for name in here}
    if (found := spelled.get(said.replace(".", "-"))) is not None:
        return found, text.strip()
    begins = (part.id.partition(SELF)[0] for part in table().parts if SELF in part.id)
    begin = next((begin for begin in begins if said.startswith(begin)), "")
    if begin:
        raise NotAPart(word.strip(), tuple(name for name in here if name.startswith(begin)) or here)
    return "", typed.strip()
