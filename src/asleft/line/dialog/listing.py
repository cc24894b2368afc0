"""Panes and their rows as lines."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from asleft.face.rows import AHEAD, THIRD, TITLES, Row, pane_state
from asleft.session.acts import Acknowledge, Enter, Hint, Mend, Report, Seal, Sign, SwitchPower, Waive
from asleft.session.fields import PANES, field_of

if TYPE_CHECKING:
    from asleft.visit import View


def pane_of_name(name: str) -> str:
    """The pane of a name, title, beginning or number; empty where there is none, or more than one."""
    folded = name.strip().casefold()
    if folded.isascii() and folded.isdigit():
        return PANES[int(folded) - 1] if 1 <= int(folded[:3]) <= len(PANES) else ""
    found = [p for p in PANES if folded and (p.startswith(folded) or TITLES[p].casefold().startswith(folded))]
    return found[0] if len(found) == 1 else ""


def panes(view: View) -> Iterator[str]:
    """Every pane and how it stands."""
    for n, pane in enumerate(PANES, 1):
        state = pane_state(view, pane)
        number, failed, _ = state.partition("!")
        words = "nothing open" if state == "ok" else f"{number} {'failed' if failed else 'open'}"
        yield f"{n}. {TITLES[pane]}: {words}"


def listed(rows: Sequence[Row], pane: str) -> Iterator[str]:
    """Rows numbered: as found, as left, verdict; what is said of a finding behind it."""
    for n, row in enumerate(rows, 1):
        parts = []
        if row.found and row.found == row.now:
            parts.append(f"as found and as left {row.now}")
        elif row.found:
            parts.append(f"as found {row.found}")
        if row.now and row.now != row.found:
            parts.append(_left(row))
        if row.bar and pane in THIRD:
            parts.append(f"{THIRD[pane]} {row.bar}")
        parts.append(row.verdict or ("" if row.done or row.act is None else "open"))
        told = "; ".join(part for part in parts if part)
        finding = row.details[0] if row.details and _of_a_finding(row) else ""
        yield f"{n}. {row.label}" + (f": {told}." if told else ".") + (f" {finding}" if finding else "")


def _said(row: Row) -> bool:
    """Whether a row has no as found and tells nothing of the unit as left: done, said, or in hand."""
    if isinstance(row.act, Enter):
        field = field_of(row.act.field)
        return field is not None and field.kind == "instrument"
    return isinstance(row.act, SwitchPower | Sign | Seal | Report | Acknowledge | Hint)


def _left(row: Row) -> str:
    """What a row says as left: a choice not set yet as that, what somebody did or said without the word."""
    if row.now.startswith(AHEAD):
        return f"chosen and not set yet {row.now.removeprefix(AHEAD)}"
    return row.now if _said(row) else f"as left {row.now}"


def _of_a_finding(row: Row) -> bool:
    return isinstance(row.act, Mend | Waive) or (row.act is None and len(row.findings) == 1)
