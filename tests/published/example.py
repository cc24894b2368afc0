"""One worked example of a source: what it prints, what is typed for it, and what must be found."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

import pytest

from asleft.equipment.model import EquipmentFile
from published.printed import printed
from published.typed import Worked


@dataclass(frozen=True)
class Example:
    """A case of a source, typed into a visit at a unit made for it.

    ``figures`` gives each printed figure as the finding says it. ``otherwise`` is typed over the example, at
    ``other_unit`` where one is given, and must give the verdict ``then``: no row passes whatever is typed.
    """

    source: str
    unit: EquipmentFile
    typed: Mapping[str, str]
    key: str
    verdict: str
    figures: Mapping[str, str]
    otherwise: Mapping[str, str]
    then: str
    given: Mapping[str, str] = field(default_factory=dict)
    other_unit: EquipmentFile | None = None

    def says_what_is_printed(self) -> None:
        """The finding has the verdict, and its words each figure to the digits that the source prints."""
        finding = Worked(self.unit, {**self.given, **self.typed}).finding(self.key)
        assert finding.verdict == self.verdict, finding
        words = f"{finding.text} {finding.working}"
        for digits, said in self.figures.items():
            number = re.search(r"[\d.]+", said)
            assert number
            assert re.search(rf"(?<![\d.]){re.escape(said)}", words), (said, words)
            assert float(number[0]) == printed(digits)

    def can_fail(self) -> None:
        """Other readings, or another unit, give another verdict."""
        assert self.then != self.verdict
        typed = {**self.given, **self.typed, **self.otherwise}
        finding = Worked(self.other_unit or self.unit, typed).finding(self.key)
        assert finding.verdict == self.then, finding


def row(kind: str, name: str, *example: Any, **more: Any) -> Any:
    """One example under its kind of source: published, or own_arithmetic."""
    return pytest.param(Example(*example, **more), marks=getattr(pytest.mark, kind), id=name)
