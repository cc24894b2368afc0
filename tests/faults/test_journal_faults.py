"""Whatever file operation fails, once or from then on, no saved entry is lost and no half one believed."""

from __future__ import annotations

import errno
import os
from collections.abc import Mapping, Sequence
from contextlib import suppress
from pathlib import Path

import pytest

from asleft.journal import Journal, JournalError, lock
from faults.journal_faults import (
    APPENDS,
    FAULTS,
    FILE,
    HEADER,
    SCENARIOS,
    STEM,
    TROUBLES,
    Fault,
    Scenario,
    Tally,
    Vanish,
    fail_everywhere,
    interposed,
)

APPEND, UNSYNCED_ONCE = SCENARIOS[1], FAULTS[-2]


@pytest.mark.parametrize("trouble", TROUBLES, ids=lambda trouble: trouble.name)
@pytest.mark.parametrize("scenario", SCENARIOS, ids=lambda scenario: scenario.name)
def test_every_operation_may_fail_and_any_folder_vanish(scenario: Scenario, trouble: Fault | Vanish) -> None:
    """Then what was said to be saved is there, goes on there, and can be saved elsewhere."""
    tally = Tally()
    fail_everywhere(scenario, trouble, tally)
    assert tally.wrong == []
    assert (tally.lost, tally.believed) == (0, 0)
    assert tally.tried >= (1 if isinstance(trouble, Fault) and len(trouble.only) == 1 else 10)


@pytest.mark.parametrize("at", range(1, len(APPENDS) + 1))
def test_after_a_refused_fsync_nothing_more_is_said_to_be_saved(tmp_path: Path, at: int) -> None:
    said = APPEND.prepare(tmp_path / "home")
    # The first fsync is that of opening.
    with interposed(UNSYNCED_ONCE.begin(said.home, at + 1)):
        journal = APPEND.run(said)
    assert journal is not None
    journal.close()
    assert said.saved[FILE][0] == APPEND.events + sum(APPENDS[: at - 1])
    assert len(said.troubles) == len(APPENDS) - at + 1
    assert "nothing more is written" in said.troubles[-1]


def test_the_faults_are_of_every_sort() -> None:
    assert {fault.number for fault in FAULTS} == {errno.EIO, errno.ENOSPC, errno.EINTR, None}
    assert {fault.forever for fault in FAULTS} == {False, True}
    assert (APPEND.name, UNSYNCED_ONCE.only) == ("append", ("fsync",))


def boasting(journal: Journal, events: Sequence[Mapping[str, object]]) -> None:
    """Append, and take whatever comes for a success."""
    with suppress(JournalError):
        honest(journal, events)


honest = Journal.append


def test_a_journal_that_says_saved_in_spite_of_a_fault_is_caught(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Journal, "append", boasting)
    tally = Tally()
    fail_everywhere(APPEND, UNSYNCED_ONCE, tally)
    assert any("the journal holds" in wrong for wrong in tally.wrong)


def test_a_journal_that_leaves_what_it_could_not_save_is_caught(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Journal, "_take_back", lambda *_: None)
    tally = Tally()
    fail_everywhere(APPEND, UNSYNCED_ONCE, tally)
    assert any("were saved" in wrong for wrong in tally.wrong)


def test_a_journal_that_cuts_too_much_is_caught(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(
        Journal, "_take_back", lambda journal, descriptor: os.ftruncate(descriptor, len(HEADER))
    )
    tally = Tally()
    fail_everywhere(APPEND, UNSYNCED_ONCE, tally)
    assert tally.lost > 0


def test_a_lock_the_drive_does_not_offer_is_said(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    Journal.create(tmp_path, STEM, HEADER).close()

    def refuse(_: int) -> bool:
        raise OSError(errno.ENOLCK, os.strerror(errno.ENOLCK))

    monkeypatch.setattr(lock, "take", refuse)
    with pytest.raises(JournalError, match="could not open it for writing"):
        Journal.open(tmp_path / f"{STEM}.toml")
