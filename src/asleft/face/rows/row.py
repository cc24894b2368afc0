"""One row of a ledger: what it shows, and the act that its entry line submits."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

if TYPE_CHECKING:
    from asleft.visit import View

BAR = 10
"""Cells of the third column."""


@dataclass(frozen=True, slots=True)
class Row:
    """One row of a ledger. `left` is the act that its entry line submits; empty for a row only to be read."""

    left: str
    label: str
    found: str = ""
    now: str = ""
    bar: str = ""
    verdict: str = ""
    group: str = ""
    unit: str = ""
    help: str = ""
    choices: tuple[str, ...] = ()
    details: tuple[str, ...] = ()
    caution: str = ""
    findings: tuple[str, ...] = ()
    prefill: str = ""


class Maker(Protocol):
    """Makes the rows of one pane from a view, in a unit system (`ip` or `si`)."""

    def __call__(self, view: View, system: str) -> Iterator[Row]:
        """The rows, in order."""
        ...
