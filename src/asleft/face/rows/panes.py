"""Which rows stand on which pane, and how a pane stands as a whole."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from asleft.face.rows.choices import choice_rows
from asleft.face.rows.fields import field_rows, with_instruments
from asleft.face.rows.findings import finding_rows, pane_of
from asleft.face.rows.row import Maker, Row
from asleft.face.rows.safety import safety_rows
from asleft.face.rows.sequence import sequence_rows
from asleft.face.rows.signoff import signoff_rows

if TYPE_CHECKING:
    from asleft.equipment.model import Instrument
    from asleft.visit import View


def rows(
    view: View, pane: str, system: str, instruments: Mapping[str, Instrument] | None = None
) -> tuple[Row, ...]:
    """The rows of a pane, in order; what `next` names is always among them.

    `instruments` are those that may be picked where one is asked for.
    """
    made = tuple(with_instruments(row, view, instruments or {}) for row in _MAKERS[pane](view, system))
    following = view.next
    if following.pane == pane and following.act is not None and all(r.act != following.act for r in made):
        made = (*made, Row(following.act, following.text, group="To do now", help=following.why))
    return made


def pane_state(view: View, pane: str) -> str:
    """How a pane stands, in a word or a sign: `ok`, `2!` for failures, the number still open, or `n/a`."""
    found = [f for f in view.findings if pane_of(f) == pane and f.id != "SO-2"]
    failed = sum(f.failed and f.open for f in found)
    if failed:
        return f"{failed}!"
    waiting = sum(f.open for f in found)
    return str(waiting) if waiting else "ok"


def counts(view: View) -> dict[str, int]:
    """Open findings by severity."""
    return {
        "hold": sum(f.open and f.severity == "hold" for f in view.findings),
        "correct": sum(f.open and f.severity == "correct" for f in view.findings),
        "told": sum(f.failed and f.severity == "advise" for f in view.findings),
    }


def verdict_counts(view: View) -> dict[str, int]:
    """Findings by verdict, in the words of the ledger, worst first; those that do not apply are left out."""
    words = {
        "fail": "fail",
        "conditional fail": "fail, near",
        "conditional pass": "pass, near",
        "pass": "pass",
        "not measured": "not measured",
    }
    counted: Counter[str] = Counter(f.verdict for f in view.findings)
    return {word: counted[verdict] for verdict, word in words.items()}


def _identity(view: View, system: str) -> Iterator[Row]:
    yield from field_rows(view, "identity", system)
    yield from finding_rows(view, "identity")


def _electrical(view: View, system: str) -> Iterator[Row]:
    yield from safety_rows(view)
    yield from field_rows(view, "electrical", system)
    yield from finding_rows(view, "electrical")


def _deciding(pane: str) -> Maker:
    """A pane where readings lead to a choice."""

    def make(view: View, system: str) -> Iterator[Row]:
        yield from field_rows(view, pane, system)
        yield from choice_rows(view, pane, system)
        yield from finding_rows(view, pane)

    return make


_MAKERS: dict[str, Maker] = {
    "identity": _identity,
    "electrical": _electrical,
    "blower": _deciding("blower"),
    "heat": _deciding("heat"),
    "delay": _deciding("delay"),
    "sequence": sequence_rows,
    "signoff": signoff_rows,
}
