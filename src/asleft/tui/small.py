"""What stands on a screen that is too small for anything else."""

from __future__ import annotations

from typing import Any

from textual.screen import Screen
from textual.widgets import Static

from asleft.tui.safe import styled

LEAST = (40, 10)
ROOMY = 30
"""Rows from which things stand apart."""
ID = "too-small"


def note() -> Static:
    """The place where it is said; the style sheet shows it alone."""
    return Static(id=ID, markup=False)


def too_small(screen: Screen[Any], what: str) -> bool:
    """Whether nothing can be drawn here, which is then said."""
    width, height = screen.size
    small = width < LEAST[0] or height < LEAST[1]
    screen.set_class(small, "small")
    screen.set_class(height >= ROOMY, "roomy")
    if small:
        needs = f"Too small: {width} x {height}. {what} needs {LEAST[0]} columns, {LEAST[1]} rows."
        screen.query_one(f"#{ID}", Static).update(styled(needs))
    return small
