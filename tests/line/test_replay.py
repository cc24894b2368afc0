"""`asleft replay` without a screen: its keys, its lines, its exit codes."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from asleft.cli import main
from review.sessions import SAMPLES, Event, session, where


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """Where a session of a test stands."""
    return tmp_path / "x.toml"


def test_as_json_it_has_the_keys_that_were_promised(capsys: pytest.CaptureFixture[str]) -> None:
    """Exit 0 for a whole, signed record that does not differ."""
    assert main(["replay", str(SAMPLES[0]), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert set(told) == {"chain", "signed", "seals", "events", "differs"}
    assert (told["chain"], told["signed"], told["differs"], told["seals"]) == ("whole", True, False, [])
    assert all(set(event) == {"n", "at", "kind", "then", "today"} for event in told["events"])
    assert all(sorted(event["then"]) == sorted(event["today"]) for event in told["events"])


def test_damaged_unsigned_or_foreign_it_says_so(
    tmp_path: Path, path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """1 where something is wrong, 2 where nothing can be read; damage stands where it happened."""
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


def test_where_not_even_the_header_is_verified_there_is_no_event(
    path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Broken, and said so in both forms; no event stands as if it were one of this record."""
    path.write_bytes(session().replace(b'opened_by = "', b'opened_by = "X', 1))
    assert main(["replay", str(path), "--json"]) == 1
    told = json.loads(capsys.readouterr().out)
    assert told == {"chain": "broken", "signed": False, "seals": [], "events": [], "differs": False}
    assert main(["replay", str(path)]) == 1
    out = capsys.readouterr().out
    assert "! BROKEN here: The header" in out
    assert "there is no event to show" in out


def test_a_difference_is_marked_in_words_and_exits_1(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """At its event, what was shown then and what is given today, in text and as JSON."""

    def altered(events: list[Event]) -> list[Event]:
        events[where(events, field="electrical.line.l1_l2")]["verdicts"] = ["EL-2 unit fail"]
        return events

    path.write_bytes(session(altered))
    assert main(["replay", str(path), "--json"]) == 1
    told = json.loads(capsys.readouterr().out)
    assert told["differs"] is True
    assert (told["chain"], told["signed"]) == ("whole", True)
    (other,) = [event for event in told["events"] if set(event["then"]) != set(event["today"])]
    assert other["then"] == ["EL-2 unit fail"]
    assert main(["replay", str(path)]) == 1
    out = capsys.readouterr().out
    assert "DIFFERS, only then: EL-2 unit fail" in out
    assert out.rstrip().endswith("Differs from today's rules.")


def test_every_line_of_an_event_has_its_number_and_time(capsys: pytest.CaptureFixture[str]) -> None:
    """With the date: a visit may go on another day."""
    assert main(["replay", str(SAMPLES[0])]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[0].split() == [
        "1",
        "2026-06-01",
        "12:51:45Z",
        "Mina",
        "Dunmore:",
        "Technician:",
        "Mina",
        "Dunmore",
    ]


def test_a_signers_file_that_is_not_there_is_wrong_usage(path: Path) -> None:
    """Nothing is said of seals that could not be looked at."""
    path.write_bytes(session())
    assert main(["replay", str(path), "--json", "--signers", str(path.parent / "none")]) in (2, 3)
