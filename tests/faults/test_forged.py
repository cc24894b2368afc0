"""A fast sample of spoiled sessions; `python -m faults.forged --count 20000` makes all of them."""

from __future__ import annotations

from pathlib import Path
from random import Random
from typing import Any

import pytest

from asleft.journal import Chain, classify
from asleft.line.reading import read_session
from asleft.review.examine import examined
from faults.forged import spoiled, tried
from review.sessions import Event, session, where


@pytest.mark.parametrize("seed", range(8))
def test_no_stored_value_ends_a_command_or_takes_another_file_with_it(seed: int) -> None:
    """Judged, named or refused."""
    assert tried(seed) == []


def test_most_of_them_are_whole_by_their_links_and_senseless(tmp_path: Path) -> None:
    """What the format itself refuses proves little of what is read behind it."""
    odd = 0
    for seed in range(60):
        path = tmp_path / f"{seed}.toml"
        path.write_bytes(spoiled(Random(seed))[0])
        odd += classify(path.read_bytes()).chain is Chain.WHOLE and bool(read_session(path).odd)
    assert odd >= 15


def test_a_choice_that_is_not_on_offer_is_named(tmp_path: Path) -> None:
    """It once took down every command, and an audit of other files with it."""

    def change(events: list[Event]) -> list[Event]:
        at = where(events, field="delay.construction")
        return [*events[:at], {**events[at], "value": "heavier"}, *events[at + 1 :]]

    path = tmp_path / "x.toml"
    path.write_bytes(session(change))
    found = read_session(path)
    assert [one.why for one in found.odd] == ["'heavier' is none of the choices of delay.construction"]


def test_a_command_that_ends_in_the_unforeseen_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """And a file that an audit cannot judge is a row, which says why, beside all the others."""

    def broken(*_: Any, **__: Any) -> None:
        raise ZeroDivisionError("no view")

    monkeypatch.setattr("asleft.line.reading.look", broken)
    assert any("check: 3" in text and "unforeseen" in text for text in tried(1))
    monkeypatch.undo()

    def failing(data: bytes, name: str, signers: Path | None = None) -> Any:
        return broken() if "spoiled" in name else examined(data, name, signers)

    monkeypatch.setattr("asleft.review.audit.examined", failing)
    assert tried(1) == []
