"""A visit whose file is in memory, at a stage of the healthy visit: acts are taken and refused in no time."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from asleft.equipment.library import find, instruments
from asleft.equipment.model import EquipmentFile
from asleft.visit import Refused, Visit
from checks.visits import Change
from entering import enter
from face.stages import told_at

UNIT = "tarnfield-lowmoor-36"


class Contents:
    """What a file holds."""

    def __init__(self, events: Sequence[Mapping[str, Any]]) -> None:
        self.events, self.link = list(events), "0" * 64
        self.header = {"session": {"id": "in-memory", "mode": "job"}}


class InMemory:
    """What takes the place of the file: the blocks that were written to it."""

    path, torn_kept = Path("visit.toml"), None

    def __init__(self, events: Sequence[Mapping[str, Any]]) -> None:
        self.contents = Contents(events)
        self.written: list[dict[str, Any]] = []

    def append(self, blocks: Sequence[Mapping[str, Any]]) -> None:
        """Take blocks as if they were on disk."""
        self.written += [dict(block) for block in blocks]


@cache
def unit() -> EquipmentFile:
    """The demo unit, read once."""
    return find(UNIT)


def standing(stage: str, *changes: Change) -> tuple[Visit, InMemory]:
    """A visit at a stage, and where it writes."""
    told = told_at(stage, *changes)
    events = [e.written() for e in told.state.history]
    journal = InMemory(events)
    held = {i.id: i for i in instruments()}
    visit = Visit(journal, unit(), held, by="Ada", clock=lambda: "2031-05-04T12:00:00Z")  # type: ignore[arg-type]
    return visit, journal


def taken(stage: str, *changes: Change, left: str, typed: str, system: str = "ip") -> dict[str, Any]:
    """What an act writes: its kind and its own keys."""
    visit, journal = standing(stage, *changes)
    enter(visit, left, typed, system=system)
    common = ("n", "at", "by", "verdicts")
    return {key: value for key, value in journal.written[-1].items() if key not in common}


def refused(stage: str, *changes: Change, left: str, typed: str, system: str = "ip") -> str:
    """Why an act is not taken, and what would be right; nothing is written then."""
    visit, journal = standing(stage, *changes)
    with pytest.raises(Refused) as found:
        enter(visit, left, typed, system=system)
    assert journal.written == []
    return str(found.value)
