"""What every act writes, and why one is refused and what would be right: the whole of `acts.toml`."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import tomli

from checks.visits import Change, happens, say
from entering import enter
from face.stages import BEGUN, IDLE, PAPERS, noted
from visit.in_memory import refused, standing, taken

ACTS = tomli.loads(Path(__file__).with_name("acts.toml").read_text("utf-8"))["act"]
CHANGES: dict[str, Change] = {
    "stage 2 draws 20 A": say("electrical.stage.2.current", "20 A"),
    "power off": happens("powered", state="off"),
    "a drill": happens("drilled", hash="0" * 64, by="x"),
    "signed": happens("signed", outcome="commissioned"),
    "event 3 retracted": happens("retracted", of=3, why="x"),
    "hint 1 given": noted("a", hint=1),
    "ground reads 0.9 ohm": say("electrical.ground.resistance", "0.9 ohm"),
    "revealed": happens("revealed", sheet=[], salt=""),
    "line reads 205 V": say("electrical.line.l1_l2", "205 V"),
    "a breaker of 70 A": say("electrical.circuit.1.device", "70 A"),
    "downflow": say("identity.orientation", "downflow"),
    "sideways": say("identity.orientation", "sideways"),
}


@pytest.mark.parametrize("case", ACTS, ids=[f"{n}-{case['left']}" for n, case in enumerate(ACTS)])
def test_an_act_writes_what_was_meant_or_says_what_would_be_right(case: dict[str, Any]) -> None:
    """Its kind and its own keys, the base unit beside what was typed; else nothing, and why."""
    changes = [CHANGES[name] for name in case.get("after", ())]
    act = {"left": case["left"], "typed": case["typed"]}
    if "refused" in case:
        assert refused(case["at"], *changes, **act) == case["refused"]
        return
    found, event = taken(case["at"], *changes, **act), case["event"]
    assert found == {key: pytest.approx(v) if isinstance(v, float) else v for key, v in event.items()}
    assert [type(found[key]) for key in event] == [type(value) for value in event.values()]


def test_a_line_holds_four_hundred_characters() -> None:
    """And no more."""
    assert taken(BEGUN, left="identity.site", typed="x" * 400)["value"] == "x" * 400
    words = refused(BEGUN, left="identity.site", typed="x" * 401)
    assert words == "401 characters are too long; at most 400"


def test_in_other_units_a_bare_number_is_another_one() -> None:
    """And the refusal names the unit of the screen."""
    assert taken(PAPERS, left="delay.floor_area", typed="100", system="si")["value"] == 100.0
    words = refused(PAPERS, left="delay.floor_area", typed="x", system="si")
    assert words.endswith("a number in m2, or with its unit")


def test_the_first_act_of_a_new_sitting_says_that_it_goes_on() -> None:
    """Once; what only judges does not go on."""
    visit, journal = standing(IDLE)
    for left, typed in (("review:accepted", "fine"), ("note", "one"), ("note", "two")):
        enter(visit, left, typed)
    assert [block["kind"] for block in journal.written] == ["reviewed", "resumed", "noted", "noted"]
    assert [block["n"] for block in journal.written] == [79, 80, 81, 82]
