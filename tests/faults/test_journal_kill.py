"""Killed at any file operation, or in the middle of a write, a session opens again with all it had said."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

TESTS = Path(__file__).parents[1]
KILLS = 30

# Says that an entry is saved as soon as it is asked for, so that any kill inside a write catches it.
BOASTING = """
import sys
from asleft.journal import event_bytes
from faults import journal_faults, journal_kills

def boast(said, journal, events=1):
    n, link = journal_faults.place_of(journal.contents)
    event = journal_faults.entry(n + 1)
    link = event_bytes(link, event)[1]
    said.offer(link)
    said.hold(journal.path.relative_to(said.home), (n + 1, link))
    journal.append([event])

journal_faults.Said.append = boast
journal_kills.SCENARIOS = ()
sys.exit(journal_kills.main(sys.argv[1:]))
"""

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="the system cannot fork")


def killed(code: int, *command: str) -> dict[str, dict[str, Any]]:
    """What came of kills, from a process of their own, for they fork."""
    done = subprocess.run(
        [sys.executable, *command],
        env={**os.environ, "PYTHONPATH": str(TESTS)},
        capture_output=True,
        text=True,
        check=False,
        timeout=240,
    )
    assert done.returncode == code, done.stdout + done.stderr
    found: dict[str, dict[str, Any]] = json.loads(done.stdout)
    return found


def test_a_killed_session_has_every_entry_it_called_saved_and_goes_on() -> None:
    """At every third operation, whole and in part; and at random while writes come a few bytes at a time."""
    found = killed(0, "-m", "faults.journal_kills", "--kills", str(KILLS), "--step", "3")
    everywhere, at_random = found["everywhere"], found["at random"]
    for came in (everywhere, at_random):
        assert (came["lost"], came["believed"], came["wrong"]) == (0, 0, [])
        assert set(came["broken"]) <= {"never begun"}
        assert came["inside"] > 0
    assert everywhere["tried"] > 100
    assert everywhere["broken"]["never begun"] > 0
    assert at_random["tried"] == KILLS
    assert at_random["saved"] > 0


def test_a_program_that_says_saved_too_early_is_caught() -> None:
    assert killed(1, "-c", BOASTING, "--kills", "10")["at random"]["lost"] > 0
