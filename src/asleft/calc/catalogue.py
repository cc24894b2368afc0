"""The list of calculations that people run by name: what goes in, what comes out, and why it is so."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Any

import tomli

SUFFIXES: Mapping[str, str] = MappingProxyType(
    {
        "voltage": "v",
        "current": "a",
        "resistance": "ohm",
        "electric_power": "w",
        "heat_rate": "w",
        "static_pressure": "pa",
        "airflow": "m3s",
        "temperature": "c",
        "temperature_difference": "k",
        "length": "m",
        "area": "m2",
        "time": "s",
        "apparent_power": "va",
        "density": "kgm3",
        "velocity": "ms",
        "heat_loss_coefficient": "wk",
        "thermal_capacity": "jk",
        "friction_rate": "pam",
    }
)
"""What a parameter or field of each kind ends in, after its name and an underscore."""


@dataclass(frozen=True, slots=True)
class Input:
    """One input; ``default`` is as a person would type it, None where there is none."""

    name: str
    kind: str
    or_kind: str | None
    default: str | None
    optional: bool
    list: bool
    difference: bool
    choices: tuple[str, ...]
    unit: str | None
    digits: int | None

    def parameter(self, kind: str | None = None) -> str:
        """Name the function's parameter that takes this input in its base unit."""
        suffix = SUFFIXES.get(kind or self.kind)
        return f"{self.name}_{suffix}" if suffix else self.name


@dataclass(frozen=True, slots=True)
class Result:
    """One result.

    ``unit`` is the unit shown, None for the usual one of the kind.
    ``none`` says in words what a result without an answer means; ``none_word`` is itself the answer then.
    ``exact`` results go in steps and carry no uncertainty.
    """

    name: str
    kind: str
    unit: str | None
    digits: int | None
    none: str | None
    none_word: str | None
    exact: bool


@dataclass(frozen=True, slots=True)
class Calculation:
    """One calculation.

    ``tables`` names the published tables that it reads.
    ``shared_instrument`` says that one instrument read all inputs, so that U adds.
    """

    name: str
    subject: str
    title: str
    inputs: tuple[Input, ...]
    results: tuple[Result, ...]
    formula: str
    source: str
    limits: str
    example: tuple[str, ...]
    tables: tuple[str, ...]
    shared_instrument: bool

    @property
    def function(self) -> Callable[..., Any]:
        """Give the function that does it."""
        import asleft.calc as calculations

        found: Callable[..., Any] = getattr(calculations, self.name.replace("-", "_"))
        return found


def _input(raw: Mapping[str, Any]) -> Input:
    return Input(
        name=raw["name"],
        kind=raw["kind"],
        or_kind=raw.get("or_kind"),
        default=raw.get("default"),
        optional=raw.get("optional", False),
        list=raw.get("list", False),
        difference=raw.get("difference", False),
        choices=tuple(raw.get("choices", ())),
        unit=raw.get("unit"),
        digits=raw.get("digits"),
    )


def _result(raw: Mapping[str, Any]) -> Result:
    return Result(
        name=raw["name"],
        kind=raw["kind"],
        unit=raw.get("unit"),
        digits=raw.get("digits"),
        none=raw.get("none"),
        none_word=raw.get("none_word"),
        exact=raw.get("exact", False),
    )


@cache
def catalogue() -> Mapping[str, Calculation]:
    """Give every calculation by its name, in the order in which the list shows them."""
    text = Path(__file__).with_name("catalogue.toml").read_text(encoding="utf-8")
    found = (
        Calculation(
            name=raw["name"],
            subject=raw["subject"],
            title=raw["title"],
            inputs=tuple(map(_input, raw["inputs"])),
            results=tuple(map(_result, raw["results"])),
            formula=raw["formula"],
            source=raw["source"],
            limits=raw["limits"],
            example=tuple(raw["example"]),
            tables=tuple(raw.get("tables", ())),
            shared_instrument=raw.get("shared_instrument", False),
        )
        for raw in tomli.loads(text)["calculation"]
    )
    return MappingProxyType({calculation.name: calculation for calculation in found})
