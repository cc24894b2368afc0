"""A session walked event by event: the same forward and back, then beside today, troubles where they are."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from asleft.cli import main
from asleft.line.replay import opened
from asleft.review.replay import Replay
from review.sessions import SAMPLES, Event, session, where
from review.test_examine import back, differs, low_volts, waiver, with_note


def replay_of(data: bytes, tmp_path: Path) -> Replay:
    """The replay of a file."""
    path = tmp_path / "x.toml"
    path.write_bytes(data)
    return opened(path, "ip")[1]


@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem[:20])
def test_a_session_of_this_program_does_not_differ_from_itself(path: Path) -> None:
    """Every verdict that was shown then is what today's rules give, at the same event."""
    _, replay = opened(path, "ip")
    assert not replay.differs
    assert sum(len(told.today) for told in replay.all_told()) > 100


def test_back_and_forth_the_views_are_the_same() -> None:
    """Whatever was looked at before."""
    _, replay = opened(SAMPLES[0], "ip")
    _, other = opened(SAMPLES[0], "ip")
    forward = [replay.view(n).verdicts() for n in range(0, len(replay), 7)]
    backward = [other.view(n).verdicts() for n in reversed(range(0, len(other), 7))]
    assert forward == backward[::-1]
    assert [replay.told(n) for n in (90, 3, 41)] == [other.told(n) for n in (90, 3, 41)]


def test_verdicts_that_were_other_then_differ_there_and_nowhere_else(tmp_path: Path) -> None:
    """A file linked anew over other verdicts says what it says."""

    def altered(events: list[Event]) -> list[Event]:
        at = where(events, field="electrical.line.l1_l2")
        events[at]["verdicts"] = ["EL-2 unit fail"]
        return events

    replay = replay_of(session(altered), tmp_path)
    (told,) = [told for told in replay.all_told() if told.differs]
    assert told.then == ("EL-2 unit fail",)
    assert "other verdicts today than then" in told.troubles


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (with_note(broke="EL-1"), "breach of EL-1"),
        (waiver, "EL-20 circuit.1 waived: no tool at hand"),
        (back, "the clock went back"),
        (differs, "read back otherwise than written"),
        (low_volts, "EL-2 unit: fail"),
    ],
)
def test_troubles_are_where_they_happened(change: Any, words: str, tmp_path: Path) -> None:
    """Each in words."""
    replay = replay_of(session(change), tmp_path)
    assert any(words in trouble for told in replay.all_told() for trouble in told.troubles)
    healthy = replay_of(session(), tmp_path)
    assert not any(told.troubles for told in healthy.all_told())


def test_as_json_it_has_the_keys_that_were_promised(capsys: pytest.CaptureFixture[str]) -> None:
    """Exit 0 for a whole, signed record that does not differ."""
    assert main(["replay", str(SAMPLES[0]), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert set(told) == {"chain", "signed", "seals", "events", "differs"}
    assert (told["chain"], told["signed"], told["differs"], told["seals"]) == ("whole", True, False, [])
    assert all(set(event) == {"n", "at", "kind", "then", "today"} for event in told["events"])
    assert all(sorted(event["then"]) == sorted(event["today"]) for event in told["events"])


def test_damaged_unsigned_or_foreign_it_says_so(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """1 where something is wrong, 2 where nothing can be read; damage stands where it happened."""
    path = tmp_path / "x.toml"
    path.write_bytes(session(lambda events: events[:40]))
    assert main(["replay", str(path), "--json"]) == 1
    assert json.loads(capsys.readouterr().out)["signed"] is False
    path.write_bytes(session().replace(b"238", b"239", 1))
    assert main(["replay", str(path)]) == 1
    out = capsys.readouterr().out
    assert "! BROKEN here: " in out
    path.write_bytes(session()[:-20])
    assert main(["replay", str(path)]) == 1
    assert "! TORN here: " in capsys.readouterr().out
    path.write_bytes(b"junk")
    assert main(["replay", str(path)]) == 2
    assert main(["replay", str(tmp_path / "none.toml")]) == 2
