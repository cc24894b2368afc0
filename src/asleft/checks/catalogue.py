"""The catalogue of checks: what each asks, why, how grave, whose rule it is, and what it guards."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from types import MappingProxyType
from typing import Any, Literal, cast

import tomli

from asleft.checks.finding import Severity

EVERY = ""
"""Key of guards that hold for every subject of a check."""


Urgent = Literal["", "failed", "above"]
"""When a failure endangers at once: whenever it is a hold, or where the value is above its limit; never."""


@dataclass(frozen=True, slots=True)
class Rule:
    """One check as the catalogue states it; `severity` is the gravest it can have.

    `follows` are checks whose failure explains its own: too little current or too few volts.
    """

    id: str
    title: str
    rule: str
    severity: Severity
    source: str
    why: str
    measure: str
    causes: str
    do: str
    guards: Mapping[str, tuple[str, ...]]
    urgent: Urgent = ""
    follows: tuple[str, ...] = ()

    def guards_of(self, subject: str) -> tuple[str, ...]:
        """The acts that a finding of this subject guards while it is a hold."""
        own = self.guards.get(subject.rpartition(".")[2], ())
        return (*self.guards.get(EVERY, ()), *own)


@cache
def catalogue() -> tuple[Rule, ...]:
    """Every check there is, in the order in which findings are given."""
    data = tomli.loads(resources.files(__package__).joinpath("catalogue.toml").read_text("utf-8"))
    return tuple(_rule(item) for item in data["check"])


@cache
def called(id: str) -> str:
    """A check by its id and its title; the id alone where there is none of it."""
    return next((f"{id} {rule.title}" for rule in catalogue() if rule.id == id), id)


def _rule(item: dict[str, Any]) -> Rule:
    guards = item.get("guards", [])
    by_subject = guards if isinstance(guards, dict) else {EVERY: guards}
    return Rule(
        id=item["id"],
        title=item["title"],
        rule=item["rule"],
        severity=cast(Severity, item["severity"]),
        source=item["source"],
        why=item["why"],
        measure=item["measure"],
        causes=item["causes"],
        do=item["do"],
        guards=MappingProxyType({k: tuple(v) for k, v in by_subject.items()}),
        urgent=cast(Urgent, item.get("urgent", "")),
        follows=tuple(item.get("follows", ())),
    )
