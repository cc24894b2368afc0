"""What stands on each pane, row by row: pure functions of a view. Widgets only draw it.

`panes` lists which rows come where; each other file makes the rows of one subject.
"""

from __future__ import annotations

from asleft.face.rows.panes import counts, pane_state, rows, verdict_counts
from asleft.face.rows.row import AHEAD, BAR, Row
from asleft.face.rows.titles import SHORT, THIRD, TITLES

__all__ = [
    "AHEAD",
    "BAR",
    "SHORT",
    "THIRD",
    "TITLES",
    "Row",
    "counts",
    "pane_state",
    "rows",
    "verdict_counts",
]
