"""Virtual instruments in a trainee's own hands: where the dial stands, on what range, and where it is put."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources

import tomli

from asleft.quantity import parse
from asleft.sequence.guards import power_of_field
from asleft.session.fields import Field

AUTO = "auto"


@dataclass(frozen=True, slots=True)
class Range:
    """One range of an instrument: the most that its display holds and its last digit, in the base unit."""

    name: str
    most: float
    step: float


@dataclass(frozen=True, slots=True)
class Kept:
    """An instrument as it is handed out: its dials, what shows what, and the ranges of each dial."""

    role: str
    dials: tuple[str, ...]
    placed: str
    reads: Mapping[str, str]
    ranges: Mapping[str, tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class Held:
    """How an instrument stands in somebody's hands. `at` is the field at whose place it is put."""

    dial: str
    range: str = AUTO
    at: str = ""

    def as_mapping(self) -> dict[str, str]:
        """As it goes with a request to read."""
        return {"dial": self.dial, "range": self.range, "at": self.at}


@cache
def instruments_kept() -> Mapping[str, Kept]:
    """Every instrument by its role."""
    data = tomli.loads(resources.files(__package__).joinpath("hands.toml").read_text("utf-8"))
    return {
        item["role"]: Kept(
            item["role"],
            tuple(item["dials"]),
            item["placed"],
            item["reads"],
            {dial: tuple(names) for dial, names in item["ranges"].items()},
        )
        for item in data["instrument"]
    }


def right(field: Field) -> Held:
    """An instrument set and placed as a row asks."""
    return Held(instruments_kept()[field.instrument].reads[field.kind], AUTO, field.id)


def ranges_of(role: str, dial: str) -> tuple[str, ...]:
    """The ranges that a dial has; only its own where it finds it by itself."""
    return instruments_kept()[role].ranges.get(dial, (AUTO,))


def range_of(name: str, kind: str) -> Range | None:
    """What a range holds; None for one that finds its own."""
    if name == AUTO:
        return None
    number, unit, step, step_unit = name.split(" ")
    return Range(name, parse(f"{number} {unit}", kind).value, parse(f"{step} {step_unit}", kind).value)


def places(fields: Mapping[str, Field], wanted: Field) -> tuple[Field, ...]:
    """Where an instrument can be put while the unit does what it does for this row."""
    return tuple(f for f in fields.values() if f.instrument == wanted.instrument and f.state == wanted.state)


def hurts(held: Held, field: Field) -> bool:
    """Whether a meter set for ohms is put where there is voltage: power is on for every such place."""
    return field.instrument == "meter" and held.dial == "ohm" and power_of_field(field) == "on"


def shown(held: Held, at: Field, truth: float) -> float | None:
    """What the display makes of what is there: none of it on a wrong dial, None where it cannot hold it."""
    if held.dial != instruments_kept()[at.instrument].reads[at.kind]:
        return 0.0
    known = range_of(held.range, at.kind)
    if known is None:
        return truth
    if abs(truth) > known.most:
        return None
    return round(truth / known.step) * known.step
