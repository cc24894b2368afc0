"""One row of a ledger: what it shows, and the act that its entry line submits."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

from asleft.session.acts import Enter

if TYPE_CHECKING:
    from asleft.face.bars import Gauge
    from asleft.session.acts import Act
    from asleft.visit import View

BAR = 10
"""Cells of the third column."""
AHEAD = "→ "
"""Stands before a choice that the control does not hold yet, in the column of what is left."""


@dataclass(frozen=True, slots=True)
class Row:
    """One row of a ledger. `act` is what its entry line submits; None for a row only to be read.

    `found` and `now` are its columns as found and as left; its third holds `bar`, or the `gauge` where there
    are limits. `done` says that what it asks for was given and counts, in whichever column it stands.
    """

    act: Act | None
    label: str
    found: str = ""
    now: str = ""
    bar: str = ""
    gauge: Gauge | None = None
    verdict: str = ""
    group: str = ""
    unit: str = ""
    help: str = ""
    choices: tuple[str, ...] = ()
    details: tuple[str, ...] = ()
    caution: str = ""
    findings: tuple[str, ...] = ()
    prefill: str = ""
    done: bool = False

    @property
    def left(self) -> str:
        """The act as a person types it; empty where there is none."""
        return "" if self.act is None else str(self.act)

    @property
    def field(self) -> str:
        """The field that it asks for; empty where it asks for something else."""
        return self.act.field if isinstance(self.act, Enter) else ""

    @property
    def submits(self) -> Act:
        """The act of a row that is not only to be read."""
        assert self.act is not None, f"nothing is entered for {self.label}"
        return self.act

    @property
    def choice_keys(self) -> tuple[str, ...]:
        """The key that names each choice: its number, or y and n; none where the choices are numbers."""
        if set(self.choices) <= {"yes", "no"}:
            return tuple(choice[0] for choice in self.choices)
        numbered = len(self.choices) <= 9 and not any(choice[:1].isdigit() for choice in self.choices)
        return tuple(str(n) if numbered else "" for n in range(1, len(self.choices) + 1))

    def meant(self, typed: str) -> str:
        """The choice that what was typed names: by its key, or by the letters that begin it and no other."""
        text = typed.strip().casefold()
        folded = [choice.casefold() for choice in self.choices]
        if not text or text in folded:
            return self.choices[folded.index(text)] if text else typed
        if text in self.choice_keys:
            return self.choices[self.choice_keys.index(text)]
        begun = [choice for choice, low in zip(self.choices, folded, strict=True) if low.startswith(text)]
        return begun[0] if len(begun) == 1 else typed


class Maker(Protocol):
    """Makes the rows of one pane from a view, in a unit system (`ip` or `si`)."""

    def __call__(self, view: View, system: str) -> Iterator[Row]:
        """The rows, in order."""
        ...
