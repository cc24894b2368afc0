"""Builders that several rooms' tests share: a session written down event by event, without a file."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import tomli

from asleft.equipment.model import Equipment
from asleft.quantity import KINDS
from asleft.session.events import Event
from asleft.session.fields import Field, field_of
from asleft.session.ledger import Ledger
from asleft.session.state import State, fold
from asleft.visit import Visit

ROOT = Path(__file__).parent.parent


@cache
def demo_unit() -> Equipment:
    """The first demo unit, straight from its file."""
    path = ROOT / "equipment" / "tarnfield-lowmoor-36.toml"
    return Equipment.model_validate(tomli.loads(path.read_text("utf-8")))


def event(n: int, kind: str, *, at: str = "2031-05-04T09:00:00Z", by: str = "Ada", **data: Any) -> Event:
    """An event as its keys in a file give it; an amount has the base unit of its field unless it says one."""
    if kind == "entered" and (field := field_of(data["field"])) and field.kind in KINDS:
        data = {"unit": "" if field.kind == "count" else KINDS[field.kind].base_unit, **data}
    return Event.read({"n": n, "at": at, "by": by, "kind": kind, **data})


def something(field: Field) -> Any:
    """A value that a field can hold: its first choice, no, words, a size, or a number near one."""
    match field.kind:
        case "yes_no":
            return False
        case "text":
            return "x1"
        case "conductor_size":
            return "6 AWG"
        case "choice":
            return field.choices[0]
        case "count":
            return 1
        case _:
            low, high = field.plausible or (1.0, 1.0)
            return min(max(1.0, low), high)


class Told:
    """A session as it is told: each call is one event."""

    def __init__(self, equipment: Equipment) -> None:
        self.equipment = equipment
        self.state = State()

    def event(self, kind: str, **data: Any) -> int:
        """Fold one event and give its number."""
        n = self.state.last_n + 1
        at = f"2031-05-04T{8 + n // 60:02}:{n % 60:02}:00Z"
        self.state = fold(self.state, event(n, kind, at=at, **data))
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


def prove_dead(visit: Visit, volts: str = "0.1 V") -> None:
    """With power off, every point read and the tester tried before and after."""
    said = {"choice": "two-pole tester", "yes_no": "yes", "voltage": volts}
    visit.enter("acknowledge:EL-18", "yes")
    for field in visit.view.ledger.fields.values():
        if field.passing and not field.optional:
            visit.enter(field.id, said[field.kind])
