"""How tests hand an act to a visit in text: in one place, so that what takes it may have another name."""

from __future__ import annotations

from asleft.visit import View, Visit


def enter(visit: Visit, left: str, typed: str, *, system: str = "ip") -> View:
    """Submit one act as a person types it."""
    return visit.enter(left, typed, system=system)
