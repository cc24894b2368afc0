"""The rules of an audit, read from rules.toml."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from hashlib import sha256
from importlib import resources
from types import MappingProxyType

import tomli

from asleft import __version__
from asleft.visit import RULES


@dataclass(frozen=True, slots=True)
class Rule:
    """One thing that an audit marks: how heavy it is, what is said of it, why, and its limits."""

    id: str
    weight: float
    says: str
    why: str
    basis: str
    figures: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Mark:
    """A rule that a session meets, in words."""

    rule: str
    text: str

    @property
    def weight(self) -> float:
        """How heavy it is."""
        return rules()[self.rule].weight


@cache
def rules() -> Mapping[str, Rule]:
    """Every rule by its id, heaviest first."""
    data = tomli.loads(_text())
    read = (
        Rule(r["id"], float(r["weight"]), r["says"], r["why"], r["basis"], r.get("figures", {}))
        for r in data["rule"]
    )
    return MappingProxyType({rule.id: rule for rule in sorted(read, key=lambda rule: -rule.weight)})


@cache
def version() -> str:
    """What the rules are, so that a result reckoned by others is not taken for one by these.

    Not those of an audit alone: what is open is told by the checks, and what a reading is by the fields.
    """
    told = (
        __version__,
        RULES,
        _text(),
        resources.files("asleft.checks").joinpath("catalogue.toml").read_text("utf-8"),
        resources.files("asleft.session").joinpath("fields.toml").read_text("utf-8"),
    )
    return sha256("\0".join(told).encode()).hexdigest()[:16]


def mark(id: str, **figures: object) -> Mark:
    """A rule met, its words filled in."""
    return Mark(id, rules()[id].says.format(**{name: str(value) for name, value in figures.items()}))


def _text() -> str:
    return resources.files(__package__).joinpath("rules.toml").read_text("utf-8")
