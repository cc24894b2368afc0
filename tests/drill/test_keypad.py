"""Codes in parts: nothing is stored before the last of them, and what was begun is forgotten."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from asleft.drill.keypad import Heard, Keypad
from asleft.drill.rig import RigError, ask, requests_of
from asleft.equipment.load import load_bytes
from asleft.equipment.model import Equipment
from asleft.session.acts import Write
from equipment.sample import SAMPLE
from support import Told

PARTS = SAMPLE.replace('write = "W10"', 'write = ["W", "10"]\nconfirm = "ok"\nconfirm_at = "unit"').replace(
    'write = "W30"', 'write = ["W", "30"]\nconfirm = "ok"\nconfirm_at = "unit"'
)

WROTE = Write("wait", "wall")


def unit() -> Equipment:
    """The sample, its delay keyed in two parts at the wall and confirmed at the unit."""
    return load_bytes(PARTS.encode(), "parts.toml").equipment


def test_a_code_in_parts_is_stored_by_its_confirmation_alone() -> None:
    """Every part is heard, the last one stores."""
    keypad = Keypad(unit())
    assert keypad.key("wall", "W") == Heard("wait", "wall")
    assert keypad.key("wall", "30") == Heard("wait", "wall")
    assert keypad.key("unit", "ok") == Heard("wait", "wall", "30")


@pytest.mark.parametrize(
    ("keyed", "then"),
    [
        pytest.param([("wall", "W"), ("wall", "99")], ("wall", "30"), id="a wrong part"),
        pytest.param([("wall", "W"), ("wall", "W?")], ("wall", "30"), id="asking in between"),
        pytest.param([("wall", "W"), ("wall", "30"), ("wall", "ok")], ("unit", "ok"), id="elsewhere"),
        pytest.param([], ("unit", "ok"), id="confirming nothing"),
        pytest.param([("unit", "W")], ("wall", "30"), id="begun at another address"),
    ],
)
def test_what_was_begun_is_forgotten_when_something_else_is_keyed(
    keyed: list[tuple[str, str]], then: tuple[str, str]
) -> None:
    """A part alone means nothing."""
    keypad = Keypad(unit())
    for address, characters in keyed:
        keypad.key(address, characters)
    assert keypad.key(*then) is None


def test_a_code_begun_anew_counts_from_its_beginning() -> None:
    """The first part once more begins again."""
    keypad = Keypad(unit())
    for characters in ("W", "W", "10"):
        keypad.key("wall", characters)
    assert keypad.key("unit", "ok") == Heard("wait", "wall", "10")


def test_power_gone_is_a_code_forgotten() -> None:
    """Nothing is confirmed after it."""
    keypad = Keypad(unit())
    keypad.key("wall", "W")
    keypad.key("wall", "10")
    keypad.forget()
    assert keypad.key("unit", "ok") is None


class Wall:
    """A rig that notes what it is asked and refuses one request."""

    def __init__(self, refuse: int) -> None:
        self.asked: list[dict[str, Any]] = []
        self._refuse = refuse

    def ask(self, request: Any) -> dict[str, Any]:
        """Shown, until it refuses."""
        self.asked.append(dict(request))
        return {"refused": "dark"} if len(self.asked) == self._refuse else {"shown": "at 30"}

    def close(self) -> None:
        """Nothing to close."""


def _view(*, chosen: bool) -> Any:
    told = Told(unit())
    if chosen:
        told.event("chose", topic="delay", option="long")
    return SimpleNamespace(ledger=told.ledger, state=told.state, equipment=told.equipment)


def test_a_rig_is_asked_for_every_part_in_turn() -> None:
    """One write is three requests, the last at the address that confirms."""
    view = _view(chosen=True)
    wanted = [("W", "wall"), ("30", "wall"), ("ok", "unit")]
    asked = [(r["code"], r["address"]) for r in requests_of(view, WROTE)]
    assert asked == wanted
    rig = Wall(refuse=0)
    assert ask(rig, view, WROTE).typed == "at 30"
    assert [(r["code"], r["address"]) for r in rig.asked] == wanted


@pytest.mark.parametrize("refuse", [1, 2, 3])
def test_a_part_refused_is_a_write_refused(refuse: int) -> None:
    """Nothing more is keyed after it."""
    rig = Wall(refuse)
    assert ask(rig, _view(chosen=True), WROTE).refused == "dark"
    assert len(rig.asked) == refuse


def test_what_is_not_planned_is_not_keyed() -> None:
    """No choice, no code."""
    with pytest.raises(RigError, match="Nothing is planned"):
        requests_of(_view(chosen=False), WROTE)
