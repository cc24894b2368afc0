"""Kinds of quantity and the closed table of spellings that a person may type for each."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from types import MappingProxyType
from typing import Any

import tomli

from asleft.quantity.errors import QuantityError


@dataclass(frozen=True, slots=True)
class Unit:
    """One unit of a kind: base value = (typed value + ``offset``) x ``over`` / ``under``.

    The factor is kept as two numbers so that a decimal such as 565 L/s stays the nearest float to 0.565 m3/s.
    """

    name: str
    over: float
    under: float
    offset: float
    pint: str

    def to_base(self, value: float) -> float:
        """Turn a value in this unit into the base unit."""
        return (value + self.offset) * self.over / self.under

    def from_base(self, value: float) -> float:
        """Turn a value in the base unit into this unit."""
        return value * self.under / self.over - self.offset

    def size(self, value: float) -> float:
        """Turn a difference or an uncertainty in this unit into the base unit."""
        return value * self.over / self.under


@dataclass(frozen=True, slots=True)
class Kind:
    """What sort of quantity a value is.

    ``lowest`` and ``highest`` bound what a field takes as plausible, in the base unit; None is no bound.
    ``large`` are the units in which a person reads values from so many base units on, ascending.
    ``closed`` kinds take no unit from outside their table; ``bare`` kinds need none.
    """

    id: str
    label: str
    base_unit: str
    ip_unit: str
    si_unit: str
    lowest: float | None
    highest: float | None
    ip_digits: int
    si_digits: int
    bare: bool
    closed: bool
    large: tuple[tuple[str, float], ...]
    units: Mapping[str, Unit]
    exact: Mapping[str, Unit]
    folded: Mapping[str, Unit]
    refused: Mapping[str, str]


_PER = re.compile(r"\bper\b(?!\s+cent)", re.IGNORECASE)
_DROPPED = re.compile(r"[\s.^]+")


@lru_cache(maxsize=1024)
def spelling_key(text: str) -> str:
    """Bring a unit's spelling to the form in which spellings are compared; case is kept.

    >>> spelling_key("in. w.c. per 100 ft"), spelling_key("ft³/min")
    ('inwc/100ft', 'ft3/min')
    """
    plain = unicodedata.normalize("NFKC", text.strip())
    plain = plain.replace("″", '"').replace("”", '"').replace("“", '"').replace("′", "'").replace("’", "'")
    plain = plain.replace("''", '"').replace("**", "").replace("\N{GREEK CAPITAL LETTER OMEGA}", "Ω")
    return _DROPPED.sub("", _PER.sub("/", plain))


def _units(raw: Mapping[str, Any], kinds: Mapping[str, Any]) -> list[Mapping[str, Any]]:
    found = list(raw["unit"])
    for other in raw.get("shares", ()):
        found.extend(kinds[other]["unit"])
    return found


def _kind(name: str, kinds: Mapping[str, Any]) -> Kind:
    raw = kinds[name]
    units: dict[str, Unit] = {}
    exact: dict[str, Unit] = {}
    folded: dict[str, Unit] = {}
    ambiguous: set[str] = set()
    for row in _units(raw, kinds):
        over, under = row["factor"] if isinstance(row["factor"], list) else (row["factor"], 1)
        unit = Unit(row["name"], float(over), float(under), row.get("offset", 0.0), row["pint"])
        units[unit.name] = unit
        for spelling in (unit.name, *row["spellings"]):
            key = spelling_key(spelling)
            if exact.setdefault(key, unit) is not unit:
                raise ValueError(f"kinds.toml: {name}: {spelling!r} is given to two units")
            if row.get("exact", False) or folded.setdefault(key.casefold(), unit) is not unit:
                ambiguous.add(key.casefold())
    for key in ambiguous:
        folded.pop(key, None)
    refused = {
        spelling_key(spelling): row["why"]
        for source in (name, *raw.get("shares", ()))
        for row in kinds[source].get("refused", ())
        for spelling in row["spellings"]
    }
    lowest = highest = None
    if "range" in raw:
        low, high, unit_name = raw["range"]
        bound = units[unit_name]
        lowest, highest = bound.to_base(low), bound.to_base(high)
    return Kind(
        id=name,
        label=raw["label"],
        base_unit=raw["base"],
        ip_unit=raw["ip"],
        si_unit=raw["si"],
        lowest=lowest,
        highest=highest,
        ip_digits=raw["digits"][0],
        si_digits=raw["digits"][1],
        bare=raw.get("bare", False),
        closed=raw.get("closed", False),
        large=tuple((unit, least) for unit, least in raw.get("large", ())),
        units=MappingProxyType(units),
        exact=MappingProxyType(exact),
        folded=MappingProxyType(folded),
        refused=MappingProxyType(refused),
    )


def _load() -> Mapping[str, Kind]:
    text = Path(__file__).with_name("kinds.toml").read_text(encoding="utf-8")
    raw = tomli.loads(text)
    return MappingProxyType({name: _kind(name, raw) for name in raw})


KINDS: Mapping[str, Kind] = _load()
"""Every kind of quantity by its id."""


def kind_of(kind: str) -> Kind:
    """Give the kind with this id; QuantityError when there is none."""
    try:
        return KINDS[kind]
    except KeyError:
        raise QuantityError(
            f"no kind of quantity {kind!r}", found=kind, expected="one of " + ", ".join(KINDS)
        ) from None
