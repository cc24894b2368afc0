"""Power lost at any operation: what was said to be saved is there, and nothing else is believed."""

from __future__ import annotations

import os
from contextlib import suppress
from pathlib import Path
from random import Random

import pytest

from asleft.journal import Journal, files
from faults.journal_faults import SCENARIOS, Scenario
from faults.journal_power import MAY_BREAK, Outages, Stored, cut_power_everywhere


def sample(scenario: Scenario, places: int) -> Outages:
    """A seeded sample of power cuts in a scenario."""
    tally = Outages()
    cut_power_everywhere(scenario, tally, Random(scenario.name), places, 1)
    return tally


@pytest.mark.parametrize("scenario", SCENARIOS, ids=lambda scenario: scenario.name)
def test_a_power_cut_takes_nothing_that_was_said_to_be_saved(scenario: Scenario) -> None:
    """Nor is anything believed that nobody asked to save; bytes spoilt may break only what follows."""
    tally = sample(scenario, 4)
    assert tally.wrong == []
    assert (tally.lost, tally.believed) == (0, 0)
    assert set(tally.broken) <= {*MAY_BREAK, "never begun"}
    assert all(tally.cuts[word] for word in ("kept", "kept in part", "zeroed", "garbled", "one bit"))


set_aside = files.keep_aside


def never(*_: object) -> None:
    """Sync nothing."""


def deaf(journal: Journal, descriptor: int) -> None:
    """Sync, and let a refusal pass."""
    with suppress(OSError):
        os.fsync(descriptor)


def stubborn(journal: Journal, descriptor: int) -> None:
    """Sync, and once more where that is refused."""
    try:
        os.fsync(descriptor)
    except OSError:
        os.fsync(descriptor)


def hasty(path: Path, data: bytes) -> Path:
    """Put a torn tail aside, and sync nothing."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(os, "fsync", never)
        return set_aside(path, data)


@pytest.mark.parametrize(
    ("room", "name", "careless", "scenario", "what"),
    [
        (Journal, "_sync", never, "append", "saved are left"),
        (Journal, "_sync", deaf, "append", "saved are left"),
        (Journal, "_sync", stubborn, "append", "saved are left"),
        (files, "sync_folder", never, "begin", "is not there"),
        (files, "sync_folder", never, "copy", "is not there"),
        (files, "keep_aside", hasty, "recover", "tail was thrown away"),
    ],
    ids=[
        "no sync",
        "refusal ignored",
        "refusal tried again",
        "no name",
        "no name of a copy",
        "tail not synced",
    ],
)
def test_a_journal_that_syncs_too_little_is_caught(
    monkeypatch: pytest.MonkeyPatch, room: object, name: str, careless: object, scenario: str, what: str
) -> None:
    monkeypatch.setattr(room, name, careless)
    tally = sample(next(known for known in SCENARIOS if known.name == scenario), 1)
    assert any(what in wrong for wrong in tally.wrong)
    assert tally.lost or scenario == "recover"


def test_the_model_loses_what_was_not_synced_and_never_more() -> None:
    stored = Stored(b"ab").changed(2, b"cd")
    assert {data for _, data in stored.survivors(Random(1), 0)} == {b"ab", b"abcd"}
    assert {data for _, data in stored.synced().survivors(Random(1), 9)} == {b"abcd"}
    parts = {data for word, data in stored.survivors(Random(1), 9) if word == "kept in part"}
    assert parts == {b"ab", b"abc"}


def test_the_model_doubts_for_good_what_a_refused_fsync_covered() -> None:
    doubted = Stored(b"ab").changed(2, b"cd").doubted()
    later = doubted.changed(4, b"ef").synced()
    assert {data for _, data in later.survivors(Random(1), 0)} == {b"ab\0\0ef", b"abcdef"}
    cut = doubted.changed(2, None).changed(2, b"gh").synced()
    assert {data for _, data in cut.survivors(Random(1), 9)} == {b"abgh"}
