"""What was seen of a session before: a file that lost its end, or was written anew, is whole by itself."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from asleft.cli import main
from asleft.journal import read
from asleft.line.seen import memory_file
from asleft.review.audit import audit
from asleft.review.memory import Memory, Seen
from asleft.review.store import Run
from review.sessions import Event, session
from review.test_examine import low_volts

NOW = datetime(2026, 12, 1, tzinfo=UTC)


def rules_met(folder: Path, memory: Path | None) -> dict[str, list[str]]:
    """The rules that each file of a folder meets."""
    with Run(NOW) as run:
        audit([folder], run, memory=memory, processes=1)
        return {Path(row.file).stem: [m.rule for m in row.marks] for row in run.rows()}


def put(folder: Path, name: str = "visit", **how: Any) -> Path:
    """A session in a folder."""
    folder.mkdir(exist_ok=True)
    path = folder / f"{name}.toml"
    path.write_bytes(session(**how))
    return path


def first(count: int) -> Any:
    """The first events of a visit."""

    def cut(events: list[Event]) -> list[Event]:
        return events[:count]

    return cut


def test_a_file_that_lost_its_end_is_marked(tmp_path: Path) -> None:
    """Once it was seen whole; by itself nothing is to be seen of it."""
    folder, memory = tmp_path / "t", tmp_path / "m" / "seen.sqlite"
    put(folder)
    assert rules_met(folder, memory) == {"visit": []}
    put(folder, change=first(150))
    assert rules_met(folder, None) == {"visit": ["unsigned"]}
    assert rules_met(folder, memory) == {"visit": ["shorter", "unsigned"]}
    # What is shorter is not remembered in the place of what was longer.
    assert rules_met(folder, memory) == {"visit": ["shorter", "unsigned"]}
    put(folder)
    assert rules_met(folder, memory) == {"visit": []}


def test_a_visit_that_goes_on_is_no_other(tmp_path: Path) -> None:
    """It was seen shorter; its old entries are as they were."""
    folder, memory = tmp_path / "t", tmp_path / "seen.sqlite"
    put(folder, change=first(100))
    rules_met(folder, memory)
    put(folder)
    assert rules_met(folder, memory) == {"visit": []}


@pytest.mark.parametrize("seen", [157, 100], ids=["as long", "longer"])
def test_a_file_written_anew_is_marked(seen: int, tmp_path: Path) -> None:
    """As many entries, or more, and another link where one was known."""
    folder, memory = tmp_path / "t", tmp_path / "seen.sqlite"
    path = put(folder, change=first(seen))
    known = read(path).link
    rules_met(folder, memory)
    put(folder, change=low_volts)
    assert "rewritten" in rules_met(folder, memory)["visit"]
    with Memory(memory) as kept:
        header: Any = read(path).header["session"]
        assert kept.seen(header["id"]) == Seen(seen, known)


@pytest.mark.parametrize("mode", ["demo", "drill"])
def test_what_is_no_real_visit_is_not_remembered(mode: str, tmp_path: Path) -> None:
    """The same seed gives the same id."""
    folder, memory = tmp_path / "t", tmp_path / "seen.sqlite"
    put(folder, mode=mode)
    rules_met(folder, memory)
    put(folder, mode=mode, change=first(100))
    assert "shorter" not in rules_met(folder, memory)["visit"]


def test_a_memory_that_cannot_be_read_stops_no_audit(tmp_path: Path) -> None:
    """Nor does one that cannot be made."""
    folder, memory = tmp_path / "t", tmp_path / "seen.sqlite"
    put(folder)
    memory.write_bytes(b"no database at all" * 100)
    assert rules_met(folder, memory) == {"visit": []}
    assert rules_met(folder, folder / "visit.toml" / "x") == {"visit": []}


def test_a_review_is_remembered_and_an_audit_of_everything_anew_minds_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """By the command; the review itself may be what was cut off."""
    path = put(tmp_path / "t")
    before = path.read_bytes()
    assert main(["enter", str(path), "--by", "Bo", "review:accepted=complete"]) == 0
    assert memory_file().is_file()
    path.write_bytes(before)
    capsys.readouterr()
    assert main(["audit", str(path), "--full", "--json"]) == 1
    (row,) = json.loads(capsys.readouterr().out)["sessions"]
    assert [m["rule"] for m in row["marks"]] == ["shorter"]
    assert row["marks"][0]["text"] == "holds 162 entries; 163 of this session were seen before"
    assert main(["check", str(path)]) == 0
    assert "does not show whether entries were cut off" in " ".join(capsys.readouterr().out.split())
