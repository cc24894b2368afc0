"""Builders that several rooms' tests share: a session written down event by event, without a file."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import tomli

from asleft.equipment.model import Equipment
from asleft.session.ledger import Ledger
from asleft.session.state import Event, State, fold

ROOT = Path(__file__).parent.parent


@cache
def demo_unit() -> Equipment:
    """The first demo unit, straight from its file."""
    path = ROOT / "equipment" / "tarnfield-lowmoor-36.toml"
    return Equipment.model_validate(tomli.loads(path.read_text("utf-8")))


class Told:
    """A session as it is told: each call is one event."""

    def __init__(self, equipment: Equipment) -> None:
        self.equipment = equipment
        self.state = State()

    def event(self, kind: str, **data: Any) -> int:
        """Fold one event and give its number."""
        n = self.state.last_n + 1
        self.state = fold(self.state, Event(n, f"2031-05-04T09:{n // 60:02}:{n % 60:02}Z", "Ada", kind, data))
        return n

    def enter(self, field: str, value: Any, **more: Any) -> int:
        """A field entered."""
        return self.event("entered", field=field, typed=str(value), value=value, **more)

    def found_all(self, **other: str) -> None:
        """Every setting found at its factory value, or at another."""
        for setting, address in self.equipment.places():
            value = other.get(setting.id.replace("-", "_"), setting.factory)
            assert value is not None
            code = self.equipment.code_of(setting.id, value)
            self.event("found", setting=setting.id, address=address, shown=code.shown if code else value)

    @property
    def ledger(self) -> Ledger:
        """The session read against its equipment."""
        return Ledger(self.equipment, self.state)
