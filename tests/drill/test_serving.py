"""A unit as a program: every line has one answer, whatever it is."""

from __future__ import annotations

import io
import json
from typing import Any

import pytest

from asleft.drill import serving
from asleft.drill.answers import EXPECTED
from asleft.drill.serving import serve


class Done:
    """A unit that does whatever it is asked."""

    def __init__(self) -> None:
        self.asked: list[dict[str, Any]] = []

    def answer(self, request: dict[str, Any]) -> dict[str, Any]:
        """Done."""
        self.asked.append(request)
        return {"done": True}


def answers(unit: Done, lines: str) -> list[dict[str, Any]]:
    """What is said to these lines."""
    out = io.StringIO()
    serve(unit, io.StringIO(lines), out)
    return [json.loads(line) for line in out.getvalue().splitlines()]


@pytest.mark.parametrize("do", ["frob", "Reveal", "", None, 7, True, ["reveal"], {"do": "power"}])
def test_an_unknown_word_is_refused_without_a_list(do: object) -> None:
    """None of the words that would be right is given away, and the rig lives on."""
    unit = Done()
    said, power = answers(unit, json.dumps({"do": do}) + '\n{"do": "power", "state": "off"}\n')
    assert set(said) == {"refused"}
    assert not any(word in said["refused"].split() for word in EXPECTED)
    assert power == {"done": True}
    assert len(unit.asked) == 1


def test_a_line_that_is_too_long_is_answered_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """One of just that length is taken; what follows gets its own answer."""
    monkeypatch.setattr(serving, "LONGEST_REQUEST", 40)
    power = '{"do": "power", "state": "off"}'
    just = power + " " * (40 - len(power))
    for long in (just + " ", just * 5, "x" * 400):
        unit = Done()
        first, second, third = answers(unit, f"{just}\n{long}\n{just}")
        assert first == third == {"done": True}
        assert second == {"refused": "a request is at most 40 characters"}
        assert len(unit.asked) == 2
