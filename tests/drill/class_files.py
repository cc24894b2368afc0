"""Drills of a class written straight to files, event by event."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from asleft.equipment.library import find
from asleft.journal import Journal, header_bytes

UNIT = "quillfen-heron"
SHEET = [
    'title = "T"',
    "[[fault]]",
    'kind = "ground-open"',
    "[[fault]]",
    'kind = "one-leg-open"',
    'where = "blower.l2"',
]


def told(minute: int, kind: str, **data: Any) -> dict[str, Any]:
    """One event, so many minutes after nine."""
    return {"at": f"2031-05-04T09:{minute:02}:00Z", "by": "Ada", "kind": kind, **data}


DRILLED = told(0, "drilled", hash="0" * 64, level=2)
NAMED = told(1, "entered", field="identity.technician", typed="Ada Cole", value="Ada Cole")
GROUND = told(
    3,
    "entered",
    field="electrical.ground.resistance",
    typed="9 Mohm",
    value=9e6,
    unit="ohm",
    instrument="meter-corwen",
)
BREACH = told(4, "noted", text="A shock.", broke="EL-1")
REPORT = told(5, "noted", text="Grounding path open", reports="ground-open", evidence=[3])
FALSE = told(6, "noted", text="Low supply", reports="supply-low", evidence=[3])
HINT = told(7, "noted", text="Look.", hint=1)
SIGNED = told(8, "signed", outcome="not commissioned")
REVEALED = told(9, "revealed", sheet=SHEET, salt="x" * 20)


def written(folder: Path, name: str, events: Sequence[Mapping[str, Any]], mode: str = "drill") -> Path:
    """A session of these events."""
    header = header_bytes(
        id=name,
        mode=mode,
        app="asleft 0",
        rules="2026-11",
        opened_by="Ada",
        follows=None,
        equipment_text=find(UNIT).text,
    )
    with Journal.create(folder, name, header) as journal:
        journal.append([{"n": n, **event} for n, event in enumerate(events, 1)])
        return journal.path
